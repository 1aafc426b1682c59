"""Seeded seasons for tests and the bench: invented jobs whose promises come from a hidden plan.

A contractor promises knowing the backlog. So a hidden feasible plan is laid first (jobs as they come in,
each with a crew of its own and now and then a helper), and every promise is its finish plus a few days.
Without shocks a plan with no lateness therefore exists. Shocks (rain, a sick crew, a broken excavator)
come after.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from planner.domain.firm.calendar import is_working_day
from planner.domain.firm.crews import Crew, Loan, Machine, Person, Truck
from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.people import hosted
from planner.domain.firm.phases import ORDER, Phase, WorkKey
from planner.domain.firm.visits import DayPart, VisitKind
from planner.domain.season.plan import Booking, Told
from planner.domain.season.season import After, Mode, Season, Work
from planner.schedule.answers.engine import bookings_of
from planner.schedule.door import enter
from planner.schedule.model.decode import Decisions, decode
from planner.schedule.model.shop import Shop

FIRST = date(2027, 3, 15)
DEPOT = (41.20, -74.50)

#: phase -> (least, most) crew-hours of a usual crew, set-up included
HOURS = {
    Phase.DIG: (5, 18),
    Phase.SET_FILTERS: (2, 5),
    Phase.LINER: (2, 8),
    Phase.ROCK: (6, 26),
    Phase.PLUMBING: (2, 7),
    Phase.FILL: (1, 3),
}
SKILL = {Phase.DIG: "excavator", Phase.ROCK: "stonework", Phase.PLUMBING: "plumbing"}
#: share of jobs whose phase holds an excavator (the others have no access or no boulders)
BY_MACHINE = {Phase.DIG: 0.8, Phase.ROCK: 0.35}
UNITS = {1: 1, 2: 1, 3: 2, 4: 2, 5: 3, 6: 3}


def season(jobs: int, crews: int, load: float, seed: int, *, shocks: bool = False) -> Season:
    """A season of `jobs` at `load` (work over capacity until the last hidden start), promises reachable."""
    rng = random.Random(f"{jobs}/{crews}/{load}/{seed}")
    firm = Firm(
        depot_latitude_deg=DEPOT[0],
        depot_longitude_deg=DEPOT[1],
        country="",
        season_first=FIRST,
        weights=Weights(freeze_days=0, notice_days=0),
    )
    teams = {c.name: c for c in _crews(crews, rng)}
    machines = {
        "excavator": Machine("excavator", "mini excavator", UNITS[crews], (), move_cost_usd=90.0, move_h=1.0)
    }
    sites, works = {}, {}
    for number in range(jobs):
        code = f"J{number:03d}"
        works.update(_works(code, teams, rng))
        sites[code] = Job(
            code,
            f"client {number}",
            latitude_deg=DEPOT[0] + rng.uniform(-0.18, 0.18),
            longitude_deg=DEPOT[1] + rng.uniform(-0.25, 0.25),
            region=rng.choice(["north", "south"]),
            importance=rng.choice([1.0, 1.0, 1.0, 2.0]),
            blackouts=_blackout(rng),
        )
    total_min = sum(min(m.work_min for m in w.modes if len(m.crews) == 1) for w in works.values())
    length = total_min / 60 / 8 / crews / load  # working days
    opens = _arrivals(jobs, length, firm, rng)
    works = {
        k: replace(w, opens=opens[int(k.job[1:])]) if k.phase is Phase.DIG else w for k, w in works.items()
    }
    last = _after_days(firm, FIRST, round(length * 2) + 40)
    bare = Season(firm, sites, teams, machines, works, datetime.combine(FIRST, time(6)), last)
    hidden = hidden_plan(bare, rng)
    promised = {
        code: _after_days(firm, max(b.end.date() for b in hidden if b.job == code), rng.randint(1, 6))
        for code in sites
    }
    sites = {code: replace(job, promised=promised[code]) for code, job in sites.items()}
    full = replace(bare, jobs=sites)
    return _shocked(full, rng, length) if shocks else full


def hidden_plan(bare: Season, rng: random.Random) -> tuple[Booking, ...]:
    """A feasible plan: jobs roughly as they open, each with the crew that ends it first, some with help."""
    door = enter(bare)
    shop = Shop(door.problem)
    choice = [-1] * len(shop.tasks)
    order = sorted(
        (tuple(m) for m in shop.members if m), key=lambda piece: shop.release[piece[0]] + rng.gauss(0, 48 * 4)
    )
    for piece in order:
        lead = rng.randrange(len(shop.worker_axis))
        for task in piece:
            mine = [n for n, o in enumerate(shop.options[task]) if o.workers == (lead,)]
            choice[task] = mine[0] if mine and rng.random() < 0.9 else -1
    table = decode(shop, Decisions(order, choice, shop.release[:]))
    assert min(table.start) >= 0, "the hidden plan must fit"
    return bookings_of(door, shop, table)


def _crews(count: int, rng: random.Random) -> list[Crew]:
    skills = [{"excavator", "stonework", "plumbing"}, {"excavator", "stonework", "plumbing"}]
    skills += [{"excavator", "stonework"}, {"excavator", "plumbing"}, {"stonework", "plumbing"}]
    away = DayRange(FIRST + timedelta(days=rng.randint(20, 70)), FIRST + timedelta(days=75), "holiday")
    return [
        Crew(
            name=f"Crew {chr(65 + i)}",
            lead=f"lead {i}",
            size=3,
            skills=frozenset(skills[i % len(skills)]),
            pace=rng.choice([0.9, 1.0, 1.0, 1.1]),
            days_off=(replace(away, last=away.first + timedelta(days=4)),) if i == 1 else (),
        )
        for i in range(count)
    ]


def _works(code: str, teams: dict[str, Crew], rng: random.Random) -> dict[WorkKey, Work]:
    found: dict[WorkKey, Work] = {}
    size = rng.uniform(0.6, 1.5)
    keys = {phase: WorkKey(code, phase) for phase in ORDER}
    after = {
        Phase.DIG: (),
        Phase.SET_FILTERS: (After(keys[Phase.DIG], 0.4, why="first shelf out"),),
        Phase.LINER: (After(keys[Phase.DIG]), After(keys[Phase.SET_FILTERS])),
        Phase.ROCK: (After(keys[Phase.LINER]),),
        Phase.PLUMBING: (After(keys[Phase.ROCK]),),
        Phase.FILL: (After(keys[Phase.PLUMBING], lag_h=24.0, why="sealant cures"),),
    }
    for phase in ORDER:
        low, high = HOURS[phase]
        hours = rng.uniform(low, high) * size
        by_machine = rng.random() < BY_MACHINE.get(phase, 0.0)
        modes = tuple(_modes(phase, hours, teams, by_machine=by_machine))
        found[keys[phase]] = Work(keys[phase], modes, after[phase], skills=_skills(phase))
    second = WorkKey(code, Phase.FILL, 2)
    water = After(keys[Phase.FILL], lag_h=float(rng.randint(4, 20)), why="the water runs by itself")
    found[second] = Work(
        second, tuple(_modes(Phase.FILL, rng.uniform(2, 5) * size, teams, by_machine=False)), (water,)
    )
    return found


def _skills(phase: Phase) -> frozenset[str]:
    return frozenset({SKILL[phase]}) if phase in SKILL else frozenset()


def _modes(phase: Phase, hours: float, teams: dict[str, Crew], *, by_machine: bool) -> list[Mode]:
    machines = {"excavator": 1} if by_machine else {}
    able = [c for c in teams.values() if _skills(phase) <= c.skills]
    modes = [Mode((c.name,), 60 * hours / c.pace, machines) for c in able]
    if phase in {Phase.DIG, Phase.LINER, Phase.ROCK}:
        modes += [
            Mode((c.name, d.name), 60 * hours / (c.pace + 0.8 * d.pace), machines)
            for c in able
            for d in teams.values()
            if d is not c
        ]
    return modes


def _blackout(rng: random.Random) -> tuple[DayRange, ...]:
    if rng.random() > 0.1:
        return ()
    first = FIRST + timedelta(days=rng.randint(5, 120))
    return (DayRange(first, first + timedelta(days=rng.randint(0, 3)), "party"),)


def _arrivals(jobs: int, length: float, firm: Firm, rng: random.Random) -> list[date]:
    """Openings through the season: work waits a little before each crew, as with a sold backlog."""
    spots = sorted(max(0.0, rng.uniform(-0.15, 0.85)) * length for _ in range(jobs))
    return [_after_days(firm, FIRST, int(spot)) for spot in spots]


def _after_days(firm: Firm, day: date, count: int) -> date:
    """The `count`-th working day after `day`."""
    while count > 0:
        day += timedelta(days=1)
        count -= is_working_day(firm, day)
    return day


def _shocked(full: Season, rng: random.Random, length: float) -> Season:
    span = max(10, int(length * 1.2))
    lost = [
        LostTime(LostKind.RAIN, DayRange(day, day), rng.choice(["", "", "north"]))
        for day in (FIRST + timedelta(days=rng.randint(2, span)) for _ in range(max(2, span // 12)))
    ]
    sick = FIRST + timedelta(days=rng.randint(5, span))
    who = rng.choice(sorted(full.crews))
    lost.append(LostTime(LostKind.CREW_OFF, DayRange(sick, sick + timedelta(days=6)), who))
    broken = FIRST + timedelta(days=rng.randint(5, span))
    lost.append(LostTime(LostKind.MACHINE_DOWN, DayRange(broken, broken + timedelta(days=4)), "excavator", 1))
    return replace(full, lost=tuple(lost))


def with_visits(base: Season) -> Season:
    """A seeded season with twelve visits besides its installs, almost as long as their part of the day."""
    jobs, works = dict(base.jobs), dict(base.works)
    hours = {DayPart.ANY: 6.5, DayPart.MORNING: 4.0, DayPart.AFTERNOON: 3.0}
    for n, part in enumerate([*DayPart] * 4):
        code = f"V{n}"
        site = jobs[f"J00{n % 6}"]
        jobs[code] = replace(
            site, code=code, promised=None, blackouts=(), visit=VisitKind.MAINTENANCE, day_part=part
        )
        modes = tuple(Mode((name,), 60.0 * hours[part]) for name in base.crews)
        works[WorkKey(code, Phase.VISIT)] = Work(WorkKey(code, Phase.VISIT), modes, one_day=True)
    return replace(base, jobs=jobs, works=works)


def with_people(base: Season, seed: int) -> Season:
    """A seeded season whose crews name all their people: each may be away or lent for some days.

    One of a crew, sometimes more, may run the excavator.
    """
    luck, runs = random.Random(f"people/{seed}"), frozenset({"excavator"})
    crews = []
    for crew in base.crews.values():
        people = []
        for n in range(crew.size):
            first = base.now.date() + timedelta(days=luck.randrange(30))
            span = DayRange(first, first + timedelta(days=luck.randrange(5)))
            other = luck.choice(sorted(base.crews))
            lent = (Loan(span, other),) if n and other != crew.name else ()
            may = runs if n == 0 or luck.random() < 0.3 else frozenset()
            people.append(Person(f"{crew.name} {n}", may, away=() if lent else (span,), lent=lent))
        crews.append(replace(crew, people=tuple(people), skills=crew.skills | runs))
    return replace(base, crews={crew.name: crew for crew in hosted(crews)})


def with_trucks(base: Season, seed: int) -> Season:
    """A seeded season whose excavators are towed by two trucks that are in the shop for some days.

    One is a crew's own; more digging and rock is done with them, and with skid steers besides. Who may run an
    excavator may run a skid steer and tow.
    """
    luck = random.Random(f"trucks/{seed}")
    machines = {k: replace(m, units=m.units + 1, towed_lb=9_800.0) for k, m in base.machines.items()}
    machines["skid"] = Machine("skid", "skid steer", 2, move_cost_usd=60.0, move_h=1.0, towed_lb=6_500.0)
    first = base.now.date() + timedelta(days=luck.randrange(20))
    shop = (DayRange(first, first + timedelta(days=luck.randrange(6)), "shop"),)
    own = luck.choice(sorted(base.crews))
    trucks = [Truck("big", "dump truck", 12_000.0, tows_day=2, out=shop)]
    trucks.append(Truck("small", "pickup", luck.choice([7_000.0, 10_000.0]), crew=own))
    works = {}
    for key, work in base.works.items():
        more = {"skid": 1} if key.phase in {Phase.DIG, Phase.ROCK} and luck.random() < 0.4 else {}
        modes = tuple(replace(m, machines={**m.machines, **more}) for m in work.modes)
        works[key] = replace(work, modes=modes)
    may, crews = frozenset({"skid", "tow"}), []
    for crew in base.crews.values():
        people = tuple(replace(p, may=p.may | may) if p.may else p for p in crew.people)
        crews.append(replace(crew, people=people, guests=()))
    teams = {crew.name: crew for crew in hosted(crews)}
    return replace(base, crews=teams, machines=machines, works=works, trucks={t.key: t for t in trucks})


def told_days(rows: Sequence[Booking]) -> Told:
    """Every second client knows his days, every fourth hears a day too late."""
    found: dict[str, tuple[date, date]] = {}
    for n, code in enumerate(sorted({b.job for b in rows})[::2]):
        mine = [b for b in rows if b.job == code]
        first = min(b.start for b in mine).date() + timedelta(days=n % 2)
        found[code] = (first, max(b.end for b in mine).date())
    return found
