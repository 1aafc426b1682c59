"""How a plan stands against its promises: what the screens say about it in one line or one row.

In: a plan, the jobs, the money weights' cost. Out: `PlanStanding` with whole numbers and dates.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from planner.domain.calendar import spare_days
from planner.domain.firm import Firm
from planner.domain.jobs import Job
from planner.domain.plan import Plan


@dataclass(frozen=True, slots=True)
class JobStanding:
    """One job in the plan: first and last day, crews in order, promise, working days to spare.

    spare_days: below 0 when late (see `calendar.spare_days`), None without a promise.
    """

    code: str
    client: str
    first: date
    last: date
    crews: tuple[str, ...]
    promised: date | None
    spare_days: int | None

    @property
    def late(self) -> bool:
        """True when the plan ends after the promise."""
        return self.spare_days is not None and self.spare_days < 0


@dataclass(frozen=True, slots=True)
class PlanStanding:
    """A whole plan: jobs by first day, how many promises it keeps, how it compares.

    better_than_rule: share of the dispatch rule's cost that it saves, None when not known; gap: share of the
    proven bound by which it may be above the best possible, None when no bound above 0 was proved.
    """

    jobs: tuple[JobStanding, ...]
    promised: int
    kept: int
    better_than_rule: float | None
    gap: float | None

    @property
    def late(self) -> tuple[JobStanding, ...]:
        """The jobs that end after their promise, worst first."""
        return tuple(sorted((j for j in self.jobs if j.late), key=lambda j: j.spare_days or 0))


def plan_standing(plan: Plan, jobs: Mapping[str, Job], firm: Firm) -> PlanStanding:
    """How `plan` stands; jobs that the office has since removed are left out."""
    codes = sorted({b.job for b in plan.bookings if b.job in jobs})
    rows = sorted((_job(plan, jobs[code], firm) for code in codes), key=lambda j: (j.first, j.code))
    total = plan.cost.total_cents
    rule, bound = plan.dispatch_cents, plan.bound_cents
    return PlanStanding(
        jobs=tuple(rows),
        promised=sum(j.promised is not None for j in rows),
        kept=sum(j.promised is not None and not j.late for j in rows),
        better_than_rule=None if not rule else (rule - total) / rule,
        gap=None if bound is None or bound <= 0 else max(0.0, (total - bound) / bound),
    )


def _job(plan: Plan, job: Job, firm: Firm) -> JobStanding:
    rows = plan.of_job(job.code)
    last = max(b.end for b in rows).date()
    return JobStanding(
        code=job.code,
        client=job.client,
        first=rows[0].start.date(),
        last=last,
        crews=tuple(dict.fromkeys(b.lead for b in rows)),
        promised=job.promised,
        spare_days=None if job.promised is None else spare_days(firm, last, job.promised),
    )
