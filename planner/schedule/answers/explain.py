"""Why a job starts when it does, how much room its promise has, and what would help most.

`reasons` follows, for each job, what holds its start back to a cause that a person can act on: a gate, a
pin, a crew that is away, the present. `reliefs` lays the plan again in its own order with one thing eased
at a time (one more machine for some days, a gate a week earlier) and reports what that brings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property

from planner.domain.dates import day_words, moment_words
from planner.domain.firm.calendar import crew_away, is_working_day, spare_days, working_days
from planner.domain.firm.crews import Crew, Machine, MachineOut
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.people import no_operator
from planner.domain.firm.phases import WorkKey
from planner.domain.season.cost import site_open
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.standing.reasons import Hold, Reason, Relief
from planner.domain.wording import shown
from planner.schedule.answers.clash import machine_name
from planner.schedule.answers.towed import Untowed, as_placed
from planner.schedule.door import Door, enter, opening, task_key
from planner.schedule.model.decode import settle_quickest
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Row, Timetable


def reasons(season: Season, plan: Plan | Sequence[Booking], jobs: Sequence[str] = ()) -> list[Reason]:
    """A `Reason` for each job (all planned ones when none are named), in the order of their starts."""
    rows = list(plan.bookings if isinstance(plan, Plan) else plan)
    case = _Case(season, rows)
    first: dict[str, Booking] = {}
    for booking in sorted(rows, key=lambda b: (b.start, b.key)):
        first.setdefault(booking.job, booking)
    return [
        Reason(job, case.chain(booking.key), spare_of(season, rows, job))
        for job, booking in first.items()
        if not jobs or job in jobs
    ]


def spare_of(season: Season, rows: Sequence[Booking], job: str) -> int | None:
    """Working days to spare between the job's last booking and its promise; below 0 when late."""
    promised = season.jobs[job].promised
    if promised is None:
        return None
    finish = max(b.end.date() for b in rows if b.job == job)
    return spare_days(season.firm, finish, promised)


