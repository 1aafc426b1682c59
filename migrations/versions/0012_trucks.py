"""Trucks: what each may tow, whose it is, when it is in the shop; and what a machine weighs on its trailer.

Revision: 0012, after 0011. A firm that names no truck is planned as before.
"""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("machines", recreate="auto") as batch:
        batch.add_column(sa.Column("towed_lb", sa.Double(), nullable=False, server_default="0"))
        batch.create_check_constraint(
            op.f("ck_machines_towed_lb_range"), "towed_lb >= 0 AND towed_lb <= 1000000.0"
        )
    op.create_table(
        "trucks",
        sa.Column("key", sa.String(80), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("tows_lb", sa.Double(), nullable=False),
        sa.Column("payload_lb", sa.Double(), nullable=False),
        sa.Column("tows_day", sa.Integer(), nullable=False),
        sa.Column("crew", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(trim(key)) > 0", name=op.f("ck_trucks_key_filled")),
        sa.CheckConstraint("tows_lb >= 0 AND tows_lb <= 1000000.0", name=op.f("ck_trucks_tows_lb_range")),
        sa.CheckConstraint(
            "payload_lb >= 0 AND payload_lb <= 1000000.0", name=op.f("ck_trucks_payload_lb_range")
        ),
        sa.CheckConstraint("tows_day >= 1 AND tows_day <= 1000", name=op.f("ck_trucks_tows_day_range")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_trucks")),
    )
    op.create_table(
        "truck_out",
        sa.Column("truck", sa.String(80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.CheckConstraint("first <= last", name=op.f("ck_truck_out_in_order")),
        sa.ForeignKeyConstraint(
            ["truck"], ["trucks.key"], name=op.f("fk_truck_out_truck"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("truck", "place", name=op.f("pk_truck_out")),
    )
