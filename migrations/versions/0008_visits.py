"""Visits are planned: call-backs, leak searches, clean-outs, spring openings, winter closings, maintenance.

Revision: 0008, after 0007. A job may be a visit with hours, hands and a promised part of the day; its one
piece of work stands beside the six phases wherever a phase is kept. Every edition gains the rows of visits
that it lacks; jobs that are there stay installs.
"""

import json
import re

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

_SIX = "'dig', 'set_filters', 'liner', 'rock', 'plumbing', 'fill'"
_TABLES = ("bookings", "job_gates", "job_needs", "job_pins", "logs", "lost")
_KINDS = "'call-back', 'leak search', 'clean-out', 'spring opening', 'winter closing', 'maintenance'"
_ROWS = (
    ("visit.call_back", (0.5, 1.5, 4.0), "call-back: look at what the client found, put it right"),
    ("visit.leak_search", (1.5, 4.0, 10.0), "leak search: water level, edge, falls, pipe by pipe"),
    ("visit.clean_out", (4.0, 8.0, 14.0), "clean-out: drain, wash, mud out, refill"),
    ("visit.maintenance", (0.75, 1.5, 3.0), "maintenance: skimmer, filter mats, edge, plants, water test"),
)


def upgrade() -> None:
    for table in _TABLES:
        _widen(table, "phase", f"{_SIX}, ''" if table == "lost" else _SIX, "'visit'")
    with op.batch_alter_table("jobs", recreate="auto") as batch:
        batch.add_column(sa.Column("visit", sa.String(20), nullable=True))
        batch.add_column(sa.Column("pond", sa.String(80), nullable=False, server_default=""))
        batch.add_column(sa.Column("on_site_h", sa.Double(), nullable=True))
        batch.add_column(sa.Column("hands", sa.Integer(), nullable=False, server_default="1"))
        batch.add_column(sa.Column("day_part", sa.String(20), nullable=False, server_default="any time"))
        batch.create_check_constraint(op.f("ck_jobs_visit_known"), f"visit IN ({_KINDS})")
        batch.create_check_constraint(
            op.f("ck_jobs_day_part_known"), "day_part IN ('any time', 'morning', 'afternoon')"
        )
        batch.create_check_constraint(
            op.f("ck_jobs_on_site_h_range"), "on_site_h >= 0.5 AND on_site_h <= 8.0"
        )
        batch.create_check_constraint(op.f("ck_jobs_hands_range"), "hands >= 1 AND hands <= 2")
    _teach_visits()


def _widen(table: str, column: str, known: str, more: str) -> None:
    """Let a column hold one word more. On SQLite no check can be changed in place: the table is made anew."""
    name = f"ck_{table}_{column}_known"
    words = known.removesuffix(", ''") + f", {more}" + (", ''" if known.endswith(", ''") else "")
    link = op.get_bind()
    if link.dialect.name != "sqlite":
        op.drop_constraint(op.f(name), table, type_="check")
        op.create_check_constraint(op.f(name), table, f"{column} IN ({words})")
        return
    kept = sa.text("SELECT type, sql FROM sqlite_master WHERE tbl_name = :table AND sql IS NOT NULL")
    made = link.execute(kept, {"table": table}).all()
    whole = next(sql for kind, sql in made if kind == "table")
    anew = re.sub(rf'^CREATE TABLE "?{table}"?', f'CREATE TABLE "{table}_anew"', whole)
    wider = anew.replace(f"{column} IN ({known})", f"{column} IN ({words})")
    if wider in (whole, anew):
        raise RuntimeError(f"{table} is not as revision 0007 left it")
    link.execute(sa.text(wider.replace(":", r"\:")))
    link.execute(sa.text(f"INSERT INTO {table}_anew SELECT * FROM {table}"))
    link.execute(sa.text(f"DROP TABLE {table}"))
    link.execute(sa.text(f"ALTER TABLE {table}_anew RENAME TO {table}"))
    for kind, sql in made:
        if kind == "index":
            link.execute(sa.text(sql))


def _teach_visits() -> None:
    shelf = sa.table("rate_editions", sa.column("edition", sa.Text), sa.column("body", sa.Text))
    link = op.get_bind()
    for edition, body in link.execute(sa.select(shelf.c.edition, shelf.c.body)).all():
        plain = json.loads(body)
        held = {row["key"] for row in plain["rows"]}
        plain["rows"] += [
            {
                "key": key,
                "kind": "rate",
                "unit": "count",
                "low": low,
                "likely": likely,
                "high": high,
                "source": "default, to be calibrated",
                "words": words,
            }
            for key, (low, likely, high), words in _ROWS
            if key not in held
        ]
        packed = json.dumps(plain, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
        link.execute(sa.update(shelf).where(shelf.c.edition == edition).values(body=packed))