class _Case:
    """The plan as a timetable, and who stands before whom."""

    def __init__(self, season: Season, rows: Sequence[Booking]) -> None:
        self.season = season
        self.door: Door = enter(season)
        self.shop = Shop(self.door.problem)
        self.keys = {self.shop.number[task_key(k)]: k for k in season.works}
        self.booked = {b.key: b for b in rows}
        self.table = as_placed(self.shop, self.door, rows)
        self.ready: dict[WorkKey, int] = {}

    @cached_property
    def untowed(self) -> Untowed | None:
        """The plan beside itself without trucks; None where the firm names none."""
        return Untowed(self.season, list(self.booked.values())) if self.season.trucks else None

    def chain(self, key: WorkKey) -> tuple[Hold, ...]:
        """Holds from `key` back to a cause."""
        found: list[Hold] = []
        seen: set[WorkKey] = set()
        here: WorkKey | None = key
        while here is not None and here not in seen:
            seen.add(here)
            hold = self.hold(here)
            found.append(hold)
            here = hold.behind
        return tuple(found)

    def hold(self, key: WorkKey) -> Hold:
        """What holds this work's start."""
        work, booking = self.season.works[key], self.booked[key]
        task = self.shop.number[task_key(key)]
        if work.fixed is not None:
            return Hold(key, "pinned", f"{key.words} has begun or is fixed on {moment_words(booking.start)}")
        if work.only_start is not None:
            pinned = self.season.jobs[key.job].pinned(key.phase)
            how = "is pinned to" if pinned else "has begun and goes on at"
            how = "was told, and stays on" if key in self.season.frozen else how
            return Hold(key, "pinned", f"{key.words} {how} {moment_words(work.only_start)}")
        table = self.table
        start = table.start[task]
        soon, by = self._order(key, task)
        if soon >= start:
            return self._shut_since(key, task, by) or by
        scrap = self._scrap(key, task, soon, by)
        if scrap is not None:
            return scrap
        option = self.shop.options[task][table.option[task]]
        alone = table.copy()
        alone.lift([task])
        alone.hold[task] = self.shop.release[task]
        asked, _, least_end = alone.earliest(task)
        fit = alone.fit(task, option, max(0, asked), least_end)
        if fit is not None and fit.start < start:
            text = (
                f"{key.words} could begin on {moment_words(self.door.moment(fit.start))}; waiting costs less"
            )
            return Hold(key, "choice", text)
        towed = self.untowed.hold(key) if self.untowed else None
        return towed or self._blocked(key, task, max(soon, 0), start) or self._closed(key, start)

    def _shut_since(self, key: WorkKey, task: int, by: Hold) -> Hold | None:
        """Closed working days between the moment that `by` leaves and the start, when there are any."""
        start = self.table.start[task]
        ready = self.ready[key]
        first, last = self.door.moment(ready).date(), self.door.moment(start).date()
        shut = [d for d in working_days(self.season.firm, first, last) if first <= d < last]
        late = ready % self.shop.day_slots > self.table.axis_of(task).at[0] % self.shop.day_slots
        if late and shut and shut[0] == first:
            shut = shut[1:]  # the rest of the day was too short or over
        return self._closed(key, start) if shut and by.behind is None else None

    def _scrap(self, key: WorkKey, task: int, soon: int, by: Hold) -> Hold | None:
        """What is left of the day on which it could begin, when only that being too little holds it back."""
        option = self.shop.options[task][self.table.option[task]]
        axis, k = option.axis, option.axis.before[max(soon, 0)]
        least = min(self.shop.tasks[task].least, option.work) - 1
        left = next((n for n in range(least + 1) if axis.day[k + n] != axis.day[k]), 0)
        if not left or axis.at[k + left] != self.table.start[task]:
            return None
        day, minutes = self.door.moment(axis.at[k]), left * self.season.slot_min
        text = f"{key.words} is not begun for the last {minutes} min of {day_words(day.date())}"
        return Hold(key, by.kind, f"{text}: least is an hour ({by.text})", by.behind)

    def _order(self, key: WorkKey, task: int) -> tuple[int, Hold]:
        """(first slot after gates and order, what sets it); the axis' next worked slot counts as held."""
        season, shop, work = self.season, self.shop, self.season.works[key]
        axis = self.table.axis_of(task)
        found: list[tuple[int, Hold]] = []
        opens = opening(season, work)
        if opens is not None and opens > season.now.date():
            late = "late delivery or failed inspection"
            why = (work.opens_why or "its gate") if work.opens == opens else late
            found.append(
                (shop.release[task], Hold(key, "gate", f"{key.words} may begin on {day_words(opens)}: {why}"))
            )
        else:
            found.append(
                (shop.release[task], Hold(key, "now", f"{key.words} begins as soon as it can from now"))
            )
        if work.cured is not None and work.cured > season.now:
            until = f"{key.words} may begin {moment_words(work.cured)}: {work.cured_why}"
            found.append((self.door.slot(work.cured), Hold(key, "cure", until)))
        for link in shop.links[task]:
            before = self.keys[link.before]
            point = self.table.point(link.before, link.share) + link.least
            after = next(a for a in work.after if a.before == before)
            kind = "cure" if after.lag_h else "order"
            why = f": {after.why}" if after.why else ""
            found.append((point, Hold(key, kind, f"{key.words} follows {before.words}{why}", before)))
        soon, hold = max(found, key=lambda row: row[0])
        self.ready[key] = max(soon, 0)
        k = axis.before[min(soon, shop.horizon)]
        return (axis.at[k] if k < axis.count else soon), hold

    def _blocked(self, key: WorkKey, task: int, soon: int, start: int) -> Hold | None:
        """The crew's or machine's booking that ends last before the start, not before the work was ready."""
        table, shop = self.table, self.shop
        option = shop.options[task][table.option[task]]
        found: list[tuple[int, str, str, int]] = []
        for worker in option.workers:
            name = shop.problem.workers[worker].key
            found += self._before(table.worker_rows[worker], start, soon, "crew", name)
        for unit in table.units[task]:
            kind, number = shop.unit_name(unit)
            found += self._before(table.unit_rows[unit], start, soon, "machine", f"{kind} {number + 1}")
        if not found:
            return None
        _, kind_of, name, other = max(found)
        behind = self.keys[other]
        return Hold(key, kind_of, f"{key.words} waits for {name}, which is on {behind.words}", behind)

    @staticmethod
    def _before(row: Row, start: int, soon: int, kind: str, name: str) -> Iterator[tuple[int, str, str, int]]:
        for end, task in zip(row[1], row[2], strict=True):
            if soon < end <= start:
                yield end, kind, name, task

    def _closed(self, key: WorkKey, start: int) -> Hold:
        """The days before the start on which the crew or the site was closed."""
        season, booking = self.season, self.booked[key]
        day = self.door.moment(start).date() - timedelta(days=1)
        while day > season.now.date() and not is_working_day(season.firm, day):
            day -= timedelta(days=1)
        if not site_open(season, key.job, day):
            return Hold(key, "closed", f"{key.words}: the site is closed until {day_words(day)}")
        away = [c for c in booking.crews if crew_away(season.crews[c], day, season.lost)]
        if away:
            return Hold(key, "away", f"{key.words}: {away[0]} is away until {day_words(day)}")
        lead = season.crews[booking.lead]
        for need in sorted(season.needs(key, booking.kinds)):
            if why := no_operator(lead, need, machine_name(season, need), day):
                return Hold(key, "away", f"{key.words}: {why} until {day_words(day)}")
        for use in booking.machines:
            machine = season.machines[use.kind]
            out = next((o for o in machine.out if day in o.days), None)
            if out is not None:
                why = out.days.why or "out of service"
                return Hold(
                    key,
                    "machine",
                    f"{key.words}: the {machine.words} is {why} until {day_words(out.days.last)}",
                )
        return Hold(
            key, "machine", f"{key.words} needs the run of time that it has from {day_words(booking.start)}"
        )


