"""People by name: who belongs to which crew, what each may do, when each is away or lent to another crew.

Revision: 0010, after 0009. Crews that are there name nobody, and are planned as before.
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "crew_people",
        sa.Column("crew", sa.String(80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("may", sa.Text(), nullable=False),
        sa.Column("counts", sa.Double(), nullable=False),
        sa.CheckConstraint("length(trim(name)) > 0", name=op.f("ck_crew_people_name_filled")),
        sa.CheckConstraint("counts > 0 AND counts <= 1", name=op.f("ck_crew_people_counts_range")),
        sa.ForeignKeyConstraint(
            ["crew"], ["crews.name"], name=op.f("fk_crew_people_crew"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("crew", "place", name=op.f("pk_crew_people")),
        sa.UniqueConstraint("name", name=op.f("uq_crew_people_name")),
    )
    op.create_table(
        "person_days",
        sa.Column("crew", sa.String(80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("person", sa.String(120), nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("lent_to", sa.String(80), nullable=False),
        sa.CheckConstraint("length(trim(person)) > 0", name=op.f("ck_person_days_person_filled")),
        sa.CheckConstraint("first <= last", name=op.f("ck_person_days_in_order")),
        sa.ForeignKeyConstraint(
            ["crew"], ["crews.name"], name=op.f("fk_person_days_crew"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("crew", "place", name=op.f("pk_person_days")),
    )
