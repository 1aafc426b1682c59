"""Rate books tell further work (site, water, power, life, stone, cold); a gate for the electrician.

Revision: 0005, after 0004. Every edition on the shelf gains the rows that it lacks; no row that it has is
touched. A job's gate may be the licensed electrician's visit, before which no pump starts.
"""

import json

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_GUESS = "default, to be calibrated"
_ROWS = (
    (
        "mats.lay",
        "ft",
        (0.02, 0.04, 0.08),
        "lay ground mats or plywood on the way in, and lift them at the end, per foot of way",
    ),
    ("fence.put", "ft", (0.03, 0.05, 0.1), "put up a temporary fence and take it down again"),
    ("sump.dig", "count", (1.0, 2.0, 4.0), "dig a sump, line it with stone, set the pump and its hose"),
    (
        "dewater.day",
        "count",
        (0.25, 0.5, 1.0),
        "daily check of the dewatering: sump, hose, what the water looks like",
    ),
    (
        "bog.build",
        "ft2",
        (0.05, 0.1, 0.2),
        "build a bog filter: underdrain, clean-out, level the top, per square foot",
    ),
    ("bog.gravel", "ton", (0.8, 1.2, 2.0), "shovel, barrow and spread the gravel of a bog filter"),
    (
        "footing.base",
        "cy",
        (1.5, 2.5, 4.5),
        "dig out and tamp the base under falls or edge, per compacted cy",
    ),
    ("overflow.lay", "ft", (0.08, 0.14, 0.25), "trench, lay and cover an overflow pipe to fall"),
    ("swale.shape", "ft", (0.05, 0.1, 0.2), "shape and tamp a swale by hand"),
    ("cable.trench", "ft", (0.1, 0.18, 0.35), "trench for the electrician's cable, and cover it after him"),
    ("uv.set", "count", (0.75, 1.25, 2.5), "mount an ultraviolet unit and its bypass"),
    (
        "autofill.set",
        "count",
        (1.0, 1.75, 3.0),
        "set a float valve and its line, with the backflow preventer's place",
    ),
    ("drain.gal", "gal", (0.00005, 0.0001, 0.0003), "pump the first fill out again and watch where it goes"),
    ("dose.gal", "gal", (0.00003, 0.00006, 0.00015), "test the water, weigh the dechlorinator and spread it"),
    ("topsoil.spread", "cy", (0.8, 1.3, 2.2), "load, barrow, spread and rake topsoil, per loose cy"),
    ("seed.sow", "ft2", (0.002, 0.004, 0.008), "rake, sow both ways, rake in, roll, water"),
    ("sod.lay", "ft2", (0.01, 0.016, 0.03), "carry, lay, butt, roll and water sod"),
    ("mulch.spread", "cy", (0.7, 1.1, 1.8), "load, barrow and spread mulch"),
    ("paving.clean", "ft2", (0.002, 0.004, 0.008), "sweep and wash down paving"),
    ("rubbish.load", "cy", (0.5, 0.8, 1.4), "gather rubbish and load it"),
    ("site.load_out", "count", (1.0, 2.0, 4.0), "tools and rests loaded out, site looked over"),
    ("site.last_walk", "count", (0.5, 0.75, 1.5), "last walk with the client, photos"),
    ("plant.set", "count", (0.08, 0.15, 0.3), "set a water plant in its basket or pocket on its shelf"),
    ("water.test", "count", (0.1, 0.25, 0.5), "test the water and write it down"),
    (
        "visit.close",
        "count",
        (2.0, 3.5, 6.0),
        "closing visit before winter: net, pump out, drain the line, air stone",
    ),
    (
        "visit.close_ft2",
        "ft2",
        (0.002, 0.004, 0.008),
        "closing visit: leaves off and net on, per square foot of water",
    ),
    ("visit.open", "count", (2.5, 4.0, 7.0), "opening visit in spring: clean out, pump in, run and adjust"),
    (
        "visit.open_gal",
        "gal",
        (0.0004, 0.0008, 0.0016),
        "opening visit: drain, wash and refill, per gallon of the pond",
    ),
)
_KINDS = ("earliest start", "deposit", "permit", "utility locate", "material arrival", "electrician")


def upgrade() -> None:
    _gates_anew(op.get_bind())
    shelf = sa.table("rate_editions", sa.column("edition", sa.Text), sa.column("body", sa.Text))
    link = op.get_bind()
    for edition, body in link.execute(sa.select(shelf.c.edition, shelf.c.body)).all():
        plain = json.loads(body)
        held = {row["key"] for row in plain["rows"]}
        plain["rows"] += [
            {
                "key": key,
                "kind": "rate",
                "unit": unit,
                "low": low,
                "likely": likely,
                "high": high,
                "source": _GUESS,
                "words": words,
            }
            for key, unit, (low, likely, high), words in _ROWS
            if key not in held
        ]
        packed = json.dumps(plain, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
        link.execute(sa.update(shelf).where(shelf.c.edition == edition).values(body=packed))


def _gates_anew(link: sa.Connection) -> None:
    """The table of gates with the new word among its kinds: a check cannot be widened in place everywhere."""
    names = ("job", "place", "kind", "opens", "phase", "met", "note")
    kept = [dict(row) for row in link.execute(sa.text("SELECT * FROM job_gates")).mappings()]
    op.drop_table("job_gates")
    listed = ", ".join(f"'{kind}'" for kind in _KINDS)
    table = op.create_table(
        "job_gates",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("opens", sa.Date(), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("met", sa.Boolean(create_constraint=True, name="met_flag"), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint(f"kind IN ({listed})", name=op.f("ck_job_gates_kind_known")),
        sa.CheckConstraint(
            "phase IN ('dig', 'set_filters', 'liner', 'rock', 'plumbing', 'fill')",
            name=op.f("ck_job_gates_phase_known"),
        ),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_job_gates_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", "place", name=op.f("pk_job_gates")),
    )
    if table is not None and kept:
        plain = sa.table("job_gates", *(sa.column(name) for name in names))
        link.execute(plain.insert(), [{name: row[name] for name in names} for row in kept])
