"""Why a job finds no place though it has every crew and machine to itself, and when all work is too much.

A job that does not fit alone is laid again with one kind of absence taken away at a time: the first that lets
it fit is its cause. Too much work is proven by counting: the least working time that a set of crews must give
against the working time that it has until the season ends.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from planner.domain.dates import day_words, long_day, moment_words
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.lost import LostKind
from planner.domain.firm.phases import WorkKey
from planner.domain.firm.visits import DayPart
from planner.domain.season.season import Season, Work
from planner.schedule.answers.clash import Clash, job_name, machine_name, some_of
from planner.schedule.door import enter, open_modes, slots_of, task_key
from planner.schedule.model.decode import settle_quickest
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable

_AWAY = {LostKind.CREW_OFF, LostKind.CREW_SHORT}
#: How the one day of a visit is told: no season's end has a part in it.
_WITHIN = "must lie within"
_HELD = {LostKind.DELIVERY, LostKind.INSPECTION}


def too_long(season: Season) -> Iterator[Clash]:
    """A job's chain that does not fit between its gates and the season's end, or misses its own pin, even
    when it has every crew and machine to itself."""
    door = enter(season)
    shop = Shop(door.problem)
    for tasks in shop.members:
        table = _empty(shop)
        for task in tasks:
            soon, _, _ = table.earliest(task)
            if settle_quickest(table, task, range(len(shop.options[task]))):
                continue
            key = next(k for k in season.works if task_key(k) == shop.keys[task])
            ready = door.moment(min(max(0, soon), shop.horizon))
            start = season.works[key].only_start
            if start is not None and ready > start:
                yield Clash(
                    key,
                    f"is pinned to {moment_words(start)}, and what it follows is ready"
                    f" on {moment_words(ready)} at the soonest",
                )
            else:
                yield Clash(key, _absence(season, key) or _no_end(season, f"{day_words(ready)}"))
            break


def _no_end(season: Season, ready: str) -> str:
    ends = f"does not end before the season does on {long_day(season.last_day)}"
    return f"can begin on {ready} at the soonest and {ends}"


def _empty(shop: Shop) -> Timetable:
    """A timetable in which every crew and machine is free."""
    table = Timetable(shop)
    for row in (*table.worker_rows, *table.unit_rows):
        for part in row:
            part.clear()
    return table


def _fits_alone(season: Season, job: str) -> bool:
    works = {key: work for key, work in season.works.items() if key.job == job}
    shop = Shop(enter(replace(season, works=works)).problem)
    table = _empty(shop)
    return all(
        settle_quickest(table, task, range(len(shop.options[task])))
        for tasks in shop.members
        for task in tasks
    )


def _absence(season: Season, key: WorkKey) -> str:
    """The absence without which the job would fit, in words; "" when no single one is the cause."""
    works = [work for k, work in season.works.items() if k.job == key.job]
    for words, eased in _eased(season, key, works):
        if _fits_alone(eased, key.job):
            end = f"; so it does not end before the season does on {long_day(season.last_day)}"
            return words + ("" if words.startswith(_WITHIN) else end)
    return ""


def _eased(season: Season, key: WorkKey, works: list[Work]) -> Iterator[tuple[str, Season]]:
    """What holds the job, and the season without it: the one day of a visit, each machine, the crews'
    absences, the closed site."""
    modes = [mode for work in works for mode in open_modes(season, work)]
    kinds = {kind for mode in modes for kind in mode.held}
    for kind in sorted(kinds):
        machine = season.machines[kind]
        down = [e for e in season.lost if e.kind is LostKind.MACHINE_DOWN and e.target == kind]
        spans = _ahead(season, [*(out.days for out in machine.out), *(e.days for e in down)])
        if spans:
            whole = {**season.machines, kind: replace(machine, out=())}
            rest = tuple(e for e in season.lost if e not in down)
            name = machine_name(season, kind)
            yield f"needs the {name}: out {spans}", replace(season, machines=whole, lost=rest)
    mine, part = season.works[key], season.jobs[key.job].day_part
    if mine.one_day:
        within = "one day" if part is DayPart.ANY else f"one {part.value}"
        job = replace(season.jobs[key.job], day_part=DayPart.ANY)
        longer = {**season.works, key: replace(mine, one_day=False)}
        yield (
            f"{_WITHIN} {within}, and no crew has such a {within.split()[1]} long enough",
            replace(season, works=longer, jobs={**season.jobs, key.job: job}),
        )
    leads = sorted({mode.crews[0] for mode in open_modes(season, season.works[key])})
    away = [e for e in season.lost if e.kind in _AWAY]
    off = {
        name: [*season.crews[name].days_off, *(e.days for e in away if e.target == name)] for name in leads
    }
    absent = [f"{name} {spans}" for name in leads if (spans := _ahead(season, off[name]))]
    if absent:
        crews = {name: replace(crew, days_off=()) for name, crew in season.crews.items()}
        rest = tuple(e for e in season.lost if e not in away)
        yield f"needs a crew that is away ({', '.join(absent)})", replace(season, crews=crews, lost=rest)
    gone = {p.name: [*p.away, *(x.days for x in p.lent)] for name in leads for p in season.crews[name].people}
    persons = [f"{name} {spans}" for name, days in gone.items() if (spans := _ahead(season, days))]
    if persons:
        present = {name: _all_there(crew) for name, crew in season.crews.items()}
        yield f"needs people who are away ({', '.join(persons)})", replace(season, crews=present)
    job = season.jobs[key.job]
    rain = [e for e in season.lost if e.kind is LostKind.RAIN]
    closed = _ahead(season, [*job.blackouts, *(e.days for e in rain if e.target in ("", job.region))])
    if closed:
        jobs = {**season.jobs, job.code: replace(job, blackouts=())}
        rest = tuple(e for e in season.lost if e not in rain)
        yield f"finds its site closed {closed}", replace(season, jobs=jobs, lost=rest)
    waits = [work for work in works if work.opens is not None]
    if waits:
        free = {k: replace(w, opens=None) if k.job == key.job else w for k, w in season.works.items()}
        rest = tuple(e for e in season.lost if not (e.kind in _HELD and e.target == key.job))
        first = max(waits, key=lambda w: w.opens or date.min)
        why = first.opens_why or "its gate"
        yield f"may begin on {day_words(first.opens)} ({why})", replace(season, works=free, lost=rest)


def _all_there(crew: Crew) -> Crew:
    return replace(crew, people=tuple(replace(person, away=(), lent=()) for person in crew.people))


def _ahead(season: Season, spans: Iterable[DayRange]) -> str:
    """The spans that still lie ahead, in words with their reasons; "" when there is none. One that lies in
    another is left out."""
    first, last = season.now.date(), season.last_day
    ahead = {
        (max(s.first, first), min(s.last, last), s.why) for s in spans if s.last >= first and s.first <= last
    }
    outer = [
        span
        for span in sorted(ahead)
        if not any(a <= span[0] and span[1] <= b and (a, b) != span[:2] for a, b, _ in ahead)
    ]
    days = [f"{day_words(a)}" if a == b else f"{day_words(a)} to {day_words(b)}" for a, b, _ in outer]
    return some_of([d + f" ({why})" * bool(why) for d, (_, _, why) in zip(days, outer, strict=True)], most=3)


def too_much(season: Season) -> list[str]:
    """The sets of crews that alone may do more work than they have time for; proven by counting hours.

    A set is all crews that may lead some work; the work counted is what only crews of the set may lead, each
    piece at the least time that it takes from them.
    """
    door = enter(season)
    modes = {key: open_modes(season, work) for key, work in season.works.items() if work.fixed is None}
    sets = dict.fromkeys(frozenset(m.crews[0] for m in found) for found in modes.values())
    now = door.slot(season.now)
    spans = {worker.key: worker.open or () for worker in door.problem.workers}
    time = {name: sum(b - max(a, now) for a, b in own if b > now) for name, own in spans.items()}
    told: dict[frozenset[str], str] = {}
    for team in sorted(sets, key=lambda t: (len(t), sorted(t))):
        by_job: dict[str, int] = defaultdict(int)
        for key, found in modes.items():
            if found and {m.crews[0] for m in found} <= team:
                least = (slots_of(m.work_min, season.slot_min) * len(team & set(m.crews)) for m in found)
                by_job[key.job] += min(least)
        need = sum(by_job.values())
        have = sum(time[name] for name in team)
        if need > have and not any(smaller <= team for smaller in told):
            names, hours = " and ".join(sorted(team)), season.slot_min / 60
            most = sorted(by_job.items(), key=lambda row: -row[1])
            told[team] = (
                f"the work that only {names} may lead takes {need * hours:,.0f} crew-h at least,"
                f" and {have * hours:,.0f} are left until {long_day(season.last_day)}"
                f" ({some_of([f'{job_name(season, code)} {n * hours:,.0f} h' for code, n in most])})"
            )
    return list(told.values())
