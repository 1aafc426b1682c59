"""Why no plan fits: the smallest set of rows that clash, in trade words.

In: a season. Out: sentences that name the rows, empty when nothing is proven. Each check proves by itself
that every plan breaks a rule; each names only the rows that it needs. `planner.schedule.cpsat.core` looks for
sets of jobs that cannot all be done, where no single check finds the reason.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from itertools import combinations, product

from planner.domain.dates import day_words, long_day, moment_words
from planner.domain.firm.calendar import (
    crew_away,
    days_between,
    is_working_day,
    part_of_day,
    public_holiday,
    site_shut,
)
from planner.domain.firm.people import OF_HANDS, no_operator, runs, skills_of
from planner.domain.firm.phases import WorkKey
from planner.domain.season.plan import Booking
from planner.domain.season.season import Mode, Season, Work
from planner.domain.season.towing import no_truck
from planner.domain.season.travel import drive_minutes
from planner.domain.wording import counted
from planner.schedule.answers.blocked import too_long, too_much
from planner.schedule.answers.clash import Clash, machine_name, some_of, told, work_name
from planner.schedule.door import enter, open_modes, opening, task_key
from planner.schedule.model.shop import Shop


def find_clashes(season: Season) -> list[str]:
    """Every clash found, in the works' order; empty when none is proven."""
    return (
        plain_clashes(season) or [*_pinned_pairs(season), *told(season, too_long(season))] or too_much(season)
    )


def plain_clashes(season: Season) -> list[str]:
    """The clashes that one or two rows show by themselves; quick."""
    found = told(
        season, (clash for key, work in season.works.items() for clash in _no_way(season, key, work))
    )
    found += told(season, _no_truck(season))
    found += _fixed_alone(season)
    found += _fixed_pairs(season)
    if found:
        return found
    found = told(
        season, (clash for key, work in season.works.items() for clash in _late_gate(season, key, work))
    )
    return found + told(
        season, (clash for key, work in season.works.items() for clash in _bad_pin(season, key, work))
    )


# ---- one work -------------------------------------------------------------------------------------------


def _no_way(season: Season, key: WorkKey, work: Work) -> Iterator[Clash]:
    """A work that no crew may do: no way of working is left by skills, pins and machines."""
    modes = open_modes(season, work)
    if work.fixed is not None or modes:
        yield from _nobody_runs(season, key, work, modes)
        return
    skilled = [c for c, crew in season.crews.items() if work.skills <= skills_of(crew)]
    if not skilled:
        yield Clash(key, f"needs someone for {_words(work.skills)}: no crew has it")
    elif not work.modes:
        yield Clash(key, "has no way of working: give it hours and a crew")
    elif work.only_crew is not None and work.only_crew not in skilled:
        yield Clash(key, f"is pinned to {work.only_crew}, who lacks {_words(work.skills)}")
    elif work.only_crew is not None and not any(m.crews[0] == work.only_crew for m in work.modes):
        yield Clash(key, f"is pinned to {work.only_crew}, who is not among the crews that may do it")
    else:
        yield from _no_machine(season, key, work)


def _no_machine(season: Season, key: WorkKey, work: Work) -> Iterator[Clash]:
    needs = {need for m in work.modes for need in m.held.items()}
    for kind, need in sorted(needs):
        have = season.machines[kind].units if kind in season.machines else 0
        if have < need:
            yield Clash(
                key, f"needs {counted(need, machine_name(season, kind))}: the firm has {have or 'none'}"
            )


def _nobody_runs(season: Season, key: WorkKey, work: Work, modes: Sequence[Mode]) -> Iterator[Clash]:
    """A work for whose machine or skill nobody of any of its crews is there on any day of the season."""
    if work.fixed is not None:
        return
    first, last = season.now.date(), season.last_day
    stands: set[str] = set()
    for mode in modes:
        lead = season.crews[mode.crews[0]]
        never = [
            kind
            for kind in sorted(season.needs(key, mode.held))
            if not any(runs(lead, (kind,), day) for day in days_between(first, last))
        ]
        if not never:
            return
        stands |= set(never)
    for kind in sorted(stands):
        crews = some_of(sorted({mode.crews[0] for mode in modes}))
        if kind in OF_HANDS:
            yield Clash(key, f"needs somebody who does {kind}: nobody with {crews} does, or is there")
            continue
        words = machine_name(season, kind)
        yield Clash(key, f"needs somebody who may run the {words}: nobody with {crews} may, or is there")


