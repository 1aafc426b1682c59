"""An independent judge: which rules a plan breaks, if any.

It shares no code with the scheduler and works out shifts, holidays and presence for itself, minute by
minute, from the firm's settings. In: a season and bookings. Out: a list of `Breach`, empty when the plan
may be saved. Every rule has a name in `RULES` and one function.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from planner.domain.dates import day_words, long_day, moment_words
from planner.domain.firm.calendar import real_hours_later
from planner.domain.firm.lost import LostKind
from planner.domain.firm.phases import WorkKey
from planner.domain.season.breach_waits import WAITS
from planner.domain.season.case import Breach, Case
from planner.domain.season.paid_day import MINUTE, firm_works, paid_spans
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.season.presence import can, minutes, nobody_may, slots_min, unrun, worked
from planner.domain.season.season import After, Season, Work
from planner.domain.season.travel import drive_minutes

#: Lags are fractions of hours and starts are whole minutes: less than this is no breach.
FORGIVEN = timedelta(seconds=1)
#: part of the day -> from when on the clock, until when (midnight: the day's end)
_PARTS = {"morning": (time(0), time(12)), "afternoon": (time(12), time(0))}


def breaches(season: Season, bookings: Iterable[Booking]) -> list[Breach]:
    """Every broken rule of the plan, in the order of `RULES`; empty when there is none."""
    rows = list(bookings)
    found = list(_counted(season, rows))
    known = [b for b in rows if b.key in season.works]
    of_crew: dict[str, list[Booking]] = defaultdict(list)
    of_unit: dict[MachineUse, list[Booking]] = defaultdict(list)
    for booking in sorted(known, key=lambda b: (b.start, b.end, b.key)):
        for crew in booking.crews:
            of_crew[crew].append(booking)
        for use in booking.machines:
            of_unit[use].append(booking)
    case = Case(season, {b.key: b for b in known}, of_crew, of_unit)
    for rule in RULES.values():
        found.extend(rule(case))
    return found


def _counted(season: Season, rows: Sequence[Booking]) -> Iterator[Breach]:
    """Rule "every work once": each work of the season is booked exactly once, and nothing else is."""
    times: dict[WorkKey, int] = defaultdict(int)
    for booking in rows:
        times[booking.key] += 1
        if booking.key not in season.works:
            yield Breach(
                "every work once", booking.key, f"{booking.key.words} is booked but is no work of the season"
            )
    for key in season.works:
        if times[key] != 1:
            yield Breach("every work once", key, f"{key.words} is booked {times[key]} times instead of once")


# ---- the rules ------------------------------------------------------------------------------------------


def _mode_of(work: Work, booking: Booking) -> float | None:
    """Minutes of the mode that the booking uses; None when it uses none of the work's modes."""
    kinds: dict[str, int] = defaultdict(int)
    for use in booking.machines:
        kinds[use.kind] += 1
    for mode in work.modes:
        needed = {kind: n for kind, n in mode.machines.items() if n}
        if mode.crews == booking.crews and needed == dict(kinds):
            return mode.work_min
    return None


def _way_of_working(case: Case) -> Iterator[Breach]:
    """Crews and machines are one of the work's modes, and the lead crew has the skills."""
    for key, booking in case.booked.items():
        work = case.season.works[key]
        if work.fixed is None and _mode_of(work, booking) is None:
            who = " and ".join(booking.crews)
            with_what = ", ".join(u.kind for u in booking.machines) or "no machine"
            yield Breach("way of working", key, f"{key.words} may not be done by {who} with {with_what}")
        lead = case.season.crews.get(booking.crews[0])
        has = can(case.season, lead.name) if lead else set()
        if lead is None or not work.skills <= has:
            missing = ", ".join(sorted(work.skills - has))
            yield Breach("skills", key, f"{booking.crews[0]} lacks {missing or 'a place'} for {key.words}")


def _enough_work(case: Case) -> Iterator[Breach]:
    """The minutes worked between start and end are the mode's, rounded up to slots."""
    for key, booking in case.booked.items():
        work = case.season.works[key]
        need = _mode_of(work, booking)
        if work.fixed is not None or need is None:
            continue
        has, wants = minutes(worked(case.season, booking)), slots_min(case.season, need)
        if has != wants:
            yield Breach("amount of work", key, f"{key.words} gets {has} working minutes, needs {wants}")


