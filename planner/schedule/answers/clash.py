"""A clash, and how clashes are told: one job and one cause make one line, jobs that share a cause share it.

In: clashes in the works' order. Out: sentences.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from planner.domain.firm.phases import WorkKey

#: Names that one sentence gives before it only counts the rest.
NAMED = 6


class Clash(NamedTuple):
    """A work and what keeps it from being planned, as the end of a sentence that begins with the work."""

    key: WorkKey
    cause: str


def told(clashes: Iterable[Clash]) -> list[str]:
    """One sentence a cause: the first work of each job that it holds, then the cause.

    >>> from planner.domain.firm.phases import Phase
    >>> dig, rock = WorkKey("P1", Phase.DIG), WorkKey("P1", Phase.ROCK)
    >>> told([Clash(dig, "needs a crew"), Clash(rock, "needs a crew")])
    ['P1 dig needs a crew']
    >>> told([Clash(dig, "needs a crew"), Clash(WorkKey("P2", Phase.DIG), "needs a crew")])
    ['P1 dig, P2 dig: each needs a crew']
    """
    held: dict[str, dict[str, WorkKey]] = {}
    for key, cause in clashes:
        held.setdefault(cause, {}).setdefault(key.job, key)
    return [_sentence([key.words for key in keys.values()], cause) for cause, keys in held.items()]


def _sentence(works: Sequence[str], cause: str) -> str:
    return f"{works[0]} {cause}" if len(works) == 1 else f"{some_of(works)}: each {cause}"


def some_of(names: Sequence[str], most: int = NAMED) -> str:
    """The first names, and how many more there are.

    >>> some_of(["P1", "P2", "P3"], most=2)
    'P1, P2 and 1 more'
    """
    rest = len(names) - most
    return ", ".join(names[:most]) + (f" and {rest} more" if rest > 0 else "")
