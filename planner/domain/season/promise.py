"""What can be promised to an inquiry: the earliest harmless day, one at P80, the price of earlier.

In: a season with the inquiry taken in, plans with and without it. Out: values for the page. How the place is
found is the scheduler's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from planner.domain.firm.calendar import spare_days
from planner.domain.firm.jobs import Gate, Job, Status
from planner.domain.season.facts import Facts
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season


@dataclass(frozen=True, slots=True)
class Hurt:
    """What an earlier day does to another job: its finish before and then, working days late."""

    job: str
    client: str
    before: date
    then: date
    promised: date | None
    late_days: int


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier finish and its price: who is late then, the plan's cost above that of the harmless place,
    and promises of others kept more on average, below 0 when fewer.
    """

    finish: date
    start: date
    hurts: tuple[Hurt, ...]
    more_cents: int
    kept_change: float = 0.0


@dataclass(frozen=True, slots=True)
class OtherChance:
    """What the place does to another job's promise: chance that it is kept before and then, 0 to 1."""

    job: str
    client: str
    before_chance: float
    then_chance: float


@dataclass(frozen=True, slots=True)
class Offer:
    """What can be promised. start, earliest: first work and water in of the place that hurts no promise;

    percentile_day: the finish at `percentile` of the played seasons, the day to promise; in_season: it lies
    in the season; shifted: other jobs that move inside their promises for it; earlier: what comes before it,
    and whom it hurts; waits: gates of a locate asked and material ordered today; crew_h: hours that the place
    holds [crew-hours]; others: jobs whose chance falls for it; kept_change: promises of others kept more on
    average for it, below 0 when fewer, with its standard error kept_error.
    """

    job: str
    client: str
    crew: str
    start: date
    earliest: date
    percentile_day: date
    percentile: float
    shifted: tuple[str, ...]
    earlier: tuple[Earlier, ...]
    plan: Plan
    waits: tuple[Gate, ...] = ()
    crew_h: float = 0.0
    in_season: bool = True
    others: tuple[OtherChance, ...] = ()
    kept_change: float = 0.0
    kept_error: float = 0.0


def taken_in(facts: Facts, job: Job, waits: Iterable[Gate], promised: date | None = None) -> Facts:
    """The facts with the job as if sold with that promise, whether it is stored or not.

    waits: gates besides its own (`notice.notice_gates`).
    """
    sold = replace(job, status=Status.SOLD, promised=promised, gates=(*job.gates, *waits))
    others = tuple(other for other in facts.jobs if other.code != job.code)
    return replace(facts, jobs=(*others, sold))


def hurts(season: Season, job: str, before: Mapping[str, date], plan: Plan) -> tuple[Hurt, ...]:
    """Jobs, other than `job`, that the plan makes later after their promise than they were.

    before: job -> finish in the plan without it.
    """
    found = []
    for code, was in before.items():
        then = plan.finish(code)
        promised = season.jobs[code].promised if code in season.jobs else None
        if code == job or then is None or promised is None:
            continue
        late = max(0, -spare_days(season.firm, then, promised))
        if then > max(was, promised):
            found.append(Hurt(code, season.jobs[code].client, was, then, promised, late))
    return tuple(sorted(found, key=lambda h: (-h.late_days, h.job)))


def finishes(bookings: tuple[Booking, ...]) -> dict[str, date]:
    """Job -> day of its last booking's end."""
    ends: dict[str, date] = {}
    for b in bookings:
        ends[b.job] = max(ends.get(b.job, date.min), b.end.date())
    return ends
