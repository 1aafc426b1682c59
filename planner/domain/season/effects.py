"""What a proposed edition would change in open jobs, before anybody accepts it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from math import ceil

from planner.domain.estimate.rates import RateBook
from planner.domain.firm.calendar import spare_days
from planner.domain.season.facts import Facts
from planner.domain.season.job_hours import job_hours
from planner.domain.season.ways import usual_crew


@dataclass(frozen=True, slots=True)
class Effect:
    """One open job under the edition that tells it and under the proposed one.

    before_h, after_h: crew-hours to go that a plan made now would hold; more_days: working days that this
    adds to the crew's work on it, below 0 when fewer; spare_days: between the published plan's finish and
    the promise, None without either.
    """

    job: str
    crew: str
    before_h: float
    after_h: float
    more_days: int
    promised: date | None
    spare_days: int | None

    @property
    def moves_promise(self) -> bool:
        """True when a promise that the plan keeps has fewer days to spare than the job takes more."""
        return self.spare_days is not None and 0 <= self.spare_days < self.more_days


def effects(facts: Facts, proposal: RateBook) -> tuple[Effect, ...]:
    """Each sold or running job with hours to go, by its edition and by `proposal`; largest change first."""
    codes = [job.code for job in facts.planned_jobs() if job.lines]
    newly = replace(facts, rates=proposal, told_by={**facts.told_by, **dict.fromkeys(codes, proposal)})
    found = [_effect(facts, newly, code) for code in codes]
    changed = [e for e in found if e.before_h > 0 or e.after_h > 0]
    return tuple(sorted(changed, key=lambda e: (-abs(e.after_h - e.before_h), e.job)))


def _effect(facts: Facts, newly: Facts, code: str) -> Effect:
    job = next(j for j in facts.jobs if j.code == code)
    plan = facts.published
    mine = plan.of_job(code) if plan else ()
    known = {c.name for c in facts.crews}
    crew = next((b.lead for b in mine if b.lead in known), usual_crew(job, facts.crews, facts.rules).name)
    before, after = (job_hours(f, job, plan, crew).fresh_to_go_h for f in (facts, newly))
    finish = plan.finish(code) if plan else None
    spare = spare_days(facts.firm, finish, job.promised) if finish and job.promised else None
    more = (after - before) / facts.firm.paid_h_day
    return Effect(code, crew, before, after, ceil(more) if more > 0 else int(more), job.promised, spare)
