"""A job has notes for the crew apart from the office's own; a firm has half days and may keep to daylight.

Revision: 0002, after 0001. What was noted before stays with the office; days stay whole.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("jobs") as batch:
        batch.add_column(sa.Column("site_notes", sa.Text(), nullable=False, server_default=""))
    daylight = sa.Boolean(create_constraint=True, name="daylight_only_flag")
    with op.batch_alter_table("firm", recreate="auto") as batch:
        batch.add_column(sa.Column("daylight_only", daylight, nullable=False, server_default=sa.false()))
    op.create_table(
        "firm_half_days",
        sa.Column("day", sa.Date(), nullable=False),
        sa.PrimaryKeyConstraint("day", name=op.f("pk_firm_half_days")),
    )
