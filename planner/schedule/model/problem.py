"""What the engine solves: a plain, frozen, solver-free value that knows slots, not dates or ponds.

A `Task` is worked by one of its `Way`s: workers (unary, with calendars), whole slots of work, and units of
pools (held from start to end). Tasks belong to groups; a group is one job on one site. Work flows over
closed time without a break of its own; `Lag`s tie tasks in any directed graph. A job shop is a problem with
pools of one unit and no workers; a pond season is one with workers, sites and prices. Time counts in slots
from 0; `day_slots` slots make a day (1 where days mean nothing).

Every constructor refuses nonsense with `BadInput`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from planner.errors import BadInput

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Worker:
    """One that is in one place at a time. open: spans of slots it can work in, None for always.

    depot_price: group key -> price of one way between its depot and the group's site [cents].
    week_prices: of being there in each week from day 0 on, owed when any task lies in it [cents]; slot_price:
    what a slot of work takes off that [cents]. no_tow: days on which nobody with it may tow.
    """

    key: str
    open: tuple[Span, ...] | None = None
    depot_price: dict[str, float] = field(default_factory=dict)
    week_prices: tuple[float, ...] = ()
    slot_price: float = 0.0
    no_tow: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Truck:
    """What brings units of pools to their sites, where there are any trucks at all.

    tows: most that it may tow [lb]; a_day: units that it brings in a day; worker: for whom alone, "" for
    all; out: days without it.
    """

    key: str
    tows: float
    a_day: int = 1
    worker: str = ""
    out: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Pool:
    """A number of like units. move: slots between two uses at different sites; move_price [cents].

    out: (unit, first slot, end slot): no work with that unit (0 to units - 1) in that span. tow: what a unit
    weighs on its trailer, 0 when no truck brings it [lb].
    """

    key: str
    units: int = 1
    move: int = 0
    move_price: float = 0.0
    out: tuple[tuple[int, int, int], ...] = ()
    tow: float = 0.0

    def __post_init__(self) -> None:
        """At least one unit, no negative move."""
        if self.units < 0 or self.move < 0:
            raise BadInput("pool", self.key, "give a pool at least 0 units and a move of at least 0 slots")


@dataclass(frozen=True, slots=True)
class Group:
    """Tasks on one site. closed: spans without work there.

    due: last day that is in time, None without promise; late_price: per day after it [cents];
    wait_price: per day from day `wait_from` to the last end [cents]. late_by_day: in place of `late_price`,
    what ending on each day from `wait_from` on costs, the last for all later ones [cents].
    """

    key: str
    closed: tuple[Span, ...] = ()
    due: int | None = None
    late_price: float = 0.0
    wait_price: float = 0.0
    wait_from: int = 0
    late_by_day: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    """One way of doing a task: workers (lead first), slots of work, pool key -> units held throughout.

    closed: spans without work in this way (nobody there who may run its machine).
    """

    workers: tuple[str, ...] = ()
    work: int = 1
    uses: dict[str, int] = field(default_factory=dict)
    closed: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Fixed:
    """A task that is already placed: start and end slot, workers, (pool key, unit), days worked.

    first_part, last_part: slots worked on its first and last day; owed: slots that take off `slot_price`.
    closed: spans without work on it.
    """

    start: int
    end: int
    workers: tuple[str, ...] = ()
    units: tuple[tuple[str, int], ...] = ()
    days: tuple[int, ...] = ()
    first_part: float = 0.0
    last_part: float = 0.0
    owed: float = 0.0
    closed: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of uninterrupted work.

    release: earliest start slot; deadline: latest end slot, None for the horizon; start_at: the only start;
    fixed: placed already, nothing is decided; past: done, it holds nothing and only counts in the price.
    stage: 1 when it opens its group's hole, 2 when it closes it, else 0. one_day: its start and its last slot
    lie on one day. least: slots of it that its first day holds at least, or all of them. there: units that
    were nowhere before stand on its site already.
    """

    key: str
    ways: tuple[Way, ...]
    group: str = ""
    release: int = 0
    deadline: int | None = None
    start_at: int | None = None
    fixed: Fixed | None = None
    past: bool = False
    stage: int = 0
    one_day: bool = False
    least: int = 1
    there: bool = False


