"""A firm says how it writes dates: month first, day first or year first.

Revision: 0006, after 0005. Firms that are there write as most of theirs do: the month first.
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("firm", recreate="auto") as batch:
        batch.add_column(sa.Column("dates", sa.String(20), nullable=False, server_default="month first"))
        batch.create_check_constraint(
            op.f("ck_firm_dates_known"), "dates IN ('month first', 'day first', 'year first')"
        )
