"""Disagreements that are known and not yet fixed: each must fail its test, so that fixing it is noticed.

Empty is how it should be. A row names the fact, the seasons where it shows, and what disagrees.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Open:
    """One disagreement that is still there: in the seasons `only`, or in all but `but`."""

    fact: str
    what: str
    only: tuple[str, ...] = ()
    but: tuple[str, ...] = ()

    def shows_in(self, season: str) -> bool:
        """Whether it is known to show in this season."""
        return season in self.only if self.only else season not in self.but


OPEN: tuple[Open, ...] = ()


def still_open(season: str, fact: str) -> str:
    """What is known to disagree on this fact in this season; "" when nothing."""
    return "; ".join(o.what for o in OPEN if o.fact == fact and o.shows_in(season))