# ---- what would help ------------------------------------------------------------------------------------


def reliefs(season: Season, plan: Plan | Sequence[Booking], most: int = 5) -> list[Relief]:
    """The things that, eased one at a time, bring jobs forward most, best first; at most `most`."""
    rows = list(plan.bookings if isinstance(plan, Plan) else plan)
    base = _finishes(season, rows)
    found = []
    for text, eased in _easings(season, rows):
        after = _finishes(eased, rows)
        gains = [
            len(working_days(season.firm, after[job] + timedelta(days=1), base[job]))
            for job in base
            if after.get(job, base[job]) < base[job]
        ]
        if gains:
            found.append(
                Relief(
                    f"{text} brings {_count(len(gains), 'job')} forward {_count(sum(gains), 'day')} in all",
                    len(gains),
                    sum(gains),
                )
            )
    return sorted(found, key=lambda r: (-r.days, r.text))[:most]


def _finishes(season: Season, rows: Sequence[Booking]) -> dict[str, date]:
    """Job -> last day when the plan's order is laid as early as it goes; jobs without a place are left
    out."""
    door = enter(season)
    shop = Shop(door.problem)
    known = door.placed(rows)
    table = Timetable(shop)
    for task in sorted(
        shop.free, key=lambda t: (known[shop.keys[t]].start if shop.keys[t] in known else 0, t)
    ):
        placed = known.get(shop.keys[task])
        number = placed.way if placed is not None else 0
        if not table.settle(task, number):
            settle_quickest(table, task, range(len(shop.options[task])))
    found: dict[str, date] = {}
    for task, name in enumerate(shop.group):
        if name >= 0 and not shop.tasks[task].past and table.end[task] >= 0:
            job = shop.problem.groups[name].key
            day = door.moment(table.end[task]).date()
            found[job] = max(day, found.get(job, day))
    return found