@dataclass(frozen=True, slots=True)
class Lag:
    """`after` starts at least `least` and at most `most` slots after `share` of `before`'s work is done.

    share 1 counts from the end of `before`, 0 from its start. With 0 < share < 1 `after` may also not end
    before `before` ends. most None: no upper limit.
    """

    before: str
    after: str
    share: float = 1.0
    least: int = 0
    most: int | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """What was told: the first of `tasks` starts on `day` with `lead`; price when it changes [cents].

    call: when the day changes, besides [cents]. An appointment is told its day too, at no price of the lead.
    """

    tasks: tuple[str, ...]
    day: int
    lead: str
    price: float
    call: float = 0.0


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices [cents].

    makespan: per slot until the last end; the others as `planner.domain.season.cost` has them.
    """

    makespan: float = 0.0
    hand_over: float = 0.0
    comeback: float = 0.0
    site_day: float = 0.0
    open_day: float = 0.0
    hole_day: float = 0.0
    hole_rest: float = 0.0
    begun_rest: float = 0.0
    crumb: float = 0.0


@dataclass(frozen=True, slots=True)
class Problem:
    """One whole instance. drive: slots, leg_price: cents, both (group key, group key) -> from site to site.

    rests: days on which a run of days off begins. weekday: of day 0, 0 Monday to 6 Sunday. crumb_slots: a
    worker's run of work on a site on a day is a crumb when it is shorter. trucks: none where none brings a
    unit.
    """

    horizon: int
    tasks: tuple[Task, ...]
    workers: tuple[Worker, ...] = ()
    pools: tuple[Pool, ...] = ()
    groups: tuple[Group, ...] = ()
    lags: tuple[Lag, ...] = ()
    drive: dict[tuple[str, str], int] = field(default_factory=dict)
    leg_price: dict[tuple[str, str], float] = field(default_factory=dict)
    told: tuple[Told, ...] = ()
    prices: Prices = field(default_factory=Prices)
    day_slots: int = 1
    rests: tuple[int, ...] = ()
    weekday: int = 0
    crumb_slots: int = 0
    trucks: tuple[Truck, ...] = ()

    def __post_init__(self) -> None:
        """Names are unique and known, work is positive, the graph has no cycle."""
        _unique("task", [t.key for t in self.tasks])
        _unique("worker", [w.key for w in self.workers])
        _unique("pool", [p.key for p in self.pools])
        _unique("group", [g.key for g in self.groups])
        workers, pools = {w.key for w in self.workers}, {p.key for p in self.pools}
        _unique("truck", [t.key for t in self.trucks])
        for truck in self.trucks:
            _known("worker", truck.worker, workers | {""})
        groups, tasks = {g.key for g in self.groups} | {""}, {t.key for t in self.tasks}
        for task in self.tasks:
            _known("group", task.group, groups)
            if not task.ways and task.fixed is None:
                raise BadInput("task", task.key, "give it at least one way of working")
            for way in task.ways:
                if way.work < 1:
                    raise BadInput("work", way.work, f"give {task.key} at least one slot of work")
                for worker in way.workers:
                    _known("worker", worker, workers)
                for pool in way.uses:
                    _known("pool", pool, pools)
        for lag in self.lags:
            _known("task", lag.before, tasks)
            _known("task", lag.after, tasks)
            if not 0 <= lag.share <= 1:
                raise BadInput("share", lag.share, "choose a share from 0 to 1")
        topological([t.key for t in self.tasks], self.lags)


def topological(keys: list[str], lags: tuple[Lag, ...]) -> list[str]:
    """`keys` so that each comes after all that it follows, otherwise in the given order.

    Raises BadInput when the lags run in a circle.
    """
    place = {key: i for i, key in enumerate(keys)}
    waits = [0] * len(keys)
    then: list[list[int]] = [[] for _ in keys]
    for lag in lags:
        then[place[lag.before]].append(place[lag.after])
        waits[place[lag.after]] += 1
    import heapq

    ready = [i for i, n in enumerate(waits) if n == 0]
    found = []
    while ready:
        i = heapq.heappop(ready)
        found.append(keys[i])
        for j in then[i]:
            waits[j] -= 1
            if waits[j] == 0:
                heapq.heappush(ready, j)
    if len(found) < len(keys):
        stuck = next(key for key, n in zip(keys, waits, strict=True) if n > 0)
        raise BadInput("lags", stuck, "remove the circle: this task waits for itself")
    return found


def _unique(what: str, keys: list[str]) -> None:
    if len(set(keys)) < len(keys):
        twice = next(k for k in keys if keys.count(k) > 1)
        raise BadInput(what, twice, "use each key once")


def _known(what: str, key: str, known: set[str]) -> None:
    if key not in known:
        raise BadInput(what, key, "name one that the problem has")


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one task lies: start and end slot, the index of its way, (pool key, unit) held."""

    start: int
    end: int
    way: int
    units: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Solution:
    """Task key -> Placed, the price [cents], a proven lower bound of the price or None, and whether proven.

    stages: what was done, in words, for the record; cut: the wall-clock safety cut struck.
    """

    placed: dict[str, Placed]
    price: float
    bound: float | None = None
    proven: bool = False
    stages: tuple[str, ...] = ()
    cut: bool = False
