"""A clash, and how clashes are told: one job and one cause make one line, jobs that share a cause share it.

In: clashes in the works' order, the season whose clients are named. Out: sentences.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from planner.domain.firm.phases import WorkKey
from planner.domain.season.season import Season

#: Names that one sentence gives before it only counts the rest.
NAMED = 6


class Clash(NamedTuple):
    """A work and what keeps it from being planned, as the end of a sentence that begins with the work."""

    key: WorkKey
    cause: str


def told(season: Season, clashes: Iterable[Clash]) -> list[str]:
    """One sentence a cause: the first work of each job that it holds, with its client, then the cause.

    "Reed P1 dig needs a crew", "Reed P1 dig, Okoro P2 dig: each needs a crew".
    """
    held: dict[str, dict[str, WorkKey]] = {}
    for key, cause in clashes:
        held.setdefault(cause, {}).setdefault(key.job, key)
    return [
        _sentence([work_name(season, key) for key in keys.values()], cause) for cause, keys in held.items()
    ]


def work_name(season: Season, key: WorkKey) -> str:
    """The client, the job's code and the work: "Reed P1 dig"."""
    return f"{job_name(season, key.job)} {key.work_words}"


def job_name(season: Season, code: str) -> str:
    """The client and the job's code: "Reed P1"; of a job without a client's name its code."""
    job = season.jobs.get(code)
    return " ".join(filter(None, (job.client if job else "", code)))


def machine_name(season: Season, kind: str) -> str:
    """What people call the machine: "mini excavator"; of a kind that the firm lacks its key."""
    machine = season.machines.get(kind)
    return (machine.words if machine else "") or kind


def jobs_named(season: Season, codes: Iterable[str]) -> str:
    """The jobs in order of their codes, each with its client; of many the first ones and how many more."""
    return some_of([job_name(season, code) for code in sorted(codes)])


def _sentence(works: Sequence[str], cause: str) -> str:
    return f"{works[0]} {cause}" if len(works) == 1 else f"{some_of(works)}: each {cause}"


def some_of(names: Sequence[str], most: int = NAMED) -> str:
    """The first names, and how many more there are.

    >>> some_of(["P1", "P2", "P3"], most=2)
    'P1, P2 and 1 more'
    """
    rest = len(names) - most
    return ", ".join(names[:most]) + (f" and {rest} more" if rest > 0 else "")
