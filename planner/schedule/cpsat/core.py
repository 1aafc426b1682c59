"""Jobs that cannot all be done: a smallest set of them, proven by CP-SAT.

Used when the search leaves work without a place. A plan that CP-SAT finds is taken; when it proves that there
is none, jobs are left out one by one while the proof still stands, until each job that is left is needed.
"""

from __future__ import annotations

from planner.schedule.cpsat.exact import all_ways, lay_again, run
from planner.schedule.model.decode import Piece
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.model.watch import Watch

#: Deterministic seconds for one question, and in all.
ONE, ALL = 4.0, 40.0


def complete(shop: Shop, parts: list[Piece], watch: Watch, seed: int) -> Timetable | list[Piece] | None:
    """A complete timetable; or a smallest list of pieces that cannot all be placed; None when not known."""
    status, table, spent = _ask(shop, parts, watch, seed)
    if status != "INFEASIBLE":
        return table
    needed = list(parts)
    for part in parts:
        fewer = [p for p in needed if p is not part]
        if spent > ALL or watch.over() or not fewer:
            break
        status, _, used = _ask(shop, fewer, watch, seed)
        spent += used
        if status == "INFEASIBLE":
            needed = fewer
    return needed


def _ask(shop: Shop, parts: list[Piece], watch: Watch, seed: int) -> tuple[str, Timetable | None, float]:
    """CP-SAT's word on whether these pieces fit beside what is fixed, and where."""
    from ortools.sat.python import cp_model

    from planner.schedule.cpsat.places import Places

    free = [t for p in parts for t in p]
    empty = Timetable(shop)
    rules = Places(shop, empty, free, 0, shop.horizon, all_ways(shop, free))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = ONE
    solver.parameters.catch_sigint_signal = False
    name = solver.status_name(run(solver, rules.model, watch))
    used = float(solver.response_proto.deterministic_time) + 0.1
    if name not in {"OPTIMAL", "FEASIBLE"}:
        return name, None, used
    line = rules.line
    starts = {t: line.clock[min(solver.value(rules.begin[t]), line.size - 1)] for t in free}
    chosen = {t: next(n for n in rules.ways[t] if solver.boolean_value(rules.way[t, n])) for t in free}
    return name, lay_again(empty, free, starts, chosen), used
