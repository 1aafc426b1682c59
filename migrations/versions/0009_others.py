"""People from outside come on a day: hauler, utility's own crew, concrete, crane, inspector; visits repeat.

Revision: 0009, after 0008. A job's gate may be the appointment of one of them, with the part of the day that
he named; work waits for it as it waits for the electrician. A visit may hold a rule of RFC 5545 by which the
further ones are made for each season. What is there stays as it is.
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

_KINDS = (
    *("earliest start", "deposit", "permit", "utility locate", "material arrival", "electrician"),
    *("hauler", "utility crew", "concrete", "crane", "inspector"),
)
_PHASES = ("dig", "set_filters", "liner", "rock", "plumbing", "fill", "visit")
_PARTS = ("any time", "morning", "afternoon")
_NAMES = ("job", "place", "kind", "opens", "phase", "met", "note")


def upgrade() -> None:
    op.add_column("jobs", sa.Column("repeats", sa.Text(), nullable=False, server_default=""))
    _gates_anew(op.get_bind())


def _gates_anew(link: sa.Connection) -> None:
    """The table of gates with its new words and column: a check cannot be widened in place everywhere."""
    kept = [dict(row) for row in link.execute(sa.text("SELECT * FROM job_gates")).mappings()]
    op.drop_table("job_gates")
    table = op.create_table(
        "job_gates",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("opens", sa.Date(), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("met", sa.Boolean(create_constraint=True, name="met_flag"), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("day_part", sa.String(length=20), nullable=False, server_default="any time"),
        _known("kind", _KINDS),
        _known("phase", _PHASES),
        _known("day_part", _PARTS),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_job_gates_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", "place", name=op.f("pk_job_gates")),
    )
    if table is not None and kept:
        plain = sa.table("job_gates", *(sa.column(name) for name in _NAMES))
        op.bulk_insert(plain, [{name: row[name] for name in _NAMES} for row in kept])


def _known(column: str, words: tuple[str, ...]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{column} IN ({listed})", name=op.f(f"ck_job_gates_{column}_known"))
