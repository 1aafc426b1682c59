"""Rate books say what they do not know of a firm yet, and count size from a usual pond.

Revision: 0004, after 0003. Every edition on the shelf gains the rows that it lacks; no row that it has is
touched, so likely hours stay as they were told, and safe hours become as wide as the firm is unknown.
"""

import json

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

_GUESS = "default, to be calibrated"
_ROWS = (
    (
        "refit.prior.firm",
        "x",
        (0.08, 0.16, 0.32),
        "the prior standard deviation for the firm as a whole, common to all its hours",
    ),
    (
        "refit.prior.size",
        "x",
        (0.05, 0.10, 0.25),
        "the prior standard deviation of the power by which hours go with size, of all phases and again of "
        "each",
    ),
    (
        "refit.wander",
        "x",
        (0.10, 0.25, 0.50),
        "how far the firm's pace wanders in a year: standard deviation of its logarithm",
    ),
    *(
        (
            f"usual.{phase}",
            "h",
            band,
            f"labour-hours of a usual pond's {words}, from which size is counted",
        )
        for phase, words, band in (
            ("dig", "dig", (8.0, 17.0, 40.0)),
            ("set_filters", "filters", (3.0, 7.0, 12.0)),
            ("liner", "liner", (7.0, 14.0, 30.0)),
            ("rock", "rock", (16.0, 33.0, 80.0)),
            ("plumbing", "plumbing", (4.0, 9.0, 16.0)),
            ("fill", "fill", (4.0, 9.0, 16.0)),
        )
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
                "kind": "measure",
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
