"""The door between dates and slots: a season goes in as a problem, a solution comes out as bookings.

Only here does work become whole slots (always rounded up) and a date a slot. Slot 0 is midnight of the first
day that the season's bookings or its present touch; the past (`season.done`) may lie before it, at negative
slots, and only counts in the price.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cache, partial
from math import ceil

from planner.domain.firm.calendar import crew_windows, days_between, lost_to_clocks, part_of_day
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.lost import LostKind
from planner.domain.firm.people import runs, skills_of
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.visits import DayPart
from planner.domain.season.cost import appointed, first_bookings, is_near, rest_begins, site_open
from planner.domain.season.crew_time import monday_of, paid_h, used_h, worked_days
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.season.season import LEAST_PIECE_MIN, Mode, Season, Work
from planner.domain.season.towing import nobody_tows
from planner.domain.season.travel import depot_miles, minutes_of, pair_miles
from planner.errors import PlannerError
from planner.schedule.model.problem import (
    Fixed,
    Group,
    Lag,
    Placed,
    Pool,
    Prices,
    Problem,
    Solution,
    Span,
    Task,
    Told,
    Truck,
    Way,
    Worker,
)

#: A millionth of a slot is forgiven when work is rounded up.
GRACE = 1e-6


@dataclass(frozen=True, slots=True)
class Door:
    """How this season's slots and keys are read. lost_min: minutes added by rounding up to slots."""

    season: Season
    origin: date
    problem: Problem

    def slot(self, moment: datetime) -> int:
        """The first slot at or after a moment."""
        return _slot(self.origin, moment, self.season.slot_min)

    def moment(self, slot: int) -> datetime:
        """The wall time at which a slot begins."""
        return datetime.combine(self.origin, time()) + timedelta(minutes=slot * self.season.slot_min)

    def bookings(self, solution: Solution) -> tuple[Booking, ...]:
        """The solution's tasks as bookings, by start; fixed ones exactly as they were."""
        season = self.season
        rows = []
        for key, work in season.works.items():
            if work.fixed is not None:
                rows.append(work.fixed)
                continue
            placed = solution.placed[task_key(key)]
            mode = open_modes(season, work)[placed.way]
            pinned = season.jobs[key.job].pinned(key.phase)
            rows.append(
                Booking(
                    key=key,
                    crews=mode.crews,
                    start=self.moment(placed.start),
                    end=self.moment(placed.end),
                    crew_h=slots_of(mode.work_min, season.slot_min) * season.slot_min / 60,
                    machines=tuple(MachineUse(kind, unit + 1) for kind, unit in placed.units),
                    pinned=pinned,
                    begun=work.only_start is not None and not pinned and key not in season.frozen,
                )
            )
        return tuple(sorted(rows, key=lambda b: (b.start, b.end, b.key)))

    def placed(self, bookings: Iterable[Booking]) -> dict[str, Placed]:
        """Earlier bookings as placements, where the work and a way of it still exist; for a start.

        A machine unit that is gone is left out: the search chooses afresh.
        """
        found = {}
        for booking in bookings:
            work = self.season.works.get(booking.key)
            if work is None or work.fixed is not None:
                continue
            ways = open_modes(self.season, work)
            way = next((i for i, m in enumerate(ways) if m.crews == booking.crews), None)
            if way is None:
                way = next((i for i, m in enumerate(ways) if m.crews[0] == booking.lead), 0)
            units = tuple(
                (u.kind, u.unit - 1) for u in booking.machines if u.unit <= _units(self.season, u.kind)
            )
            found[task_key(booking.key)] = Placed(
                _slot(self.origin, booking.start, self.season.slot_min),
                _slot(self.origin, booking.end, self.season.slot_min),
                way,
                units,
            )
        return found


def task_key(key: WorkKey) -> str:
    """The work's name in the problem; sorts as the work's key does."""
    return f"{key.job}|{key.phase.value}|{key.part}"


def slots_of(minutes: float, slot_min: int) -> int:
    """Work rounded up to whole slots, at least one."""
    return max(1, ceil(minutes / slot_min - GRACE))