def _no_truck(season: Season) -> Iterator[Clash]:
    """Work with a machine that no truck can bring to its job, whichever of the job's works begins first."""
    of_job: dict[str, list[tuple[WorkKey, list[Mode]]]] = defaultdict(list)
    begun = {booking.job for booking in season.done}
    for key, work in season.works.items() if season.trucks else ():
        if key.job not in begun:
            of_job[key.job].append((key, open_modes(season, work)))
    for works in of_job.values():
        modes = [mode for _, ways in works for mode in ways]
        kinds = sorted({kind for mode in modes for kind in mode.held})
        never = {kind: why for kind in kinds if (why := _never(season, modes, kind))}
        for key, ways in works:
            if season.works[key].fixed is None:
                whys = dict.fromkeys(_stopped(ways, never))
                yield from (Clash(key, f"cannot begin: {why}") for why in whys)


def _stopped(ways: Sequence[Mode], never: Mapping[str, str]) -> list[str]:
    """Why none of these ways can begin, by what never comes to the job; empty when one can."""
    whys = [[never[kind] for kind in sorted(mode.held) if kind in never] for mode in ways]
    return [why for mine in whys for why in mine] if all(whys) else []


def _never(season: Season, modes: Sequence[Mode], kind: str) -> str:
    """Why no crew can have the machine towed to the job of these ways on any day; "" when one can."""
    days, first = days_between(season.now.date(), season.last_day), ""
    leads = dict.fromkeys(mode.crews[0] for mode in modes if kind in mode.held)
    for name, day in product(leads, days):
        why = _not_towed(season, name, kind, day)
        if not why:
            return ""
        first = first or why
    return first


def _not_towed(season: Season, crew: str, kind: str, day: date) -> str:
    machine, trucks = season.machines[kind], season.trucks.values()
    return no_truck(trucks, season.crews[crew], machine, season.firm.units, day)


def _words(skills: frozenset[str]) -> str:
    return " and ".join(sorted(skills)) or "a crew"


def _late_gate(season: Season, key: WorkKey, work: Work) -> Iterator[Clash]:
    opens = opening(season, work)
    if work.fixed is None and opens is not None and opens > season.last_day:
        why = work.opens_why if work.opens == opens and work.opens_why else "its gate"
        yield Clash(
            key, f"may begin on {day_words(opens)} ({why}): the season ends on {long_day(season.last_day)}"
        )


def _bad_pin(season: Season, key: WorkKey, work: Work) -> Iterator[Clash]:
    """A pinned start in the past, before a gate, or when none of its crews works."""
    start = work.only_start
    if start is None or work.fixed is not None:
        return
    opens = opening(season, work)
    if start < season.now:
        yield Clash(key, f"is pinned to {moment_words(start)}, which is past")
    elif opens is not None and start.date() < opens:
        why = work.opens_why or "its gate"
        yield Clash(key, f"is pinned to {day_words(start)}, and may begin on {day_words(opens)} ({why})")
    elif work.cured is not None and start < work.cured:
        over = moment_words(work.cured)
        yield Clash(key, f"is pinned to {moment_words(start)}, and may begin {over} ({work.cured_why})")
    elif (start - datetime.combine(start.date(), time())) % timedelta(minutes=season.slot_min):
        yield Clash(key, f"is pinned to {start:%H:%M}, which is off the {season.slot_min}-minute grid")
    else:
        whys = [_shut(season, key, m, start.date()) for m in open_modes(season, work)]
        if all(whys):
            yield Clash(key, f"is pinned to {day_words(start)}: {whys[0]}")
        part = season.jobs[key.job].day_part
        span = part_of_day(part, start.date())
        if not span.start <= start < span.end:
            yield Clash(key, f"is pinned to {start:%H:%M}, and was promised for the {part.value}")


def _shut(season: Season, key: WorkKey, mode: Mode, day: date) -> str:
    """Why nobody can work in this way at the job on `day`; "" when they can."""
    if not is_working_day(season.firm, day):
        return "a public holiday" if public_holiday(season.firm, day) else "the firm does not work that day"
    away = [c for c in mode.crews if crew_away(season.crews[c], day, season.lost)]
    if away:
        return f"{away[0]} is away"
    kinds = sorted(season.needs(key, mode.held))
    whys = (no_operator(season.crews[mode.crews[0]], k, machine_name(season, k), day) for k in kinds)
    if why := next(filter(None, whys), ""):
        return why
    if why := next(
        filter(None, (_not_brought(season, key.job, mode, kind, day) for kind in sorted(mode.held))), ""
    ):
        return why
    shut = site_shut(season.jobs[key.job], day, season.lost)
    return f"the site is closed ({shut})" if shut else ""


def _not_brought(season: Season, job: str, mode: Mode, kind: str, day: date) -> str:
    """Why a machine that only one work of a job holds, where nothing is begun, cannot come on `day`."""
    works = (work for key, work in season.works.items() if key.job == job)
    holding = [work for work in works if any(kind in mode.held for mode in open_modes(season, work))]
    if len(holding) > 1 or any(booking.job == job for booking in season.done):
        return ""
    return _not_towed(season, mode.crews[0], kind, day)


