"""From decisions to a timetable: in which order the pieces are laid down, and each task's way.

A piece is a run of tasks that are laid one after another, usually a whole job. Each task goes to the first
place that its lags and resources leave, into gaps too, so an order of jobs says much with little.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.schedule.model.shop import FAR, Shop
from planner.schedule.model.timetable import Fit, Timetable

Piece = tuple[int, ...]

#: A task's choice when the quickest way is to be taken as the timetable stands.
QUICKEST = -1


@dataclass(slots=True)
class Decisions:
    """order: pieces in the order of laying; choice[t]: number of the task's option, or QUICKEST;
    hold[t]: no start before this slot (release or later)."""

    order: list[Piece]
    choice: list[int]
    hold: list[int]

    def copy(self) -> Decisions:
        """An independent copy."""
        return Decisions(self.order[:], self.choice[:], self.hold[:])


def pieces(shop: Shop) -> list[Piece]:
    """One piece per group, or one per task where lags cross groups."""
    if shop.grouped:
        return [tuple(tasks) for tasks in shop.members if tasks]
    return [(i,) for i in shop.free]


def decode(shop: Shop, decisions: Decisions) -> Timetable:
    """The timetable that the decisions lead to. Tasks without a place stay unplaced (start -1)."""
    table = Timetable(shop)
    table.hold = decisions.hold[:]
    lay(table, decisions.order, decisions.choice)
    return table


def lay(table: Timetable, order: Sequence[Piece], choice: Sequence[int]) -> None:
    """Lay the pieces into the timetable, in order."""
    for piece in order:
        for task in piece:
            chosen = choice[task]
            if chosen >= 0:
                table.settle(task, chosen)
            else:
                settle_quickest(table, task, range(len(table.shop.options[task])))


def settle_quickest(table: Timetable, task: int, among: Sequence[int]) -> bool:
    """Place the task by the option of `among` that ends first; fewer workers win a tie, then the order."""
    best: tuple[int, int, int] | None = None
    best_fit: Fit | None = None
    shop = table.shop
    soon, late, least_end = table.earliest(task)
    if soon < 0:
        return False
    wanted = shop.tasks[task].start_at
    if wanted is not None:
        if soon > wanted:
            return False
        soon = late = wanted
    for number in among:
        option = shop.options[task][number]
        fit = table.fit(task, option, soon, least_end)
        if fit is None or fit.start > late or fit.end > shop.deadline[task]:
            continue
        rank = (fit.end, len(option.workers), number)
        if best is None or rank < best:
            best, best_fit = rank, fit
    if best is None or best_fit is None:
        return False
    table.put(task, best[2], best_fit)
    return True


def holds_for_limits(shop: Shop, decisions: Decisions, tries: int = 200) -> Timetable:
    """Decode where lags have upper limits: a task that began too early for its follower waits, and again.

    Returns the last timetable; tasks may be unplaced in it when the tries did not suffice.
    """
    hold = decisions.hold[:]
    choice = decisions.choice
    table = Timetable(shop)
    for _ in range(tries):
        table = Timetable(shop)
        table.hold = hold[:]
        if not _push(shop, table, decisions.order, choice, hold):
            break
    return table


def _push(
    shop: Shop, table: Timetable, order: Sequence[Piece], choice: Sequence[int], hold: list[int]
) -> bool:
    """Lay; at the first task that comes too late for an upper limit, raise its predecessor's hold."""
    for piece in order:
        for task in piece:
            among = range(len(shop.options[task])) if choice[task] < 0 else (choice[task],)
            if settle_quickest(table, task, among):
                continue
            limits = [link for link in shop.links[task] if link.most < FAR]
            soon, late, least_end = table.earliest(task)
            if soon < 0 or not limits:
                continue
            fits = [table.fit(task, shop.options[task][n], soon, least_end) for n in among]
            first = min((f.start for f in fits if f is not None), default=-1)
            if first <= late:
                continue
            for link in limits:
                over = first - (table.point(link.before, link.share) + link.most)
                if over > 0 and shop.tasks[link.before].fixed is None:
                    hold[link.before] = max(hold[link.before], table.start[link.before] + over)
                    return True
    return False