def enter(season: Season) -> Door:
    """The season as a problem. Raises PlannerError when the shift does not lie on the slot grid.

    Works without any open way stay out of reach of this function: look for clashes first.
    """
    origin = _origin(season)
    _check_grid(season)
    last = season.last_day
    fixed_last = [w.fixed.end.date() for w in season.works.values() if w.fixed is not None]
    day_slots = 24 * 60 // season.slot_min
    horizon_day = max([last, season.now.date(), *fixed_last])
    days = list(days_between(origin, horizon_day))
    crew_spans = {name: tuple(_crew_spans(season, name, days, origin)) for name in season.crews}
    jobs = _jobs_of(season)
    drive, legs = _ways_between(season, jobs)
    problem = Problem(
        horizon=len(days) * day_slots,
        tasks=(*_tasks(season, origin, days), *_past(season, origin, days)),
        workers=tuple(
            Worker(
                name,
                spans,
                {j: depot_miles(season, name, j) * season.firm.weights.travel_mile * 100 for j in jobs},
                *_wages(season, name, days),
                nobody_tows(season, name, days),
            )
            for name, spans in crew_spans.items()
        ),
        pools=tuple(_pools(season, days)),
        groups=tuple(_group(season, job, days, origin) for job in jobs),
        lags=tuple(_lags(season)),
        drive=drive,
        leg_price=legs,
        told=tuple(_told(season, origin)),
        prices=_prices(season),
        day_slots=day_slots,
        rests=tuple(i for i, day in enumerate(days) if day >= season.now.date() and rest_begins(season, day)),
        weekday=origin.weekday(),
        crumb_slots=LEAST_PIECE_MIN // season.slot_min,
        trucks=tuple(_trucks(season, days)),
    )
    return Door(season, origin, problem)


def open_modes(season: Season, work: Work) -> list[Mode]:
    """The modes that pins, skills, crews and machines leave open, in the work's order."""
    return [
        mode
        for mode in work.modes
        if all(c in season.crews for c in mode.crews)
        and (work.only_crew is None or mode.crews[0] == work.only_crew)
        and work.skills <= skills_of(season.crews[mode.crews[0]])
        and all(n == 0 or _units(season, kind) >= n for kind, n in mode.machines.items())
    ]


def _units(season: Season, kind: str) -> int:
    return season.machines[kind].units if kind in season.machines else 0


def _origin(season: Season) -> date:
    begun = [w.fixed.start.date() for w in season.works.values() if w.fixed is not None]
    return min([season.now.date(), *begun])


def _check_grid(season: Season) -> None:
    firm = season.firm
    paid_min = round(firm.paid_h_day * 60)
    begin = firm.shift_start.hour * 60 + firm.shift_start.minute
    for minutes in (begin, paid_min, firm.meal_break_min):
        if minutes % season.slot_min:
            raise PlannerError(
                f"the shift ({firm.shift_start:%H:%M}, {firm.paid_h_day:g} h, break {firm.meal_break_min})"
                f" does not lie on the {season.slot_min}-minute grid: change the firm's hours"
            )


def _slot(origin: date, moment: datetime, slot_min: int) -> int:
    """The slot of a moment, rounded up."""
    return -_slot_down(origin, moment, slot_min, -1)


def _slot_down(origin: date, moment: datetime, slot_min: int, sign: int = 1) -> int:
    minutes = (moment - datetime.combine(origin, time())) // timedelta(minutes=1)
    return sign * minutes // slot_min


