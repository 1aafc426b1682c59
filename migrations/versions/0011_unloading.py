"""Rate books tell what it takes to unload stone and gravel, so that a take-off can ask for it.

Revision: 0011, after 0010. Every edition on the shelf gains the rows that it lacks; no row that it has is
touched, and the hours of the jobs that are there stay as they are.
"""

import json

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

_BY_MACHINE = (
    "Gillette and Hill, Concrete Construction, 1908, ch. III: stone unloaded from flat cars by hand, 20 cy "
    "per man and 10 h, 0.37 a ton at 1.35 ton per cy, which a machine beats; our band"
)
_TIPPED = (
    "a printed example (scribd.com/document/579148516): 12 cy of sand at 100 lb/ft3 dumped in 3 min, 0.003 a "
    "ton, which backing in with a guide cannot beat; our band"
)
_BY_HAND = (
    "high: all of it by hand, Gillette and Hill, Concrete Construction, 1908, ch. XIII: 441 tons of stone "
    "and 182.5 cy of sand (at 1.35 ton per cy) unloaded from cars in 380 man-hours, 0.55 a ton; our band"
)
_ROWS = (
    (
        "unload.machine",
        "ton",
        (0.04, 0.08, 0.16),
        "take stone off the truck: the machine or its forks lift, one on foot guides",
        _BY_MACHINE,
    ),
    (
        "unload.bars",
        "ton",
        (0.08, 0.2, 0.55),
        "take stone off the truck without a machine: tipped or rolled off, sorted from the heap",
        _BY_HAND,
    ),
    (
        "unload.tipped",
        "ton",
        (0.006, 0.02, 0.04),
        "gravel or soil tipped from the truck: one on foot guides it",
        _TIPPED,
    ),
)


def upgrade() -> None:
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
                "source": source,
                "words": words,
            }
            for key, unit, (low, likely, high), words, source in _ROWS
            if key not in held
        ]
        packed = json.dumps(plain, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
        link.execute(sa.update(shelf).where(shelf.c.edition == edition).values(body=packed))
