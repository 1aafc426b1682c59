"""CP-SAT at work: solve a part of a timetable, or the whole, and bring the answer back as a timetable.

The answer is laid again by the same decoder that the search uses, at its own starts, so that what the
model leaves out (a longer drive, a third site in a day) is put right, and priced truly. One worker, a
fixed seed and deterministic time make it the same on any machine.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Any

from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Bill, Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.model.watch import Watch


@dataclass(frozen=True, slots=True)
class Answer:
    """status: CP-SAT's word ("OPTIMAL", ...); table: None without a solution; bound [cents] of the model's
    part of the price; value: the model's own price of its solution; work: deterministic seconds used."""

    status: str
    table: Timetable | None
    bound: float
    value: float
    work: float


def solve_part(
    shop: Shop,
    pricer: Pricer,
    table: Timetable,
    free: list[int],
    low: int,
    high: int,
    ways: dict[int, list[int]],
    *,
    work: float,
    seed: int,
    watch: Watch,
    floors: dict[int, float] | None = None,
    alone: bool = False,
    light: bool = False,
) -> Answer:
    """Decide the `free` tasks anew between slots low and high with all else as in `table`.

    floors: group -> proven least own share [cents]; alone: price the groups' own shares only.
    """
    from ortools.sat.python import cp_model

    from planner.schedule.cpsat.places import Places
    from planner.schedule.cpsat.terms import SCALE, Terms

    rules = Places(shop, table, free, low, high, ways, light=light)
    terms = Terms(rules, pricer, alone=alone)
    for group, cents in (floors or {}).items():
        terms.floor(group, cents)
    if all(table.start[t] >= 0 for t in free):
        rules.hint_all()
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = work
    solver.parameters.catch_sigint_signal = False
    solver.parameters.linearization_level = 2 if shop.grouped and not light else 1
    status = run(solver, rules.model, watch)
    used = float(solver.response_proto.deterministic_time)
    name = solver.status_name(status)
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return Answer(name, None, 0.0, 0.0, used)
    line = rules.line
    starts = {t: line.clock[min(solver.value(rules.begin[t]), line.size - 1)] for t in free}
    chosen = {t: next(n for n in ways[t] if solver.boolean_value(rules.way[t, n])) for t in free}
    found = lay_again(table, free, starts, chosen)
    return Answer(name, found, solver.best_objective_bound / SCALE, solver.objective_value / SCALE, used)


def lay_again(
    table: Timetable, free: list[int], starts: dict[int, int], chosen: dict[int, int]
) -> Timetable | None:
    """`table` with the free tasks laid by start in their chosen ways; None when one finds no place."""
    new = table.copy()
    new.lift(free)
    done: set[int] = set()
    shop = table.shop
    left = sorted(free, key=lambda t: (starts[t], t))
    inside = set(free)
    while left:
        task = next(t for t in left if all(k.before not in inside or k.before in done for k in shop.links[t]))
        left.remove(task)
        done.add(task)
        new.hold[task] = max(shop.release[task], starts[task])
        if not new.settle(task, chosen[task]):
            return None
    return new


def run(solver: Any, model: Any, watch: Watch, callback: Any = None) -> Any:
    """Solve in a thread of its own, so that Ctrl-C and the caller's stop reach the solver at once."""
    box: list[Any] = []

    def work() -> None:
        box.append(solver.solve(model, callback) if callback is not None else solver.solve(model))

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    try:
        while thread.is_alive():
            thread.join(0.1)
            if thread.is_alive() and watch.over():
                solver.stop_search()
    except KeyboardInterrupt:
        watch.stopped = True
        solver.stop_search()
        thread.join()
    return box[0]


def reach(shop: Shop, table: Timetable, free: list[int], days: int) -> tuple[int, int]:
    """(low, high): slots from `days` before the first of the free tasks to `days` after the last."""
    starts = [table.start[t] for t in free if table.start[t] >= 0]
    ends = [table.end[t] for t in free if table.end[t] >= 0]
    low = max(0, min(starts, default=0) - days * shop.day_slots)
    high = min(shop.horizon, max(ends, default=shop.horizon) + days * shop.day_slots)
    return low // shop.day_slots * shop.day_slots, high


def all_ways(shop: Shop, free: list[int]) -> dict[int, list[int]]:
    """Every option of each task."""
    return {t: list(range(len(shop.options[t]))) for t in free}


def whole(
    shop: Shop, pricer: Pricer, watch: Watch, parts: list[Piece], *, work: float, seed: int
) -> tuple[str, float]:
    """One model of everything, within the incumbent's cost; offers what it finds. (status, bound [cents])."""
    free = [t for p in parts for t in p]
    table = watch.best
    assert table is not None
    top = horizon_needed(shop, pricer, watch.bill)
    floors = own_floors(shop, pricer, parts, top, watch) if shop.grouped else {}
    answer = solve_part(
        shop,
        pricer,
        table,
        free,
        0,
        top,
        all_ways(shop, free),
        work=work,
        seed=seed,
        watch=watch,
        floors=floors,
    )
    if answer.table is not None:
        watch.offer(answer.table, pricer.bill(answer.table))
    return answer.status, answer.bound


def own_floors(
    shop: Shop, pricer: Pricer, parts: list[Piece], top: int, watch: Watch, work: float = 2.0
) -> dict[int, float]:
    """Group -> proven least own share, the group alone in the world up to slot `top` [cents]."""
    empty = Timetable(shop)
    found: dict[int, float] = {}
    for part in parts:
        free = list(part)
        answer = solve_part(
            shop,
            pricer,
            empty,
            free,
            0,
            top,
            all_ways(shop, free),
            work=work,
            seed=1,
            watch=watch,
            alone=True,
        )
        if answer.status in {"OPTIMAL", "FEASIBLE"}:
            found[shop.group[free[0]]] = answer.bound
    return found


def horizon_needed(shop: Shop, pricer: Pricer, bill: Bill) -> int:
    """A slot that no plan cheaper than the bill passes: ending later would cost one job alone that much."""
    prices = pricer.prices
    if bill.unplaced:
        return shop.horizon
    if prices.makespan and not shop.problem.groups:
        return min(shop.horizon, int(bill.total / prices.makespan))
    if not shop.grouped:
        return shop.horizon
    days = []
    for group, due in enumerate(pricer.due):
        late, wait = pricer.late_price[group] if due is not None else 0.0, pricer.wait_price[group]
        if not late + wait:
            return shop.horizon
        begins = (due or 0) * late + pricer.wait_from[group] * wait
        days.append((bill.total + begins) / (late + wait))
    return min(shop.horizon, (int(max(days, default=0.0)) + 2) * shop.day_slots)