def _day_slot(origin: date, day: date, slot_min: int) -> int:
    return (day - origin).days * (24 * 60 // slot_min)


def _crew_spans(season: Season, name: str, days: list[date], origin: date) -> Iterator[Span]:
    crew = season.crews[name]
    for day in days:
        for window in crew_windows(season.firm, crew, day, season.lost):
            yield (
                _slot(origin, window.start, season.slot_min),
                _slot_down(origin, window.end, season.slot_min),
            )


def _wages(season: Season, name: str, days: list[date]) -> tuple[tuple[float, ...], float]:
    """(wages of each week, wages of a slot) of the whole crew [cents]; none where idle hours cost nothing."""
    cents_h = season.firm.weights.idle_hour * 100 * season.crews[name].size
    if not cents_h:
        return (), 0.0
    mondays = sorted({monday_of(day) for day in days})
    return tuple(cents_h * paid_h(season, name, m) for m in mondays), cents_h * season.slot_min / 60


def _jobs_of(season: Season) -> list[str]:
    planned = [key.job for key in season.works]
    return list(dict.fromkeys([*planned, *(b.job for b in season.done)]))


def _ways_between(
    season: Season, jobs: list[str]
) -> tuple[dict[tuple[str, str], int], dict[tuple[str, str], float]]:
    """(slots of the drive, its price [cents]) for every pair of jobs; the way there is as long as the way
    back."""
    mile_cents = season.firm.weights.travel_mile * 100
    drive: dict[tuple[str, str], int] = {}
    price: dict[tuple[str, str], float] = {}
    for a, b, miles in pair_miles(season, jobs):
        there, back = (a, b), (b, a)
        drive[there] = drive[back] = ceil(minutes_of(season.firm, miles) / season.slot_min)
        price[there] = price[back] = miles * mile_cents
    return drive, price


def _group(season: Season, job: str, days: list[date], origin: date) -> Group:
    step = 24 * 60 // season.slot_min
    known = season.jobs[job]
    rain = [e.days for e in season.lost if e.kind is LostKind.RAIN and e.target and e.target == known.region]
    shut = [
        i
        for i in sorted({i for span in (*known.blackouts, *rain) for i in _indices(span, days)})
        if not site_open(season, job, days[i])
    ]
    return Group(
        key=job,
        closed=(*((i * step, (i + 1) * step) for i in shut), *_other_parts(season, known, days, origin)),
        due=None if known.promised is None else (known.promised - origin).days,
        late_price=0.0 if job in season.late_usd else season.firm.weights.late_day * known.importance * 100,
        wait_price=season.firm.weights.wait_day * 100,
        wait_from=(season.now.date() - origin).days,
        late_by_day=tuple(usd * 100 for usd in season.late_usd.get(job, ())),
    )


def _other_parts(season: Season, job: Job, days: list[date], origin: date) -> Iterator[Span]:
    """What of each day a visit was not promised for."""
    if job.day_part is DayPart.ANY:
        return
    step = 24 * 60 // season.slot_min
    for day in days:
        midnight, span = _day_slot(origin, day, season.slot_min), part_of_day(job.day_part, day)
        first, end = (_slot(origin, moment, season.slot_min) for moment in span)
        yield from (gap for gap in ((midnight, first), (end, midnight + step)) if gap[0] < gap[1])


def _indices(span: DayRange, days: list[date]) -> range:
    """Places of the span's days in the row of days."""
    first = (span.first - days[0]).days
    return range(max(0, first), min(len(days), (span.last - days[0]).days + 1))


def _pools(season: Season, days: list[date]) -> Iterator[Pool]:
    step = 24 * 60 // season.slot_min
    for kind, machine in season.machines.items():
        out = []
        for i, day in enumerate(days):
            missing = sum(o.units for o in machine.out if day in o.days)
            missing += sum(
                max(1, entry.people)
                for entry in season.lost
                if entry.kind is LostKind.MACHINE_DOWN and entry.target == kind and day in entry.days
            )
            out += [
                (unit, i * step, (i + 1) * step)
                for unit in range(max(0, machine.units - missing), machine.units)
            ]
        yield Pool(
            kind,
            machine.units,
            ceil(machine.move_h * 60 / season.slot_min - GRACE),
            machine.move_cost_usd * 100,
            tuple(out),
            machine.towed_lb,
        )


def _trucks(season: Season, days: Sequence[date]) -> Iterator[Truck]:
    """The firm's trucks; one of a crew that is no more brings nothing."""
    for key, truck in season.trucks.items():
        if not truck.crew or truck.crew in season.crews:
            out = tuple(i for i, day in enumerate(days) if not truck.runs_on(day))
            yield Truck(key, truck.tows_lb, truck.tows_day, truck.crew, out)


def _tasks(season: Season, origin: date, days: Sequence[date]) -> Iterator[Task]:
    slot_min = season.slot_min
    over = _day_slot(origin, season.last_day + timedelta(days=1), slot_min)
    shut = cache(partial(_no_operator, season, tuple(days)))
    begun = {booking.key[:2] for booking in season.done}
    for key, work in season.works.items():
        if work.fixed is not None:
            fixed = _fixed(season, work.fixed, origin, days)
            yield Task(task_key(key), (), key.job, fixed=fixed, stage=_stage(key), there=key[:2] in begun)
            continue
        ways = tuple(
            Way(
                mode.crews,
                slots_of(mode.work_min, slot_min),
                mode.held,
                shut(mode.crews[0], season.needs(key, mode.held)),
            )
            for mode in open_modes(season, work)
        )
        opens, soon = opening(season, work), max(season.now, work.cured or season.now)
        release = max(_slot(origin, soon, slot_min), _day_slot(origin, opens, slot_min) if opens else 0)
        start_at = None if work.only_start is None else _slot(origin, work.only_start, slot_min)
        least = 1 if start_at is not None else LEAST_PIECE_MIN // slot_min
        first = (task_key(key), ways, key.job, release, max(0, over), start_at)
        yield Task(*first, stage=_stage(key), one_day=work.one_day, least=least, there=key[:2] in begun)


def _no_operator(season: Season, days: Sequence[date], crew: str, kinds: frozenset[str]) -> tuple[Span, ...]:
    """The days on which nobody with the crew may run one of these machines, or has one of these skills."""
    step, lead = 24 * 60 // season.slot_min, season.crews.get(crew)
    if lead is None or not (kinds and (lead.people or lead.guests)):
        return ()
    return tuple((i * step, (i + 1) * step) for i, day in enumerate(days) if not runs(lead, kinds, day))


def _stage(key: WorkKey) -> int:
    """1 for what opens the hole, 2 for what closes it."""
    return {Phase.DIG: 1, Phase.LINER: 2}.get(key.phase, 0)


def opening(season: Season, work: Work) -> date | None:
    """The first day on which the work may run: its gates, and the day after a late delivery or a failed
    inspection; None when nothing holds it."""
    waits = [
        entry.days.last + timedelta(days=1)
        for entry in season.lost
        if entry.kind in {LostKind.DELIVERY, LostKind.INSPECTION}
        and entry.target == work.key.job
        and entry.phase in {"", work.key.phase.value}
    ]
    return max([*waits, *([work.opens] if work.opens else [])], default=None)


def _fixed(season: Season, booking: Booking, origin: date, reached: Sequence[date]) -> Fixed:
    days = worked_days(season, booking)
    return Fixed(
        _slot_down(origin, booking.start, season.slot_min),
        _slot(origin, booking.end, season.slot_min),
        tuple(c for c in booking.crews if c in season.crews),
        tuple((use.kind, use.unit - 1) for use in booking.machines if use.kind in season.machines),
        tuple((day - origin).days for day, _ in days),
        days[0][1] / season.slot_min if days else 0.0,
        days[-1][1] / season.slot_min if days else 0.0,
        used_h(season, booking) * 60 / season.slot_min,
        _no_operator(season, reached, booking.lead, season.needs(booking.key, booking.kinds)),
    )


def _past(season: Season, origin: date, days: Sequence[date]) -> Iterator[Task]:
    for number, booking in enumerate(season.done):
        yield Task(
            f"{task_key(booking.key)}|done {number}",
            (),
            booking.job,
            fixed=_fixed(season, booking, origin, days),
            past=True,
            stage=_stage(booking.key),
        )


def _lags(season: Season) -> Iterator[Lag]:
    ends = {work.fixed.end for work in season.works.values() if work.fixed is not None}
    longer_h = {
        lag_h: lost_to_clocks(season.firm, lag_h, season.now, season.last_day, ends, season.slot_min)
        for lag_h in {after.lag_h for work in season.works.values() for after in work.after}
    }
    for key, work in season.works.items():
        if work.fixed is not None:
            continue
        for after in work.after:
            if after.before in season.works:
                wall_h = after.lag_h + longer_h[after.lag_h]
                slots = max(0, ceil(wall_h * 60 / season.slot_min - GRACE))
                yield Lag(task_key(after.before), task_key(key), after.share, slots)


def _told(season: Season, origin: date) -> Iterator[Told]:
    weights = season.firm.weights
    edge = season.now + timedelta(days=weights.near_days)
    planned = [old for key, old in season.published.items() if key in season.works]
    for job, (first, _) in first_bookings(season, planned).items():
        price = weights.moved_near if is_near(first.start, edge) else weights.moved_far
        keys = tuple(task_key(old.key) for old in planned if old.job == job)
        yield Told(keys, (first.start.date() - origin).days, first.lead, price * 100)
        if weights.call and job in season.told:
            yield Told(keys, (season.told[job][0] - origin).days, "", 0.0, weights.call * 100)
    if weights.appointment:
        for key, day in appointed(season).items():
            yield Told((task_key(key),), (day - origin).days, "", 0.0, weights.appointment * 100)


def _prices(season: Season) -> Prices:
    weights = season.firm.weights
    return Prices(
        hand_over=weights.crew_change * 100,
        comeback=weights.leave_and_return * 100,
        site_day=weights.site_day * 100,
        open_day=weights.open_day * 100,
        hole_day=weights.hole_day * 100,
        hole_rest=weights.hole_rest * 100,
        begun_rest=weights.begun_rest * 100,
        crumb=weights.crumb * 100,
    )
