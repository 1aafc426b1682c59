"""Re-plan: repair at once in the order kept, improve if there is time, say what changes; publish nothing."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

from planner.domain.forecast.slack import judged, with_slack
from planner.domain.season.cost import plan_cost
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.season.told_days import to_stay
from planner.domain.standing.changes import PlanChange, changes
from planner.domain.standing.disturbance import Disturbance, disturbance
from planner.domain.standing.even_if import EvenIf, marked_note, without
from planner.errors import BadInput, NoPlanInTime, PlannerError
from planner.flow.season.plans import save_plan
from planner.flow.season.visits import make_due_visits
from planner.flow.stored.facts import load_facts
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.schedule.model.effort import Progress


@dataclass(frozen=True, slots=True)
class Repair:
    """One repair and what it disturbs. words: what it moves."""

    plan: Plan
    disturbs: Disturbance

    @property
    def words(self) -> str:
        """What it moves, in words."""
        return self.plan.note


@dataclass(frozen=True, slots=True)
class Replanned:
    """The new draft, what it is compared with, and what changes for whom.

    repairs: those that have room, the least disturbing first, each next one cheaper for what it disturbs
    more; taken: the number of the one that the draft is, from 1, None when a search made it; repaired_cents:
    cost of the cheapest repair, None when none has room; least: what the least disturbing one disturbs;
    disturbs: what the plan does; plan: the cheapest repair or the improved one, saved; inside: jobs that move
    although they were told for the next days: they must; grown: visits that their kept rules made for it.
    """

    plan: Plan
    before: Plan
    season: Season
    repaired_cents: int | None
    least: Disturbance | None
    disturbs: Disturbance
    found: tuple[PlanChange, ...]
    inside: tuple[str, ...] = ()
    grown: tuple[str, ...] = ()
    repairs: tuple[Repair, ...] = ()
    taken: int | None = None


def replan(
    location: str,
    now: datetime,
    *,
    seconds: float,
    seed: int = 1,
    note: str = "",
    slack_days: int = 0,
    even_if: Collection[EvenIf] = (),
    number: int | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Replanned:
    """Make a new draft from the plan that crews go by: order kept, then improved for `seconds` (0: not).

    slack_days: the search aims at finishing so many days before each promise. even_if: what is left aside.
    number: the repair of that number without a search, 1 disturbs least (BadInput when there are fewer).

    The published plan (the newest when none is) is what the changes are told against. Raises PlannerError
    when there is nothing to re-plan, NoPlanFits and NoPlanInTime as planning does.
    """
    grown = make_due_visits(location, now.date())
    base = _base(location, now, even_if)
    before, season = base.before, base.season
    aim = with_slack(season, slack_days)
    fixes = fixes_of(season, before, quick=seconds <= 0 or number is not None)
    repairs = _listed(fixes, base.judge)
    start = min(fixes, key=lambda fix: plan_cost(aim, fix.bookings).total_cents, default=None)
    plan = start if number is None else _numbered(repairs, number)
    if seconds > 0 and number is None:
        plan = _searched(aim, start, seconds, seed, on_progress, stop)
        plan = judged(plan, season) if slack_days and plan is not start else plan
    assert plan is not None
    taken = next((n for n, one in enumerate(repairs, start=1) if one.plan is plan), None)
    words = note or ("order kept" if plan in fixes else "re-planned")
    plan = replace(plan, note=marked_note(words, even_if), made_at=now, history_mark=base.mark)
    saved = save_plan(location, plan, season)
    found = tuple(changes(before, saved, season))
    moved = {change.job for change in found}
    return Replanned(
        plan=saved,
        before=before,
        season=season,
        repaired_cents=start.cost.total_cents if start else None,
        least=repairs[0].disturbs if repairs else None,
        disturbs=base.judge(saved),
        found=found,
        inside=tuple(job for job in base.inside if job in moved),
        grown=grown,
        repairs=repairs,
        taken=taken,
    )


def repairs_now(location: str, now: datetime, even_if: Collection[EvenIf] = ()) -> tuple[Repair, ...]:
    """The repairs that `replan` would list and take one of by its number; nothing is saved.

    Raises as `replan` does.
    """
    base = _base(location, now, even_if)
    return _listed(fixes_of(base.season, base.before, quick=True), base.judge)


@dataclass(frozen=True, slots=True)
class _Base:
    """What is repaired, by which facts. season: with what must stay frozen in it; inside: jobs told for
    the next days that cannot stay as told; mark: how old the facts are.
    """

    before: Plan
    season: Season
    inside: tuple[str, ...]
    mark: int

    def judge(self, plan: Plan) -> Disturbance:
        """What a plan in its place would disturb."""
        return disturbance(self.before, plan, season=self.season)


def _base(location: str, now: datetime, even_if: Collection[EvenIf]) -> _Base:
    from planner.schedule.answers.freeze import freeze

    facts = without(load_facts(location), even_if)
    before = _before(location, facts)
    season = season_of(facts, now)
    if not season.works:
        raise PlannerError("no work is left to plan: every sold job is done")
    asked, season = to_stay(season), freeze(season)
    inside = tuple(sorted({key.job for key in asked.keys() - season.frozen.keys()}))
    return _Base(before, season, inside, facts.history_mark)


def _listed(fixes: Sequence[Plan], judge: Callable[[Plan], Disturbance]) -> tuple[Repair, ...]:
    """The repairs by what they disturb, without those that another one betters in every respect."""
    found: list[Repair] = []
    for one in sorted((Repair(fix, judge(fix)) for fix in fixes), key=lambda m: m.disturbs):
        if all(one.disturbs.cents < other.disturbs.cents for other in found):
            found.append(one)
    return tuple(found)


def _numbered(repairs: Sequence[Repair], number: int) -> Plan:
    if not 1 <= number <= len(repairs):
        raise BadInput(
            "--repair", number, f"choose 1 to {len(repairs)}, as `planner replan --quick` lists them"
        )
    return repairs[number - 1].plan


def _searched(
    aim: Season,
    start: Plan | None,
    seconds: float,
    seed: int,
    on_progress: Callable[[Progress], None] | None,
    stop: Callable[[], bool] | None,
) -> Plan:
    """The better of `start` and what a search from it finds, by `aim`."""
    from planner.schedule.kernel.ready import compile_for_next_time
    from planner.schedule.model.effort import Effort
    from planner.schedule.solve import solve

    compile_for_next_time()
    effort = Effort.for_seconds(seconds)
    improved = solve(aim, effort=effort, seed=seed, on_progress=on_progress, stop=stop, start=start)
    if start is None or improved.cost.total_cents < plan_cost(aim, start.bookings).total_cents:
        return improved
    return start


@dataclass(frozen=True, slots=True)
class Compared:
    """Two stored plans and what changes from the first to the second, by the facts of today."""

    old: Plan
    new: Plan
    found: tuple[PlanChange, ...]


def compare(location: str, now: datetime, old: int | None, new: int | None) -> Compared:
    """What changes between two plans: the published one and the newest when they are not named.

    Raises PlannerError when none is published and no old one is named, BadInput for an unknown number.
    """
    facts = load_facts(location)
    with Store(location).reading() as book:
        after = book.plan(new)
        before = facts.published if old is None else book.plan(old)
    if before is None:
        raise PlannerError("no plan is published yet: name the two plans, like `planner plan diff 1 2`")
    season = season_of(facts, now)
    return Compared(before, after, tuple(changes(before, after, season)))


def _before(location: str, facts: Facts) -> Plan:
    if facts.published is not None:
        return facts.published
    with Store(location).reading() as book:
        return book.plan()


def fixes_of(season: Season, before: Plan, *, quick: bool) -> list[Plan]:
    """The repairs that have room, new jobs in their earliest harmless places: only what cannot stay moved,
    another job giving way to it, the order kept.

    When it is not for `quick`, work may also come earlier into time that came free: all of it, or only what
    lies beyond the near days. Raises NoPlanInTime when it is quick and none has room.
    """
    from planner.schedule.answers.give_way import give_way
    from planner.schedule.answers.repair import patch, repair

    edge = season.now + timedelta(days=season.firm.weights.near_days)
    makers: list[Callable[[Season, Sequence[Booking]], Plan]] = [repair, patch, give_way]
    if not quick:
        makers += [partial(repair, loose_from=edge), partial(repair, loose_from=season.now)]
    found, refusal = [], None
    for make in makers:
        try:
            found.append(make(season, _with_new_jobs(season, before)))
        except NoPlanInTime as none:
            refusal = refusal or none
    if quick and not found and refusal is not None:
        raise refusal
    return found


def _with_new_jobs(season: Season, before: Plan) -> Sequence[Booking]:
    """The plan's bookings, and those of jobs that it lacks in their earliest harmless places."""
    from planner.schedule.answers.repair import insert

    order: Sequence[Booking] = before.bookings
    held = {b.job for b in order}
    new = {key.job for key in season.works} - held
    for code in sorted(new, key=lambda c: (season.jobs[c].promised or date.max, c)):
        held.add(code)
        order = [b for b in insert(season, order, code).plan.bookings if b.job in held]
    return order
