"""Disagreements that are known and not yet mended: each must fail its test, so that mending it is noticed.

Empty is how it should be. A row names the fact, the seasons where it shows, and what disagrees.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Open:
    """One disagreement that is still there."""

    fact: str
    seasons: tuple[str, ...]
    what: str


OPEN: tuple[Open, ...] = ()


def still_open(season: str, fact: str) -> str:
    """What is known to disagree on this fact in this season; "" when nothing."""
    return "; ".join(o.what for o in OPEN if o.fact == fact and season in o.seasons)
