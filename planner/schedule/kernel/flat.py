"""The problem and its timetables as flat rows of numbers, which is what a fast step can read.

In: a `Shop`, its `Pricer`, a `Timetable`. Out: the rows that `planner.schedule.kernel.layout` describes, and
a timetable again. Lists when the kernel runs as plain Python, arrays when it is compiled.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple, TypeVar

from planner.schedule.kernel import layout
from planner.schedule.kernel.compiling import COMPILED
from planner.schedule.kernel.layout import Row
from planner.schedule.model.axis import Axis
from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import FAR, Shop
from planner.schedule.model.timetable import Timetable

T = TypeVar("T")


class Facts(NamedTuple):
    """What no step changes."""

    ints: Row
    axes: Row
    money: Row


def row(values: Iterable[Any], kind: str = "int64") -> Row:
    """The values as the kernel reads them: a list, or an array of `kind`."""
    if not COMPILED:
        return [float(v) for v in values] if kind == "float64" else list(values)
    import numpy as np

    return np.array(list(values), dtype=kind)


def _at(lists: Sequence[Sequence[T]]) -> tuple[list[int], list[T]]:
    """(where each list begins, the items of all)."""
    at = [0]
    for values in lists:
        at.append(at[-1] + len(values))
    return at, [v for values in lists for v in values]


class _Axes:
    """Axes numbered in the order in which they are asked for."""

    def __init__(self) -> None:
        self.number: dict[int, int] = {}
        self.all: list[Axis] = []

    def of(self, axis: Axis) -> int:
        known = self.number.get(id(axis))
        if known is None:
            known = self.number[id(axis)] = len(self.all)
            self.all.append(axis)
        return known


def facts_of(shop: Shop, pricer: Pricer, parts: list[Piece]) -> Facts:
    """The problem, flat. Every task of a part is free."""
    axes = _Axes()
    head = [0] * layout.HEAD
    lists = {
        **_of_tasks(shop, pricer, parts, axes),
        **_of_options(shop, axes),
        **_of_resources(shop, pricer, axes),
    }
    lists |= _of_groups(pricer)
    ints = head[:]
    for name, values in lists.items():
        head[getattr(layout, name.upper())] = len(ints)
        ints += values
    money = _money(shop, pricer, head)
    line = _lines(shop, axes, head, ints)
    _sizes(shop, pricer, parts, head)
    ints[: layout.HEAD] = head
    return Facts(row(ints), line, row(money, "float64"))


def _of_tasks(shop: Shop, pricer: Pricer, parts: list[Piece], axes: _Axes) -> dict[str, list[int]]:
    tasks, numbers = shop.tasks, range(len(shop.tasks))
    team_at, team = _at([pricer.team_of_fixed.get(i, []) for i in numbers])
    days = [pricer.days_of_fixed.get(i, ()) for i in numbers]
    link_at, links = _at(shop.links)
    part_at, part_task = _at(parts)
    part_of = {t: n for n, part in enumerate(parts) for t in part}
    return {
        "group": shop.group,
        "release": shop.release,
        "deadline": shop.deadline,
        "start_at": [-1 if t.start_at is None else t.start_at for t in tasks],
        "rank": shop.rank,
        "one_day": [int(mine) for mine in shop.one_day],
        "stage": [t.stage for t in tasks],
        "least": [t.least for t in tasks],
        "fixed": [int(t.fixed is not None) for t in tasks],
        "fixed_axis": [
            -1
            if t.fixed is None
            else axes.of(shop.axis(tuple(pricer.team_of_fixed[i]), shop.group[i], t.fixed.closed))
            for i, t in enumerate(tasks)
        ],
        "fixed_lead": [pricer.lead_of_fixed.get(i, -1) for i in numbers],
        "fixed_team_at": team_at,
        "fixed_team": team,
        "fixed_first": [d[0] if d else -1 for d in days],
        "fixed_last": [d[-1] if d else -1 for d in days],
        "fixed_days": [len(d) for d in days],
        "link_at": link_at,
        "link_before": [k.before for k in links],
        "link_least": [k.least for k in links],
        "link_most": [k.most for k in links],
        "part_at": part_at,
        "part_task": part_task,
        "part_of": [part_of.get(i, -1) for i in numbers],
    }


def _of_options(shop: Shop, axes: _Axes) -> dict[str, list[int]]:
    option_at, options = _at(shop.options)
    team_at, team = _at([o.workers for o in options])
    use_at, uses = _at([o.uses for o in options])
    return {
        "option_at": option_at,
        "option_work": [o.work for o in options],
        "option_axis": [axes.of(o.axis) for o in options],
        "option_alone": [o.workers[0] if len(o.workers) == 1 else -1 for o in options],
        "team_at": team_at,
        "team": team,
        "use_at": use_at,
        "use_first": [first for first, _, _ in uses],
        "use_count": [count for _, count, _ in uses],
        "use_need": [need for _, _, need in uses],
    }


def _of_resources(shop: Shop, pricer: Pricer, axes: _Axes) -> dict[str, list[int]]:
    worker_past_at, worker_past = _at(pricer.past_of_worker)
    unit_past_at, unit_past = _at(pricer.past_of_unit)
    out_at, outs = _at(shop.unit_out)
    return {
        "worker_axis": [axes.of(a) for a in shop.worker_axis],
        "worker_past_at": worker_past_at,
        "worker_past": worker_past,
        "worker_past_end": pricer.past_end,
        "drive": [slots for line in shop.drive for slots in line],
        "unit_move": shop.unit_move,
        "unit_out_at": out_at,
        "unit_out_first": [first for first, _ in outs],
        "unit_out_end": [end for _, end in outs],
        "rest": [bisect_right(pricer.rests, day) for day in range(shop.horizon // shop.day_slots + 1)],
        "unit_past_at": unit_past_at,
        "unit_past": unit_past,
        "there": [int(mine) for mine in shop.there],
        "unit_tow": shop.unit_tow,
        "no_tow": [int(shut) for line in shop.no_tow for shut in line],
        "truck_tows": shop.truck_tows,
        "truck_of": shop.truck_of,
        "truck_left": [left for line in shop.truck_left for left in line],
    }


def _of_groups(pricer: Pricer) -> dict[str, list[int]]:
    member_at, member = _at(pricer.tasks_of)
    told_at, told = _at(pricer.told)
    told_task_at, told_task = _at([tasks for tasks, *_ in told])
    late_at, _ = _at(pricer.late_by_day)
    return {
        "late_at": late_at,
        "member_at": member_at,
        "member": member,
        "due": [-FAR if due is None else due for due in pricer.due],
        "wait_from": pricer.wait_from,
        "told_at": told_at,
        "told_day": [day for _, day, *_ in told],
        "told_lead": [lead for _, _, lead, *_ in told],
        "told_task_at": told_task_at,
        "told_task": told_task,
    }


def _money(shop: Shop, pricer: Pricer, head: list[int]) -> list[float]:
    prices = pricer.prices
    lists = {
        "link_share": [k.share for mine in shop.links for k in mine],
        "depot": [cents for line in shop.depot for cents in line],
        "leg": [cents for line in shop.leg for cents in line],
        "unit_price": shop.unit_price,
        "late_price": pricer.late_price,
        "late_by_day": [cents for by_day in pricer.late_by_day for cents in by_day],
        "wait_price": pricer.wait_price,
        "told_price": [price for mine in pricer.told for *_, price, _ in mine],
        "told_call": [call for mine in pricer.told for *_, call in mine],
        "prices": [
            *(prices.hand_over, prices.comeback, prices.site_day, prices.open_day),
            *(prices.hole_day, prices.hole_rest, prices.begun_rest, prices.crumb),
        ],
        "fixed_edges": [
            part
            for t in shop.tasks
            for part in ((t.fixed.first_part, t.fixed.last_part) if t.fixed else (0, 0))
        ],
        "fixed_owed": [t.fixed.owed if t.fixed else 0.0 for t in shop.tasks],
        "week_sum": [cents for sums in pricer.week_sums for cents in sums],
        "slot_price": pricer.slot_price,
    }
    money: list[float] = []
    for name, values in lists.items():
        head[getattr(layout, name.upper())] = len(money)
        money += values
    return money


def _lines(shop: Shop, axes: _Axes, head: list[int], ints: list[int]) -> Row:
    """The shop's axes, all in one row: worked slots before each slot, then where they lie, then the days
    begun."""
    numbers, before_at, at_at = shop.joined
    for place, values in (
        (layout.AXIS_BEFORE_AT, [before_at[id(a)] for a in axes.all]),
        (layout.AXIS_AT_AT, [at_at[id(a)] for a in axes.all]),
        (layout.AXIS_COUNT, [a.count for a in axes.all]),
    ):
        head[place] = len(ints)
        ints += values
    head[layout.AXIS_DAY] = (len(numbers) - min(at_at.values(), default=0)) // 2
    if not COMPILED:
        return numbers
    import numpy as np

    return np.frombuffer(numbers, dtype=np.int32)


def _sizes(shop: Shop, pricer: Pricer, parts: list[Piece], head: list[int]) -> None:
    tasks, workers, units, groups = len(shop.tasks), len(shop.worker_axis), len(shop.pool_of), len(pricer.due)
    past_most = max([len(p) for p in (*pricer.past_of_worker, *pricer.past_of_unit)], default=0)
    held = max([sum(n for _, _, n in o.uses) for mine in shop.options for o in mine], default=0)
    room = tasks + past_most + 2
    head[layout.HORIZON], head[layout.DAY] = shop.horizon, shop.day_slots
    head[layout.TASKS], head[layout.WORKERS], head[layout.UNITS] = tasks, workers, units
    head[layout.GROUPS], head[layout.PARTS], head[layout.ROOM] = groups, len(parts), room
    head[layout.HELD] = max(1, held)
    head[layout.DRIVES] = int(any(any(line) for line in shop.drive))
    head[layout.CHOOSY] = int(any(len(o) > 1 for o in shop.options))
    head[layout.HOLDS] = 2 * tasks + 2
    head[layout.WEEKDAY], head[layout.CRUMB] = shop.problem.weekday, shop.problem.crumb_slots
    head[layout.WEEKS] = max([len(sums) for sums in pricer.week_sums], default=0)
    head[layout.TOWED], head[layout.TRUCKS] = int(shop.towed), len(shop.truck_tows)
    head[layout.TOW_DAYS] = shop.horizon // shop.day_slots + 1
    lines = workers + units
    head[layout.UNITS_HELD] = 4 * tasks
    head[layout.ROW_COUNT] = 4 * tasks + tasks * head[layout.HELD]
    head[layout.ROWS] = head[layout.ROW_COUNT] + lines
    head[layout.STRIDE] = lines * room
    spans = workers * (2 * tasks + 2)
    notes = {
        "order": len(parts) + 1,
        "tasks": tasks,
        "choice": tasks,
        "hold_task": head[layout.HOLDS],
        "hold_slot": head[layout.HOLDS],
        "span_first": spans,
        "span_last": spans,
        "span_count": workers,
        "rows": lines,
        "groups": groups,
        "marks": lines + groups,
        "merged": room,
        "sites": room,
        "keys": room,
        "fit": 2 + head[layout.HELD],
        "best": 2 + head[layout.HELD],
        "found": 2 * units + 2,
        "loads": 2 * units * room + 2,
        "left": len(shop.truck_tows) + 1,
        "pushed": 3 * units + 3,
        "later": units + 2,
        "ruin": len(parts) + 1,
    }
    _cut(head, "NOTE_", notes, layout.OWED + 1)
    sums = {"price": 2, "group_price": groups, "group_new": groups, "unit_price": units, "unit_new": units}
    sums |= {"kept": 1 + groups + units}
    _cut(head, "SUM_", sums, 0)


def _cut(head: list[int], prefix: str, sizes: dict[str, int], first: int) -> None:
    """Give each list its place, one after another from `first` on."""
    for name, size in sizes.items():
        head[getattr(layout, prefix + name.upper())] = first
        first += size


def state_of(facts: Facts, table: Timetable) -> Row:
    """A timetable, flat."""
    ints = facts.ints
    room, held = int(ints[layout.ROOM]), int(ints[layout.HELD])
    state: list[int] = []
    for task in zip(table.start, table.end, table.option, table.hold, strict=True):
        state += task
    for mine in table.units:
        state += [*mine[:held], *[-1] * (held - len(mine))]
    rows = [*table.worker_rows, *table.unit_rows]
    state += [len(line[0]) for line in rows]
    for column in range(3):
        for line in rows:
            state += line[column]
            state += [0] * (room - len(line[column]))
    return row(state)


def table_of(shop: Shop, facts: Facts, state: Row) -> Timetable:
    """The flat state as a timetable again."""
    table, ints = Timetable(shop), facts.ints
    room, held, stride = int(ints[layout.ROOM]), int(ints[layout.HELD]), int(ints[layout.STRIDE])
    rows, units, count = int(ints[layout.ROWS]), int(ints[layout.UNITS_HELD]), int(ints[layout.ROW_COUNT])
    for task in shop.free:
        start, end, option, hold = (int(x) for x in state[4 * task : 4 * task + 4])
        table.start[task], table.end[task], table.option[task], table.hold[task] = start, end, option, hold
        mine = state[units + task * held : units + (task + 1) * held]
        table.units[task] = tuple(int(u) for u in mine if u >= 0) if start >= 0 else ()
    for number, line in enumerate([*table.worker_rows, *table.unit_rows]):
        low = rows + number * room
        high = low + int(state[count + number])
        for column, values in enumerate(line):
            values[:] = [int(x) for x in state[low + column * stride : high + column * stride]]
    return table


class Notes(NamedTuple):
    """What a step writes down: whole numbers and prices [cents]."""

    notes: Row
    sums: Row


def notes_of(facts: Facts, seed: int) -> Notes:
    """Empty notes, with dice that begin at `seed`."""
    ints = facts.ints
    notes = [0] * (int(ints[layout.NOTE_RUIN]) + int(ints[layout.PARTS]) + 1)
    notes[0] = (seed * 2654435761 + 97) % 4294967291 + 1
    choice = int(ints[layout.NOTE_CHOICE])
    notes[choice : choice + int(ints[layout.TASKS])] = [-2] * int(ints[layout.TASKS])
    sums = [0.0] * (int(ints[layout.SUM_KEPT]) + 1 + int(ints[layout.GROUPS]) + int(ints[layout.UNITS]))
    return Notes(row(notes), row(sums, "float64"))
