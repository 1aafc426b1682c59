"""Tiny hand-made seasons: one crew A (and B), a week of 07:00 to 15:30 days, every hour chosen by hand.

2027-04-05 is a Monday. The shift is 07:00-11:00 and 11:30-15:30: eight hours, sixteen slots of 30 minutes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime

from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.season import After, Mode, Season, Work

MONDAY = date(2027, 4, 5)
#: Nothing costs anything: a test switches on what it is about.
FREE = Weights(
    late_day=0,
    crew_change=0,
    leave_and_return=0,
    travel_mile=0,
    site_day=0,
    open_day=0,
    moved_near=0,
    moved_far=0,
    freeze_days=0,
    notice_days=0,
)


def at(day: int, clock: str) -> datetime:
    """A moment of April 2027: at(5, "07:00") is Monday's first."""
    return datetime.combine(date(2027, 4, day), datetime.strptime(clock, "%H:%M").time())


def key(job: str, phase: Phase = Phase.DIG, part: int = 1) -> WorkKey:
    return WorkKey(job, phase, part)


def work(
    job: str,
    hours: float | Mapping[str, float],
    phase: Phase = Phase.DIG,
    *,
    crews: Iterable[str] = ("A",),
    machines: Mapping[str, int] | None = None,
    after: tuple[After, ...] = (),
    **more: object,
) -> Work:
    """A work that each of `crews` may do alone in `hours` (or hours by crew)."""
    by_crew = hours if isinstance(hours, Mapping) else dict.fromkeys(crews, hours)
    modes = tuple(Mode((c,), h * 60, machines or {}) for c, h in by_crew.items())
    return Work(key(job, phase), modes, after, **more)  # type: ignore[arg-type]


def season(
    *works: Work,
    crews: Iterable[Crew | str] = ("A",),
    machines: Iterable[Machine] = (),
    jobs: Iterable[Job] = (),
    weights: Weights = FREE,
    firm: Firm | None = None,
    **more: object,
) -> Season:
    """A season that begins on Monday at 06:00; jobs that are not given are made up on one site."""
    known = {j.code: j for j in jobs}
    for w in works:
        known.setdefault(
            w.key.job, Job(w.key.job, f"client {w.key.job}", latitude_deg=41.0, longitude_deg=-74.0)
        )
    team = [Crew(c, f"lead {c}") if isinstance(c, str) else c for c in crews]
    base = firm or Firm(depot_latitude_deg=41.0, depot_longitude_deg=-74.0, country="", weights=weights)
    settings: dict[str, object] = {"now": datetime(2027, 4, 5, 6), "last_day": date(2027, 4, 30), **more}
    return Season(
        firm=base,
        jobs=known,
        crews={c.name: c for c in team},
        machines={m.key: m for m in machines},
        works={w.key: w for w in works},
        **settings,  # type: ignore[arg-type]
    )
