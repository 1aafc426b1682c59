"""What would keep more promises: each kind of help tried in the same luck as the plan itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from planner.domain.firm.crews import Crew
from planner.domain.forecast.basis import Basis
from planner.domain.forecast.outlook import Outlook, kept_by_season
from planner.domain.forecast.raising import (
    Raise,
    RaiseKind,
    best_raises,
    more_kept,
    with_hand,
    with_machine,
    with_saturdays,
)
from planner.domain.forecast.slack import with_slack
from planner.domain.season.cost import calls, plan_cost
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.errors import NoPlanFits, NoPlanInTime
from planner.flow.forecast.playing import played

#: Played seasons behind each difference: it is paired by luck, so that few show much.
SEASONS = 200
#: Another order is searched for with so many days in hand, in so many steps for each job.
SLACK_DAYS, STEPS = 7, 60


def raises(
    facts: Facts,
    now: datetime,
    plan: Plan,
    seen: Outlook,
    basis: Basis,
    *,
    seasons: int,
    seed: int,
    early: bool,
) -> tuple[Raise, ...]:
    """The three kinds of help that keep most more promises, with what each costs; none beyond its error."""
    if seen.expected_kept > seen.promises - 0.05:
        return ()
    bookings, n = plan.bookings, min(seasons, SEASONS)
    season = season_of(facts, now)
    base = kept_by_season(season, played(facts, season, bookings, basis, seasons=n, seed=seed, early=early))

    def gain(new: Facts, order: Sequence[Booking]) -> tuple[float, float]:
        then = season_of(new, now)
        draws = played(new, then, order, basis, seasons=n, seed=seed, early=early)
        return more_kept(base, kept_by_season(then, draws))

    found = []
    for new, help_ in _bought(facts, now, bookings, seen, basis):
        more, error = gain(new, bookings)
        found.append(replace(help_, more_kept=more, error=error))
    other = _another_order(season, plan)
    if other is not None:
        more, error = gain(facts, other.bookings)
        found.append(_of_order(season, plan, other, more, error))
    return best_raises(found)


def _bought(
    facts: Facts, now: datetime, bookings: Sequence[Booking], seen: Outlook, basis: Basis
) -> Iterator[tuple[Facts, Raise]]:
    """What money buys: Saturdays, a hand for the crew with the worst promises, a machine of each kind."""
    today, prices = now.date(), basis.book.prices
    crew = _worst_off(facts, bookings, seen)
    tries = [
        with_saturdays(facts, today, prices),
        with_hand(facts, crew, bookings, today, prices) if crew else None,
        *(with_machine(facts, machine.key, bookings, today, prices) for machine in facts.machines),
    ]
    yield from (tried for tried in tries if tried is not None)


def _worst_off(facts: Facts, bookings: Sequence[Booking], seen: Outlook) -> Crew | None:
    """The crew that leads the jobs with the most promises likely broken."""
    broken = {job.job: 1 - job.kept for job in seen.jobs if job.kept is not None}
    load = {crew.name: 0.0 for crew in facts.crews}
    for job, lead in {(b.job, b.lead) for b in bookings if b.lead in load}:
        load[lead] += broken.get(job, 0.0)
    return max(facts.crews, key=lambda crew: (load[crew.name], crew.name), default=None)


def _another_order(season: Season, plan: Plan) -> Plan | None:
    """A plan from this one that aims some days before each promise; None when none is found."""
    from planner.schedule.answers.freeze import freeze
    from planner.schedule.model.effort import Effort
    from planner.schedule.solve import solve

    aim = with_slack(freeze(season), SLACK_DAYS)
    steps = STEPS * len({b.job for b in plan.bookings})
    try:
        return solve(aim, effort=Effort(steps=steps, exact_jobs=0, bound=False), start=plan)
    except (NoPlanFits, NoPlanInTime):
        return None


def _of_order(season: Season, plan: Plan, other: Plan, more: float, error: float) -> Raise:
    dearer = (
        plan_cost(season, other.bookings).total_cents - plan_cost(season, plan.bookings).total_cents
    ) / 100
    told = calls(season, other.bookings)
    return Raise(
        RaiseKind.ORDER,
        f"another order of jobs, {SLACK_DAYS} days in hand: planner plan make --slack {SLACK_DAYS}",
        more,
        error,
        dearer,
        "the plan's price on paper, above this plan's",
        calls=told,
    )
