"""The season from the store, and the plan back into it.

No transaction is open while the scheduler works: the facts are read, the plan is made, and on saving the
plan carries the mark of the facts it was made from.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from planner.domain.crew_day.pauses import Before, gaps_before
from planner.domain.firm.records import PlanHead
from planner.domain.forecast.expected import Aimed
from planner.domain.forecast.slack import judged, with_slack
from planner.domain.season.breaches import breaches
from planner.domain.season.facts import season_of
from planner.domain.season.plan import Plan
from planner.domain.season.season import Season
from planner.domain.spelling import did_you_mean
from planner.domain.standing.even_if import EvenIf, marked_note, without
from planner.domain.standing.reasons import Reason, Relief
from planner.domain.standing.roster import Roster
from planner.domain.standing.stale import stale_words
from planner.domain.standing.trade_gates import Appointment, appointments
from planner.domain.wording import counted
from planner.errors import BadInput, PlannerError
from planner.flow.forecast.expecting import Judge
from planner.flow.forecast.playing import basis_of
from planner.flow.season.aiming import Limits, aimed
from planner.flow.season.visits import make_due_visits
from planner.flow.stored.facts import gated_facts, load_facts, rules_beside
from planner.flow.stored.roster import moved_since, read_in_force, shown_plan
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.schedule.model.effort import Progress as Progress  # noqa: PLC0414  (told on to the command line)
    from planner.store.books import Book


@dataclass(frozen=True, slots=True)
class Made:
    """A plan and the season that it was made for; aimed: what it comes to in life, None when not asked.

    grown: visits that their kept rules made for it.
    """

    plan: Plan
    season: Season
    aimed: Aimed | None = None
    grown: tuple[str, ...] = ()


def make_plan(
    location: str,
    now: datetime,
    *,
    seconds: float,
    steps: int | None = None,
    cores: int = 1,
    seed: int = 1,
    note: str = "",
    slack_days: int = 0,
    promises_first: bool = False,
    expected: bool = False,
    on_paper: bool = False,
    even_if: Collection[EvenIf] = (),
    on_progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Made:
    """Plan the season and save the plan as a new draft version.

    seconds: of the clock; 0 gives the plain rule's plan. steps: of search on each core, whatever they take;
    the same facts, seed, steps and cores give the same plan. slack_days: the search aims at finishing so many
    days before each promise. promises_first: lateness counts before everything else, and money only among
    plans that are equally late. expected: also say what the plan comes to in life, and unless `on_paper`
    take the one of least expected price (`aiming`). even_if: what is left aside; the plan's note says so.

    Raises NoPlanFits with the rows that clash, NoPlanInTime, and PlannerError when there is nothing to plan.
    """
    grown = make_due_visits(location, now.date())
    facts = without(load_facts(location), even_if)
    season = season_of(facts, now)
    if not season.works:
        raise PlannerError("there is no work to plan: add a sold job with quantities (planner job add)")
    from planner.schedule.answers.freeze import freeze
    from planner.schedule.kernel.ready import compile_for_next_time
    from planner.schedule.model.effort import Effort
    from planner.schedule.solve import solve

    compile_for_next_time()
    season = freeze(season)
    start = facts.published if season.frozen else None
    judge = Judge(facts, season, basis_of(location, facts, now.date()), seed)
    found: Aimed | None = None
    if expected and not (on_paper or slack_days or promises_first):
        found = aimed(season, judge, Limits(seconds, steps, cores, seed, on_progress, stop), start)
    else:
        plan = solve(
            with_slack(season, slack_days),
            effort=Effort.for_seconds(seconds, steps=steps, cores=cores),
            seed=seed,
            on_progress=on_progress,
            stop=stop,
            promises_first=promises_first,
            start=start,
        )
        plan = judged(plan, season) if slack_days else plan
        found = Aimed(plan, judge.price(plan), "") if expected else None
    plan = found.plan if found is not None else plan
    plan = replace(plan, note=marked_note(note, even_if), made_at=now, history_mark=facts.history_mark)
    return Made(save_plan(location, plan, season), season, found, grown)


def save_plan(location: str, plan: Plan, season: Season) -> Plan:
    """Save a plan that breaks no rule; returns it with its number.

    Raises PlannerError naming the first breaches otherwise: a plan that breaks a rule is never stored.
    """
    broken = breaches(season, plan.bookings)
    if broken:
        told = "; ".join(f"{b.rule}: {b.text}" for b in broken[:3])
        raise PlannerError(
            f"the plan breaks {counted(len(broken), 'rule')} ({told}) and was not saved: please report this"
        )
    with Store(location).writing(who="planner") as book:
        return replace(plan, number=book.save_plan(plan))


def publish(location: str, number: int | None, now: datetime, who: str, *, even_so: bool = False) -> Plan:
    """Publish a plan (the newest when None): from now on crews and customers go by it.

    Refused when facts changed since the plan was made that can move it, unless `even_so`.
    """
    with Store(location).writing(who=who) as book:
        return _publish(book, location, book.plan(number), now, even_so=even_so)


def _publish(book: Book, location: str, plan: Plan, now: datetime, *, even_so: bool) -> Plan:
    """The one door through which a plan is told, new or told before: a stale one stays outside."""
    if not even_so:
        _still_fresh(book, location, plan, "or say --even-so: it is then told as stale on every page")
    book.publish(plan.number, _after_the_last(book.plans(), now))
    return book.plan(plan.number)


def _after_the_last(heads: Iterable[PlanHead], now: datetime) -> datetime:
    """When a plan is told that is told now: always after the one told last, also within the same minute."""
    last = max((head.published_at for head in heads if head.published_at), default=None)
    return now if last is None else max(now, last + timedelta(seconds=1))


def go_back(location: str, now: datetime, who: str, *, even_so: bool = False) -> Plan:
    """Publish again the plan that was published before the present one; twice leads back to the present one.

    It is published as it was, and refused when it is stale like any other, unless `even_so`.
    """
    with Store(location).writing(who=who) as book:
        told = sorted((h for h in book.plans() if h.published_at), key=lambda h: (h.published_at, h.number))
        if len(told) < 2:
            raise PlannerError("there is no earlier published plan to go back to: see `planner plan list`")
        return _publish(book, location, book.plan(told[-2].number), now, even_so=even_so)


def thin_plans(location: str, now: datetime, who: str, *, keep: int, days: int) -> list[int]:
    """Remove old drafts for good, never a plan that was published; their numbers."""
    with Store(location).writing(who=who) as book:
        return book.thin(keep, now - timedelta(days=days))


def plan_heads(location: str) -> list[PlanHead]:
    """All plans, newest first."""
    with Store(location).reading() as book:
        return sorted(book.plans(), key=lambda head: -head.number)


def plan_and_roster(
    location: str, today: date, number: int | None = None, *, draft: bool = False
) -> tuple[Plan, Roster]:
    """What still stands of a plan (`number`, else the published one, else the newest), and the roster."""
    with Store(location).reading() as book:
        roster, plan = read_in_force(book, location, today, number, draft=draft)
    return plan, roster


def plan_before(location: str, plan: Plan) -> Plan | None:
    """The plan that was told when this one was made, else the version before it; None for the first."""
    with Store(location).reading() as book:
        others = [head for head in book.plans() if head.number != plan.number]
        told = [h for h in others if h.published_at is not None and h.published_at <= plan.made_at]
        if told:
            return book.plan(max(told, key=lambda h: (h.published_at, h.number)).number)
        older = [head.number for head in others if head.number < plan.number]
        return book.plan(max(older)) if older else None


@dataclass(frozen=True, slots=True)
class Why:
    """What holds the jobs of a plan. gaps: job -> the hours before its work that are no work.

    comes: job -> who comes to it from outside, and how that stands.
    """

    plan: Plan
    found: list[Reason]
    eased: list[Relief]
    gaps: dict[str, list[Before]]
    comes: dict[str, list[Appointment]]


def why(
    location: str,
    jobs: Sequence[str],
    *,
    relief: bool,
    number: int | None = None,
    draft: bool = False,
) -> Why:
    """Why the jobs of a plan start when they do, and (with `relief`) what would help most.

    The published plan unless `number` or `draft` (the newest) says otherwise. Raises BadInput for a job that
    the plan does not hold, PlannerError when the plan is stale: its reasons would not be today's.
    """
    with Store(location).reading() as book:
        plan = shown_plan(book, number, draft=draft)
        facts = gated_facts(book, location, plan.made_at)
        _still_fresh(book, location, plan, "then ask about the draft (planner plan why --draft)")
        roster, standing = read_in_force(book, location, plan.made_at.date(), plan.number)
    planned = {booking.job for booking in plan.bookings}
    for code in jobs:
        if code not in planned:
            fix = f"plan {plan.number} does not hold it (planner plan show)"
            raise BadInput("job", code, did_you_mean(code, planned, fix))
    from planner.schedule.answers.explain import reasons, reliefs

    if facts.published is not None and facts.published.number == plan.number:
        facts = replace(facts, published=None)  # when it was made it was not told
    season = season_of(facts, plan.made_at)
    found, rules = reasons(season, plan, jobs), rules_beside(location)
    between = {r.job: gaps_before(roster, standing, rules, r.job) for r in found}
    comes: dict[str, list[Appointment]] = {reason.job: [] for reason in found}
    for one in appointments(roster.jobs, standing.bookings):
        comes.get(one.job, []).append(one)
    return Why(plan, found, reliefs(season, plan) if relief else [], between, comes)


def _still_fresh(book: Book, location: str, plan: Plan, way_out: str) -> None:
    moved = moved_since(book, location, plan)
    if moved:
        raise PlannerError(
            f"plan {plan.number} is {stale_words(moved)}: make a new one first (planner replan), {way_out}"
        )
