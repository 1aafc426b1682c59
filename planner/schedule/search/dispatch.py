"""The whiteboard: a crew takes the next job when it is free. The start of every search, and the fallback.

Three rules say which job is next: earliest due date; least slack (due date less time now less work left);
apparent tardiness cost (Vepsalainen and Morton, Management Science 33, 1987, from memory: weight over work
times exp(-slack / (2 x mean work))). The best of the three by price is the yardstick of every plan.
"""

from __future__ import annotations

from collections.abc import Callable
from math import exp
from typing import NamedTuple

from planner.schedule.model.decode import Decisions, Piece, holds_for_limits, lay, pieces, settle_quickest
from planner.schedule.model.price import Bill, Pricer
from planner.schedule.model.shop import FAR, Shop
from planner.schedule.model.timetable import Timetable


class Case(NamedTuple):
    """A waiting job as the rules see it: slack and due in slots, weight, work in slots, mean work of all."""

    slack: float
    due: float
    weight: float
    work: float
    mean: float


def _tardiness_cost(case: Case) -> float:
    return -case.weight / case.work * exp(-max(0.0, case.slack) / (2.0 * case.mean))


#: name -> rank of a case, least first
Rule = Callable[[Case], float]

RULES: dict[str, Rule] = {
    "earliest due date": lambda case: case.due,
    "least slack": lambda case: case.slack,
    "apparent tardiness cost": _tardiness_cost,
}


def best_dispatch(shop: Shop, pricer: Pricer) -> tuple[Timetable, Bill, str]:
    """The best of the rules' timetables, its bill and the rule's name."""
    found: list[tuple[int, float, int, Timetable, Bill, str]] = []
    for place, (name, rule) in enumerate(RULES.items()):
        table = dispatch(shop, rule) if shop.grouped else by_tail(shop)
        bill = pricer.bill(table)
        found.append((bill.unplaced, bill.total, place, table, bill, name))
        if not shop.grouped:
            break
    _, _, _, table, bill, name = min(found, key=lambda row: row[:3])
    return table, bill, name


def dispatch(shop: Shop, rule: Rule) -> Timetable:
    """One rule's timetable: the crew that is free first takes the job that the rule ranks first."""
    table = Timetable(shop)
    waiting = pieces(shop)
    work = {piece: float(sum(_least_work(shop, t) for t in piece)) for piece in waiting}
    mean = sum(work.values()) / max(1, len(work))
    leads = {piece: {o.workers[0] for o in shop.options[piece[0]] if o.workers} for piece in waiting}
    group = {piece: shop.problem.groups[shop.group[piece[0]]] for piece in waiting}
    due = {p: float(FAR if g.due is None else (g.due + 1) * shop.day_slots) for p, g in group.items()}
    weight = {p: g.late_price or 1.0 for p, g in group.items()}
    while waiting:
        now, worker = _free_first(table, set().union(*(leads[p] for p in waiting)))
        able = [p for p in waiting if worker is None or worker in leads[p]] or waiting
        soonest = min(shop.release[p[0]] for p in able)
        open_now = [p for p in able if shop.release[p[0]] <= max(now, soonest)]

        def rank(piece: Piece, now: int = now) -> tuple[float, int]:
            slack = due[piece] - now - work[piece]
            return rule(Case(slack, due[piece], weight[piece], work[piece], mean)), piece[0]

        piece = min(open_now, key=rank)
        waiting.remove(piece)
        lay_with(shop, table, piece, worker)
    return table


def lay_with(shop: Shop, table: Timetable, piece: Piece, worker: int | None) -> None:
    """Lay a piece with one worker alone wherever it may; elsewhere the single one that ends first."""
    for task in piece:
        alone = [n for n, o in enumerate(shop.options[task]) if o.workers == (worker,)]
        single = [n for n, o in enumerate(shop.options[task]) if len(o.workers) <= 1]
        ranked = (alone, single, list(range(len(shop.options[task]))))
        any(settle_quickest(table, task, among) for among in ranked if among)


def by_tail(shop: Shop) -> Timetable:
    """For instances without groups: tasks by the longest chain of work that hangs on them."""
    tail = [0] * len(shop.tasks)
    for task in reversed(range(len(shop.tasks))):
        own = _least_work(shop, task) if shop.options[task] else 0
        tail[task] = own + max((tail[f] for f in shop.followers[task]), default=0)
    ready = {i for i in shop.free if not _waits(shop, i, set())}
    done: set[int] = set()
    order: list[Piece] = []
    while ready:
        task = max(ready, key=lambda i: (tail[i], -i))
        ready.remove(task)
        done.add(task)
        order.append((task,))
        ready |= {f for f in shop.followers[task] if f not in done and not _waits(shop, f, done)}
    decisions = Decisions(order, [-1] * len(shop.tasks), shop.release[:])
    if any(link.most < FAR for links in shop.links for link in links):
        return holds_for_limits(shop, decisions)
    table = Timetable(shop)
    lay(table, order, decisions.choice)
    return table


def _waits(shop: Shop, task: int, done: set[int]) -> bool:
    return any(shop.tasks[k.before].fixed is None and k.before not in done for k in shop.links[task])


def _least_work(shop: Shop, task: int) -> int:
    return min(option.work for option in shop.options[task])


def _free_first(table: Timetable, able: set[int]) -> tuple[int, int | None]:
    """(slot, worker) that is free first among those who may lead some waiting piece; (0, None) without."""
    rows = [(max(table.worker_rows[w][1], default=0), w) for w in sorted(able)]
    return min(rows, default=(0, None), key=lambda row: row[0])