def _operators(case: Case) -> Iterator[Breach]:
    """Work begins and ends on days on which somebody is there for its machines and its skills."""
    for key, booking in case.booked.items():
        if case.season.works[key].fixed is not None:
            continue
        for day in sorted({booking.start.date(), booking.end.date()}):
            held = {use.kind for use in booking.machines}
            for kind in unrun(case.season, booking, day):
                what = f"may run the {kind}" if kind in held else f"does {kind}"
                text = f"{key.words} on {day_words(day)}: nobody with {booking.crews[0]} is there who {what}"
                yield Breach("operator", key, text)


def _in_shift(case: Case) -> Iterator[Breach]:
    """A booking starts and ends inside the working time of its crews, on the slot grid."""
    for key, booking in case.booked.items():
        if case.season.works[key].fixed is not None:
            continue
        spans = worked(case.season, booking)
        if not spans or spans[0][0] != booking.start or spans[-1][1] != booking.end:
            yield Breach("working time", key, f"{key.words} starts or ends when its crews do not work")
        for moment in (booking.start, booking.end):
            midnight = datetime.combine(moment.date(), time())
            if int((moment - midnight) / MINUTE) % case.season.slot_min:
                yield Breach("working time", key, f"{key.words}: {moment:%H:%M} is off the slot grid")


def _least_piece(case: Case) -> Iterator[Breach]:
    """What is not finished on its first day has an hour there, where its start may be chosen."""
    for key, booking in case.booked.items():
        work = case.season.works[key]
        if work.fixed is not None or work.only_start is not None:
            continue
        spans = worked(case.season, booking)
        has = minutes(s for s in spans if s[0].date() == booking.start.date())
        if 0 < has < min(60, minutes(spans)):
            text = (
                f"{key.words} is begun for {has} min on {day_words(booking.start.date())}, least is an hour"
            )
            yield Breach("least piece", key, text)


def _one_place(case: Case) -> Iterator[Breach]:
    """A crew is in one place at a time."""
    for crew, rows in case.of_crew.items():
        for a, b in pairwise(rows):
            if b.start < a.end:
                yield Breach("one place at a time", b.key, f"{crew} is on {a.key.words} and {b.key.words}")


def _time_to_drive(case: Case) -> Iterator[Breach]:
    """Between two sites on one day the crew has the driving time, inside its paid time."""
    for crew, rows in case.of_crew.items():
        for a, b in pairwise(rows):
            if a.job == b.job or a.end.date() != b.start.date() or b.start < a.end:
                continue
            spans = paid_spans(case.season.firm, a.end.date())
            free = minutes(
                (max(s, a.end), min(e, b.start)) for s, e in spans if max(s, a.end) < min(e, b.start)
            )
            need = drive_minutes(case.season, a.job, b.job)
            if free < need:
                yield Breach(
                    "time to drive", b.key, f"{crew} has {free} min from {a.job} to {b.job}, needs {need}"
                )


def _one_job_a_machine(case: Case) -> Iterator[Breach]:
    """A machine unit is held by one work at a time, from its start to its end."""
    for use, rows in case.of_unit.items():
        for a, b in pairwise(rows):
            if b.start < a.end:
                text = f"{use.kind} {use.unit} is held by {a.key.words} and {b.key.words}"
                yield Breach("one job a machine", b.key, text)


def _machine_in_service(case: Case) -> Iterator[Breach]:
    """A unit exists and is in service on every day that it is worked with.

    When n units of a kind are out on a day, the n with the highest numbers are the ones that are out.
    """
    for use, rows in case.of_unit.items():
        machine = case.season.machines.get(use.kind)
        for booking in rows:
            if machine is None or not 1 <= use.unit <= machine.units:
                yield Breach("machine in service", booking.key, f"there is no {use.kind} {use.unit}")
                continue
            if case.season.works[booking.key].fixed is not None:
                continue
            for day in sorted({s.date() for s, _ in worked(case.season, booking)}):
                if use.unit > machine.units - _units_out(case.season, use.kind, day):
                    text = (
                        f"{use.kind} {use.unit} is out of service on {day_words(day)} ({booking.key.words})"
                    )
                    yield Breach("machine in service", booking.key, text)


def _units_out(season: Season, kind: str, day: date) -> int:
    out = sum(o.units for o in season.machines[kind].out if o.days.first <= day <= o.days.last)
    down = sum(
        max(1, e.people)
        for e in season.lost
        if e.kind is LostKind.MACHINE_DOWN and e.target == kind and e.days.first <= day <= e.days.last
    )
    return out + down


