"""A firm has a phone number, which its clients' calendars tell.

Revision: 0007, after 0006. Firms that are there have none yet.
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("firm", recreate="auto") as batch:
        batch.add_column(sa.Column("phone", sa.Text(), nullable=False, server_default=""))
