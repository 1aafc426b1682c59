"""Disagreements that are known and not yet mended: each must fail its test, so that mending it is noticed.

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


ONE_CREW_A_JOB = ("promises late and tight", "locate missing", "a job done", "clocks go forward")

OPEN: tuple[Open, ...] = (
    Open(
        "spare days",
        "plan show counts calendar days, the board working days",
        only=("promises late and tight", "two crews on one job"),
    ),
    Open("booking hours", "plan show --json counts the hours of the lead crew alone", but=ONE_CREW_A_JOB),
    Open("crews", "plan show lists the leads, not the crews that help", but=ONE_CREW_A_JOB),
    Open(
        "order amount",
        "the office orders net, the materials with waste and stock sizes",
        but=("two crews on one job", "metric"),
    ),
    Open("locate open", "the sheet says nothing of a locate that nobody asked for", only=("locate missing",)),
    Open("goes on", "a cancelled job's day that is past stays in one screen", only=("job cancelled",)),
    Open("goes on", "chances still play work that the calendar holds no more", only=("a job done",)),
    Open("depth below rim", "job and design part silently", only=("job and design parted",)),
    Open(
        "first day",
        "worked days and lost days vanish from plan and board",
        only=("re-planned after a day",),
    ),
)


def still_open(season: str, fact: str) -> str:
    """What is known to disagree on this fact in this season; "" when nothing."""
    return "; ".join(o.what for o in OPEN if o.fact == fact and o.shows_in(season))