def _time_to_move(case: Case) -> Iterator[Breach]:
    """Between two sites a machine unit has the clock time that moving it takes."""
    for use, rows in case.of_unit.items():
        machine = case.season.machines.get(use.kind)
        for a, b in pairwise(rows):
            if machine is None or a.job == b.job or b.start < a.end:
                continue
            if b.start - a.end < timedelta(hours=machine.move_h):
                text = f"{use.kind} {use.unit} cannot be moved from {a.job} to {b.job} in time"
                yield Breach("time to move", b.key, text)


def _trucks(case: Case) -> Iterator[Breach]:
    """A towed machine comes on the day on which its work begins, by a truck of that day and one who tows."""
    season = case.season
    of_day: dict[date, list[tuple[MachineUse, Booking]]] = defaultdict(list)
    for use, rows in case.of_unit.items() if season.trucks else ():
        machine = season.machines.get(use.kind)
        for before, booking in pairwise([None, *rows]):
            if machine and machine.towed_lb and booking and _comes(season, before, booking):
                of_day[booking.start.date()].append((use, booking))
    for day, loads in of_day.items():
        free = [row for row in loads if season.works[row[1].key].fixed is None]
        for use, booking in free:
            if nobody_may(season, booking.crews[0], "tow", day):
                text = f"{use.kind} {use.unit} on {day_words(day)}: nobody with {booking.lead} may tow it"
                yield Breach("tower", booking.key, text)
        if free and not _all_towed(season, day, loads):
            _, last = max(free, key=lambda row: (row[1].start, row[1].key))
            names = ", ".join(f"{use.kind} {use.unit} to {booking.job}" for use, booking in loads)
            yield Breach("truck", last.key, f"no trucks on {day_words(day)} for {names}")


def _comes(season: Season, before: Booking | None, booking: Booking) -> bool:
    """True when the unit is not on the booking's site already; a begun phase has its machines there."""
    if before is not None:
        return before.job != booking.job
    return all(old.job != booking.job or old.phase != booking.phase for old in season.done)


def _all_towed(season: Season, day: date, loads: Sequence[tuple[MachineUse, Booking]]) -> bool:
    """True when each load has a tow of its own: a matching by ways that each give one load more a place."""
    tows = [
        truck
        for truck in season.trucks.values()
        for _ in range(truck.tows_day)
        if not any(out.first <= day <= out.last for out in truck.out)
    ]
    taken: dict[int, int] = {}

    def place(load: int, seen: set[int]) -> bool:
        use, booking = loads[load]
        for number, truck in enumerate(tows):
            may = truck.tows_lb >= season.machines[use.kind].towed_lb and truck.crew in ("", booking.lead)
            if may and number not in seen:
                seen.add(number)
                if number not in taken or place(taken[number], seen):
                    taken[number] = load
                    return True
        return False

    return all(place(load, set()) for load in range(len(loads)))


def _order(case: Case) -> Iterator[Breach]:
    """Phases in order: each work after what it follows, shares and lags included."""
    for key, booking in case.booked.items():
        for after in case.season.works[key].after:
            before = case.booked.get(after.before)
            if before is None or case.season.works[key].fixed is not None:
                continue
            ready = _ready(case.season, before, after)
            if booking.start + FORGIVEN < ready:
                name = "cure and lag" if after.lag_h else "phase order"
                text = f"{key.words} starts {moment_words(booking.start)}, may from {moment_words(ready)}"
                yield Breach(name, key, f"{text} ({after.why or 'after ' + after.before.words})")
            if after.share < 1 and booking.end < before.end:
                yield Breach("phase order", key, f"{key.words} ends before {after.before.words} does")


def _ready(season: Season, before: Booking, after: After) -> datetime:
    """When the follower may start: the share of `before` done, plus the lag in real hours."""
    moment = before.end
    if after.share < 1:
        spans = worked(season, before)
        left = slots_min(season, after.share * minutes(spans))
        for begin, end in spans:
            length = int((end - begin) / MINUTE)
            if left <= length:
                moment = begin + left * MINUTE
                break
            left -= length
    return real_hours_later(moment, after.lag_h, season.firm.time_zone)


