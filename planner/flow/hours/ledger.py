"""Labour as an owner looks at it, from the store; and the pictures of what came back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from planner.domain.firm.jobs import Status
from planner.domain.hours.budget import Budget, budget
from planner.domain.hours.ledger import Ledger, ledger
from planner.domain.hours.pictures import Pictures, pictures
from planner.domain.hours.week import Week, week
from planner.flow.estimate.estimates import observed
from planner.flow.estimate.prices import besides_labor
from planner.flow.stored.facts import gated_facts
from planner.flow.stored.roster import read_in_force, shown_plan
from planner.store.engine import Store
from planner.store.shipped.money import money
from planner.store.shipped.own_file import folder_of

#: A job whose hours an owner looks at: sold, under way or done.
_LOOKED_AT = {Status.SOLD, Status.UNDER_WAY, Status.DONE}


def read_ledger(location: str, today: date, codes: Sequence[str] = (), *, done: bool = False) -> Ledger:
    """The jobs `codes`, else all that are sold or under way, with `done` the finished ones too.

    By the published plan, the newest draft before any is published. Raises BadInput for an unknown job.
    """
    with Store(location).reading() as book:
        facts = gated_facts(book, location)
        plan = shown_plan(book) if book.plans() else None
        asked = [book.job(code).code for code in codes]
    open_jobs = {job.code for job in facts.planned_jobs()}
    chosen = [
        job
        for job in facts.jobs
        if (job.code in asked if asked else job.status in _LOOKED_AT and (done or job.code in open_jobs))
    ]
    return ledger(facts, chosen, plan, today)


def read_budget(location: str, found: Ledger, today: date) -> Budget:
    """The ledger's hours in dollars, by the firm's own money, and what its jobs cost besides labor."""
    others = besides_labor(location, [job.job for job in found.jobs], today)
    return budget(found, money(folder_of(location)).labor.burdened_usd_h, others)


def read_week(location: str, today: date) -> Week:
    """The week that holds `today` and the next four; PlannerError when there is no plan yet."""
    with Store(location).reading() as book:
        roster, plan = read_in_force(book, location, today)
        return week(roster, plan, book.logs(), today, money(folder_of(location)).labor.burdened_usd_h)


def read_pictures(location: str) -> Pictures:
    """Told against worked, drift and coverage of every finished phase."""
    with Store(location).reading() as book:
        return pictures(observed(book, location, book.rate_book()))