# ---- what is fixed --------------------------------------------------------------------------------------


def _fixed_alone(season: Season) -> Iterator[str]:
    """A fixed booking with a lead who lacks the skill, or a machine that is not there."""
    for key, work in season.works.items():
        booking = work.fixed
        if booking is None:
            continue
        lead = season.crews.get(booking.crews[0])
        if lead is None:
            yield f"{work_name(season, key)} is fixed with {booking.crews[0]}, who is no crew of the firm"
        elif not work.skills <= skills_of(lead):
            lacks = _words(work.skills - skills_of(lead))
            yield f"{work_name(season, key)} is fixed with {lead.name}, who lacks {lacks}"
        for use in booking.machines:
            units = season.machines[use.kind].units if use.kind in season.machines else 0
            if not 1 <= use.unit <= units:
                name = f"{machine_name(season, use.kind)} {use.unit}"
                yield f"{work_name(season, key)} is fixed with {name}: the firm has {units or 'none'}"


def _fixed_pairs(season: Season) -> Iterator[str]:
    """Two fixed bookings that cannot both stand: a crew or a machine twice, or no time to drive or move."""
    rows = sorted((w.fixed for w in season.works.values() if w.fixed), key=lambda b: (b.start, b.key))
    for a, b in combinations(rows, 2):
        crews, machines = sorted(set(a.crews) & set(b.crews)), sorted(set(a.machines) & set(b.machines))
        if b.start < a.end:
            for name in [*crews, *(f"{machine_name(season, u.kind)} {u.unit}" for u in machines)]:
                yield (
                    f"{name} is on {work_name(season, a.key)} until {moment_words(a.end)}"
                    f" and on {work_name(season, b.key)} from {moment_words(b.start)}: both are fixed"
                )
        elif a.job != b.job:
            yield from _no_time_between(season, a, b, crews)
            for use in machines:
                if b.start - a.end < timedelta(hours=season.machines[use.kind].move_h):
                    name = f"{machine_name(season, use.kind)} {use.unit}"
                    yield f"{name} has no time to move from {_both(season, a, b)}"


def _no_time_between(season: Season, a: Booking, b: Booking, crews: list[str]) -> Iterator[str]:
    if a.end.date() != b.start.date():
        return
    need = drive_minutes(season, a.job, b.job)
    if b.start - a.end < timedelta(minutes=need):
        for crew in crews:
            yield f"{crew} needs {need} min to drive from {_both(season, a, b)}"


def _both(season: Season, a: Booking, b: Booking) -> str:
    return f"{work_name(season, a.key)} to {work_name(season, b.key)}: both are fixed"


# ---- pinned starts --------------------------------------------------------------------------------------


def _pinned_pairs(season: Season) -> Iterator[str]:
    """Two works whose place in time is given and that cannot both have it in any way of working."""
    door = enter(season)
    shop = Shop(door.problem)
    rows = [(key, spans) for key in season.works if (spans := _places(season, shop, key))]
    for (a, first), (b, second) in combinations(rows, 2):
        if season.works[a].fixed is not None and season.works[b].fixed is not None:
            continue
        if all(_collide(season, x, y) for x, y in product(first, second)):
            starts = (moment_words(door.moment(found[0][0])) for found in (first, second))
            one, other = (f"{work_name(season, k)} ({at})" for k, at in zip((a, b), starts, strict=True))
            yield f"{one} and {other} are pinned to the same crew or machine at the same time"


Place = tuple[int, int, tuple[str, ...], dict[str, int]]


def _places(season: Season, shop: Shop, key: WorkKey) -> list[Place]:
    """(start, end, crews, machines) for each way of a work whose start is given; empty when it is free."""
    work, task = season.works[key], shop.number[task_key(key)]
    fixed = shop.tasks[task].fixed
    if fixed is not None:
        kinds = [kind for kind, _ in fixed.units]
        return [(fixed.start, fixed.end, fixed.workers, {k: kinds.count(k) for k in kinds})]
    start = shop.tasks[task].start_at
    if start is None:
        return []
    modes = open_modes(season, work)
    return [
        (start, option.axis.end_of(start, option.work), modes[option.way].crews, modes[option.way].held)
        for option in shop.options[task]
        if option.axis.works_at(start)
    ]


def _collide(season: Season, a: Place, b: Place) -> bool:
    if a[1] <= b[0] or b[1] <= a[0]:
        return False
    if set(a[2]) & set(b[2]):
        return True
    return any(
        n + b[3].get(kind, 0) > season.machines[kind].units for kind, n in a[3].items() if kind in b[3]
    )