def _told(case: Case) -> Iterator[Breach]:
    """The next days stay as published where they can; nobody is visited sooner than they can be told."""
    season = case.season
    for key, was in season.frozen.items():
        now = case.booked.get(key)
        if now is not None and (now.start, now.crews) != (was.start, was.crews):
            yield Breach(
                "next days stay", key, f"{key.words} was told for {moment_words(was.start)} and can stay"
            )
    begun, weights = {b.job for b in season.done}, season.firm.weights
    for code in {key.job for key in case.booked} - begun if season.published else ():
        mine = [b for b in case.booked.values() if b.job == code]
        loose = all(
            season.works[b.key].only_start is None and season.works[b.key].fixed is None for b in mine
        )
        told = [season.published[b.key].start.date() for b in mine if b.key in season.published]
        first = min(mine, key=lambda b: (b.start, b.key))
        days = _working_days_to(season, first.start.date())
        if loose and told and first.start.date() < min(told) and days < weights.notice_days:
            text = f"{first.key.words} comes {days} working days from now, its client was told {min(told)}"
            yield Breach("notice", first.key, text)
        if loose and not told and days < weights.freeze_days:
            text = f"{first.key.words} comes {days} working days from now, no crew was told of {code}"
            yield Breach("notice", first.key, text)


def _working_days_to(season: Season, day: date) -> int:
    """Working days before `day`, from today on; today counts until its paid time is over."""
    count, at = 0, season.now.date()
    while at < day:
        over = at == season.now.date() and season.now >= paid_spans(season.firm, at)[-1][1]
        count += firm_works(season.firm, at) and not over
        at += timedelta(days=1)
    return count


def _one_day(case: Case) -> Iterator[Breach]:
    """A visit begins and ends on one day, in the part of the day that was promised."""
    for key, booking in case.booked.items():
        work = case.season.works[key]
        if not work.one_day or work.fixed is not None:
            continue
        begin, end = booking.start, booking.end
        if begin.date() != end.date():
            text = f"{key.words} begins {moment_words(begin)}, ends {moment_words(end)}: a visit is one day's"
            yield Breach("one day", key, text)
        part = case.season.jobs[key.job].day_part.value
        opens, shuts = _PARTS.get(part, (time(0), time(0)))
        if begin.time() < opens or (shuts > time(0) and (end.time() > shuts or begin.time() >= shuts)):
            text = f"{key.words} is {begin:%H:%M} to {end:%H:%M}, promised for the {part}"
            yield Breach("part of the day", key, text)


def _enough_hands(case: Case) -> Iterator[Breach]:
    """A visit's crew has the hands that it asks for."""
    for key, booking in case.booked.items():
        work, crew = case.season.works[key], case.season.crews.get(booking.crews[0])
        asked = case.season.jobs[key.job].hands
        if work.one_day and work.fixed is None and crew is not None and crew.size < asked:
            yield Breach("hands", key, f"{key.words} asks for {asked} hands, {crew.name} has {crew.size}")


def _season_end(case: Case) -> Iterator[Breach]:
    """Nothing ends after the season."""
    for key, booking in case.booked.items():
        if booking.end.date() > case.season.last_day and case.season.works[key].fixed is None:
            yield Breach("season end", key, f"{key.words} ends after {long_day(case.season.last_day)}")


def _stays(case: Case) -> Iterator[Breach]:
    """What is fixed stays as booked; pinned crews and starts are kept."""
    for key, booking in case.booked.items():
        work = case.season.works[key]
        fixed = work.fixed
        if fixed is not None and (booking.crews, booking.start, booking.end) != (
            fixed.crews,
            fixed.start,
            fixed.end,
        ):
            yield Breach("fixed work stays", key, f"{key.words} was moved although it is fixed")
        if work.only_crew is not None and booking.crews[0] != work.only_crew:
            yield Breach("pinned crew", key, f"{key.words} is pinned to {work.only_crew}")
        if work.only_start is not None and booking.start != work.only_start:
            yield Breach("pinned start", key, f"{key.words} is pinned to {moment_words(work.only_start)}")


#: rule group -> the function that looks for it
RULES: dict[str, Callable[[Case], Iterator[Breach]]] = {
    "way of working": _way_of_working,
    "operator": _operators,
    "amount of work": _enough_work,
    "working time": _in_shift,
    "least piece": _least_piece,
    "one place at a time": _one_place,
    "time to drive": _time_to_drive,
    "one job a machine": _one_job_a_machine,
    "machine in service": _machine_in_service,
    "time to move": _time_to_move,
    "truck": _trucks,
    "order": _order,
    **WAITS,
    "what was told": _told,
    "one day": _one_day,
    "hands": _enough_hands,
    "season end": _season_end,
    "stays": _stays,
}
