"""Solve a season, or any problem: the best of the dispatch rules, then a search that never returns worse.

Stages: dispatch rules; a floor that no plan can pass; streams of annealed search; a floor that jobs share,
for a small season by branching; for that, or a problem without sites and prices, one CP-SAT model of the
whole. Either may prove the plan best. Each stage starts from the best so far and the caller may stop at any
moment without losing it. At the end each job moves forward as far as that costs nothing.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from math import floor, inf

from planner.domain.dates import long_day
from planner.domain.season.cost import plan_cost
from planner.domain.season.plan import Plan, PlanState, Searched
from planner.domain.season.season import Season
from planner.errors import NoPlanFits, NoPlanInTime
from planner.schedule.answers.clash import jobs_named
from planner.schedule.answers.clashes import find_clashes, plain_clashes
from planner.schedule.answers.engine import bookings_of, solution_of
from planner.schedule.answers.repair import laid_again
from planner.schedule.cpsat.core import complete
from planner.schedule.cpsat.exact import whole
from planner.schedule.door import Door, enter
from planner.schedule.kernel.compiling import COMPILED
from planner.schedule.model.decode import Piece, pieces
from planner.schedule.model.effort import Effort, Progress
from planner.schedule.model.price import Pricer
from planner.schedule.model.problem import Placed, Problem, Solution
from planner.schedule.model.shop import Shop
from planner.schedule.model.watch import SEARCH_ENDS, Watch
from planner.schedule.search.branching import floor_of
from planner.schedule.search.dispatch import best_dispatch
from planner.schedule.search.early import drawn_early
from planner.schedule.search.floor import floor_price
from planner.schedule.search.shares import seconds_for
from planner.schedule.search.side import search

#: Share of the time for the search where a proof comes after it.
SMALL_SEARCH = 0.45
#: Share of the time after which no further job is weighed by itself for the floor.
FLOOR_ENDS = 0.25
#: Share of the time after which the search makes room for the shared floor; where a proof follows, its end.
SHARES_FROM, SMALL_SHARES = 0.84, 0.8
#: The shared floor is left out when one round would take more than this share of the seconds, or of so many.
ROOM, PATIENT_S = 0.12, 60.0
#: By how much a plan's terms, each rounded to a whole cent, may sum up to less than its price [cents].
ROUNDING = 10


def solve(
    season: Season,
    *,
    effort: Effort,
    seed: int = 1,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    start: Plan | None = None,
    promises_first: bool = False,
) -> Plan:
    """The season's best plan within the effort; the same season, seed and steps give the same plan, and more
    steps never a dearer one.

    start: a plan to begin from, laid again in its order, when that is better than the dispatch rules.
    promises_first: lateness counts before everything else; among plans equally late the cheapest.
    Ctrl-C or `stop` keeps the best so far. Raises NoPlanFits when the rows prove that there is none,
    NoPlanInTime when none was found.
    """
    began, watch = _processor_s(), Watch(effort, on_progress, stop)
    if reasons := plain_clashes(season):
        raise NoPlanFits(reasons)
    door = enter(_late_first(season) if promises_first else season)
    shop = Shop(door.problem)
    pricer = Pricer(shop)
    begin(shop, pricer, watch, door.placed(start.bookings) if start else None)
    if watch.bill.unplaced and (reasons := find_clashes(season)):
        raise NoPlanFits(reasons)
    improve(shop, pricer, watch, seed)
    if watch.best is None or watch.bill.unplaced:
        _complete_or_refuse(season, shop, pricer, watch, seed)
    assert watch.best is not None
    best = watch.best
    if shop.grouped:
        best = drawn_early(shop, pricer, best, pieces(shop))
        watch.offer(best, pricer.bill(best))
        watch.tell(now=True)
    bookings = door.bookings(solution_of(shop, best, watch.bill.total))
    cost = plan_cost(season, bookings)
    proven = watch.proven
    bound = None if watch.bound is None or promises_first else max(0, floor(watch.bound) - ROUNDING)
    return Plan(
        bookings=bookings,
        cost=cost,
        state=PlanState.BEST if proven else PlanState.RULE if watch.at_rule else PlanState.FEASIBLE,
        made_at=season.now,
        note=note_of(watch),
        dispatch_cents=_dispatch_cents(season, door, shop, watch),
        bound_cents=cost.total_cents if proven else bound,
        seed=seed,
        search=Searched(watch.steps, effort.cores, watch.elapsed_s, _processor_s() - began),
    )


def _processor_s() -> float:
    """Seconds of processor that this process and those it started have used."""
    return sum(os.times()[:4])


def _late_first(season: Season) -> Season:
    """The season with lateness a thousand times as dear: beyond all that other terms can save."""
    weights = replace(season.firm.weights, late_day=max(1.0, season.firm.weights.late_day) * 1000)
    return replace(season, firm=replace(season.firm, weights=weights))


def _dispatch_cents(season: Season, door: Door, shop: Shop, watch: Watch) -> int | None:
    """The best dispatch rule's plan at the season's own prices; None when it left work without a place."""
    if watch.rule_table is None or watch.dispatch is None or watch.dispatch.unplaced:
        return None
    return plan_cost(season, bookings_of(door, shop, watch.rule_table)).total_cents


def solve_problem(
    problem: Problem,
    *,
    effort: Effort,
    seed: int = 1,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Solution:
    """The same engine on any problem. Raises NoPlanInTime when no complete solution was found."""
    shop = Shop(problem)
    pricer = Pricer(shop)
    watch = Watch(effort, on_progress, stop)
    begin(shop, pricer, watch)
    improve(shop, pricer, watch, seed)
    if watch.best is None or watch.bill.unplaced:
        raise NoPlanInTime("no complete solution found: allow more effort")
    found = solution_of(shop, watch.best, watch.bill.total)
    return Solution(found.placed, found.price, watch.bound, watch.proven, tuple(watch.stages), watch.cut)


def begin(shop: Shop, pricer: Pricer, watch: Watch, known: dict[str, Placed] | None = None) -> None:
    """The dispatch rules' plan: the start and the yardstick. known: a plan to begin from if it is better."""
    table, bill, rule = best_dispatch(shop, pricer)
    watch.dispatch, watch.rule_table = bill, table
    watch.offer(table, bill)
    watch.enter(f"dispatch: {rule}")
    if known:
        kept = laid_again(shop, known)
        watch.offer(kept, pricer.bill(kept))


