"""A long return as several scan codes: numbered pieces of its text, joined again in any order.

A piece is `DAYPART-2-3-CHECKSUM-LETTERS.`: which one of how many, the check sum of the whole, its letters.
"""

from __future__ import annotations

import re

from planner.errors import BadInput

_PIECE = re.compile(r"DAYPART-(\d{1,2})-(\d{1,2})-([0-9A-F]{8})-([A-Z2-7]+)\.", re.IGNORECASE | re.ASCII)


def joined(text: str) -> str:
    """The text with the whole return in place of its pieces; BadInput names the piece that is missing."""
    found: dict[str, dict[int, str]] = {}
    counts: dict[str, int] = {}
    for n, count, check, letters in _PIECE.findall(text):
        found.setdefault(check.upper(), {})[int(n)] = letters
        counts[check.upper()] = int(count)
    for check, pieces in found.items():
        lacking = [n for n in range(1, counts[check] + 1) if n not in pieces]
        if lacking:
            fix = f"read code {' and '.join(map(str, lacking))} of {counts[check]} off the phone too"
            raise BadInput("return", f"{len(pieces)} of {counts[check]} codes", fix)
    whole = (
        f"DAYSHEET-{''.join(pieces[n] for n in sorted(pieces))}-{check}" for check, pieces in found.items()
    )
    return "\n".join([_PIECE.sub("", text), *whole])