def _easings(season: Season, rows: Sequence[Booking]) -> Iterator[tuple[str, Season]]:
    """One eased season at a time, for the causes that hold most jobs."""
    all_reasons = reasons(season, rows)
    holds = [hold for reason in all_reasons for hold in reason.chain]
    yield from _machine_easings(season, rows, holds)
    if any(hold.kind == "truck" for hold in holds):
        best = max(season.trucks.values(), key=lambda truck: (truck.tows_lb, truck.key))
        more = replace(best, key="one more truck", crew="", out=())
        tows = shown(best.tows_lb, "lb", season.firm.units)
        yield f"one more truck that tows {tows}", replace(season, trucks={**season.trucks, more.key: more})
    yield from _gate_easings(season, [reason.cause for reason in all_reasons])
    for name, crew in season.crews.items():
        for off in crew.days_off:
            if off.last >= season.now.date():
                crews = {
                    **season.crews,
                    name: replace(crew, days_off=tuple(d for d in crew.days_off if d != off)),
                }
                yield (
                    f"{name} at work from {day_words(off.first)} to {day_words(off.last)}",
                    replace(season, crews=crews),
                )
        yield from _person_easings(season, crew)


def _person_easings(season: Season, crew: Crew) -> Iterator[tuple[str, Season]]:
    """Each absence of a named person taken away."""
    for person in crew.people:
        for off in (days for days in person.away if days.last >= season.now.date()):
            there = replace(person, away=tuple(d for d in person.away if d != off))
            people = tuple(there if p is person else p for p in crew.people)
            yield (
                f"{person.name} at work from {day_words(off.first)} to {day_words(off.last)}",
                replace(season, crews={**season.crews, crew.name: replace(crew, people=people)}),
            )


def _machine_easings(
    season: Season, rows: Sequence[Booking], holds: Sequence[Hold]
) -> Iterator[tuple[str, Season]]:
    booked = {b.key: b for b in rows}
    for kind, machine in season.machines.items():
        waits = [
            h
            for h in holds
            if h.kind == "machine" and h.behind is not None and f"waits for {kind} " in h.text
        ]
        spans = sorted(
            {
                (booked[h.behind].start.date(), booked[h.behind].end.date())
                for h in waits
                if h.behind in booked
            }
        )
        for first, last in spans[:4]:
            yield (
                f"one more {machine_name(season, kind)} from {day_words(first)} to {day_words(last)}",
                replace(season, machines={**season.machines, kind: _one_more(season, machine, first, last)}),
            )


def _one_more(season: Season, machine: Machine, first: date, last: date) -> Machine:
    """The kind with one unit more on the days from first to last only."""
    begin = min(season.now.date(), first) - timedelta(days=400)
    before = MachineOut(DayRange(begin, first - timedelta(days=1)), 1)
    after = MachineOut(DayRange(last + timedelta(days=1), season.last_day + timedelta(days=400)), 1)
    return replace(machine, units=machine.units + 1, out=(*machine.out, before, after))


def _gate_easings(season: Season, causes: Sequence[Hold]) -> Iterator[tuple[str, Season]]:
    seen: set[str] = set()
    for hold in causes:
        if hold.kind != "gate" or hold.key.job in seen or len(seen) >= 6:
            continue
        seen.add(hold.key.job)
        works = dict(season.works)
        for key, work in works.items():
            if key.job == hold.key.job and work.opens is not None:
                works[key] = replace(work, opens=work.opens - timedelta(days=7))
        why = season.works[hold.key].opens_why or "gate"
        yield f"{hold.key.job}'s {why} a week earlier", replace(season, works=works)


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