def improve(shop: Shop, pricer: Pricer, watch: Watch, seed: int) -> None:
    """Run the other stages; `watch` holds the best. Ctrl-C ends them early."""
    try:
        _improve(shop, pricer, watch, seed)
    except KeyboardInterrupt:
        watch.stopped = True
    watch.tell(now=True)


def _complete_or_refuse(season: Season, shop: Shop, pricer: Pricer, watch: Watch, seed: int) -> None:
    """What the search could not place: CP-SAT places it, proves that it cannot be, or leaves it open."""
    found = complete(shop, pieces(shop), watch, seed) if not watch.over() else None
    if isinstance(found, list):
        words = jobs_named(season, {shop.tasks[t].group for p in found for t in p})
        raise NoPlanFits(
            [f"{words} cannot all be done by {long_day(season.last_day)} with these crews and machines"]
        )
    if found is not None:
        watch.offer(found, pricer.bill(found))
    if watch.best is None or watch.bill.unplaced:
        placed = watch.best.start if watch.best else [-1] * len(shop.tasks)
        words = jobs_named(season, {shop.tasks[t].group for t in shop.free if placed[t] < 0})
        raise NoPlanInTime(
            f"no place found before {long_day(season.last_day)} for {words}: "
            "allow more time, or a later season end"
        )


def _improve(shop: Shop, pricer: Pricer, watch: Watch, seed: int) -> None:
    if not shop.free:
        watch.bound = watch.bill.total
        return
    effort = watch.effort
    if effort.steps == 0:
        return
    parts = pieces(shop)
    searched = shop.grouped and shop.problem.prices.makespan == 0
    small = not searched or len(parts) <= effort.exact_jobs
    if searched:
        if effort.bound:
            watch.bound = floor_price(shop, pricer, parts, lambda: watch.used(FLOOR_ENDS))
        shared = effort.bound and seconds_for(shop, parts) < ROOM * min(effort.seconds, PATIENT_S)
        watch.enter("local search")
        till = SMALL_SEARCH if small else SHARES_FROM if shared else SEARCH_ENDS
        search(shop, pricer, watch, parts, seed, share=till)
        if shared and not watch.stopped:
            watch.enter("proven floor")
            _raise_floor(shop, pricer, watch, parts, SMALL_SHARES if small else SEARCH_ENDS)
    if watch.proven or watch.over() or not small:
        return
    watch.enter("whole season")
    work = effort.whole_work(plain=not searched)
    status, bound = whole(shop, pricer, watch, parts, work=work, seed=seed)
    watch.status = status
    watch.bound = bound if watch.bound is None else max(bound, watch.bound)


def _raise_floor(shop: Shop, pricer: Pricer, watch: Watch, parts: list[Piece], until: float) -> None:
    """A floor that jobs share, until its rounds are done or this share of the time is used."""
    goal, rounds = watch.bill.total, watch.effort.rounds
    # in plain Python one node takes too long, and by steps there is no clock to end them
    nodes = rounds if COMPILED and watch.effort.seconds < inf else 0
    found = floor_of(shop, pricer, parts, goal, rounds, nodes, lambda: watch.over(until))
    watch.bound = found if watch.bound is None else max(watch.bound, found)


def note_of(watch: Watch) -> str:
    """What a reader must know about how the plan was found; "" when the work limits ended it."""
    return "stopped by hand: the best so far" if watch.stopped else ""
