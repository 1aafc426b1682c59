"""The office settles a missed check with a word, and the word is kept beside its mark.

Revision: 0003, after 0002. Marks of before have no word.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("office_marks") as batch:
        batch.add_column(sa.Column("word", sa.Text(), nullable=False, server_default=""))
