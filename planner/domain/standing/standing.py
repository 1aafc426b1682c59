"""How a plan stands against its promises: what the screens say about it in one line or one row.

In: a plan and the roster. Out: `PlanStanding` with whole numbers and dates.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from planner.domain.firm.calendar import spare_days
from planner.domain.firm.jobs import PLANNED, Job
from planner.domain.firm.records import Moved
from planner.domain.season.plan import Plan
from planner.domain.standing.in_force import hindered
from planner.domain.standing.roster import Roster


@dataclass(frozen=True, slots=True)
class JobStanding:
    """One job in the plan: its days, its crews in order, helpers too, promise, working days to spare.

    spare_days: below 0 when late (see `calendar.spare_days`), None without a promise; hindrance: why its work
    cannot go as planned, or that the job counts no more; "" when neither.
    """

    code: str
    client: str
    first: date
    last: date
    crews: tuple[str, ...]
    promised: date | None
    spare_days: int | None
    hindrance: str = ""

    @property
    def late(self) -> bool:
        """True when the plan ends after the promise."""
        return self.spare_days is not None and self.spare_days < 0


@dataclass(frozen=True, slots=True)
class PlanStanding:
    """A whole plan: jobs by first day, how many promises it keeps, how it compares.

    better_than_rule: share of the dispatch rule's cost that it saves, None when not known; gap: share of the
    proven bound by which it may be above the best possible, None when no bound above 0 was proved; moved:
    what changed since it was made.
    """

    jobs: tuple[JobStanding, ...]
    promised: int
    kept: int
    better_than_rule: float | None
    gap: float | None
    moved: tuple[Moved, ...] = ()

    @property
    def late(self) -> tuple[JobStanding, ...]:
        """The jobs that end after their promise, worst first."""
        return tuple(sorted((j for j in self.jobs if j.late), key=lambda j: j.spare_days or 0))


def plan_standing(plan: Plan, roster: Roster) -> PlanStanding:
    """How `plan` stands by what is known today; jobs that the office has since removed are left out.

    Only promises of jobs that still count are counted, and one whose work cannot go as planned is not kept.
    """
    codes = sorted({b.job for b in plan.bookings if b.job in roster.jobs})
    hurt = hindered(roster, plan)
    found = (_job(plan, roster, roster.jobs[code], hurt.get(code, "")) for code in codes)
    rows = sorted(found, key=lambda j: (j.first, j.code))
    promised = [j for j in rows if j.promised is not None and roster.jobs[j.code].status in PLANNED]
    total = plan.cost.total_cents
    rule, bound = plan.dispatch_cents, plan.bound_cents
    return PlanStanding(
        jobs=tuple(rows),
        promised=len(promised),
        kept=sum(not j.late and not j.hindrance for j in promised),
        better_than_rule=None if not rule else (rule - total) / rule,
        gap=None if bound is None or bound <= 0 else max(0.0, (total - bound) / bound),
        moved=roster.moved,
    )


def _job(plan: Plan, roster: Roster, job: Job, hindrance: str) -> JobStanding:
    rows = plan.of_job(job.code)
    last = max(b.end for b in rows).date()
    if job.status not in PLANNED:
        hindrance = f"counts no more: {job.status.value}"
    return JobStanding(
        code=job.code,
        client=job.client,
        first=roster.first_day(job.code, rows[0].start.date()),
        last=last,
        crews=tuple(dict.fromkeys(crew for b in rows for crew in b.crews)),
        promised=job.promised,
        spare_days=None if job.promised is None else spare_days(roster.firm, last, job.promised),
        hindrance=hindrance,
    )
