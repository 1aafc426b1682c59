"""A season lived by the half hour, with luck of its own: the player of `tests/bench/lived.py`.

Independent of the planner's chance model in its arithmetic: half hours on a clock, other random streams,
each morning's repair through the public functions (log, `season_of`, `fixes_of`). Only the sizes of luck are
shared: the spreads of hours, the station's wet days, the book of mishaps. All is invented and seeded.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from math import exp, log, sqrt
from pathlib import Path

from planner.domain.firm.actuals import Log
from planner.domain.firm.calendar import is_working_day
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import DayRange, Gate, GateKind, Job, Line
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import WorkKey
from planner.domain.forecast.basis import Basis
from planner.domain.season.cost import plan_cost
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.errors import NoPlanFits, NoPlanInTime
from planner.flow.forecast.playing import unsure_of
from planner.flow.keeping.database import create_store
from planner.flow.season.replan import fixes_of
from planner.flow.stored.facts import load_facts
from planner.schedule.model.effort import Effort
from planner.schedule.solve import solve
from planner.store.engine import Store

MONDAY = datetime(2027, 4, 5, 5)
CREWS = ("Heron", "Otter", "Finch", "Newt")
ALL = frozenset({"excavator", "stonework", "plumbing"})
#: One pond; a job is this times its own size.
BASE = {
    "dig_machine_cy": 12.0,
    "filter_boxes": 2.0,
    "liner_ft2": 480.0,
    "boulder_medium_ton": 5.0,
    "pipe_ft": 40.0,
    "connections": 6.0,
    "fill_gal": 2600.0,
    "hose_gpm": 8.0,
    "edge_ft": 55.0,
}
#: How far down its list a held-up crew looks for something to do.
LOOK_AHEAD = 6


def firm_of(folder: str, jobs: int, seed: int, *, days_in_hand: tuple[int, int], share: float) -> Facts:
    """An invented firm whose promises lie after the finish of a plain rule's plan.

    So many days drawn from `days_in_hand`, and that share of the days until then: who promises far ahead
    allows for more rain.
    """
    location = str(Path(folder) / f"{jobs}-{seed}.sqlite3")
    luck = random.Random(f"firm {jobs} {seed}")
    create_store(location, "bench")
    gates = tuple(Gate(kind, MONDAY.date(), met=True) for kind in (GateKind.LOCATE, GateKind.MATERIAL))
    made = []
    for n in range(jobs):
        size = luck.uniform(0.5, 1.6)
        lines = tuple(Line(item, _amount(item, much, size)) for item, much in BASE.items())
        made.append(Job(f"L-{n + 1:03}", f"Client {n + 1} (invented)", lines=lines, gates=gates))
    with Store(location).writing(who="bench") as book:
        book.save_firm(Firm(name="Lived firm (invented)", state="OH"))
        for name in CREWS[: 2 if jobs <= 20 else 3 if jobs <= 50 else 4]:
            book.save_crew(Crew(name, f"lead of {name}", 3, ALL))
        book.save_machine(Machine("excavator", "mini excavator", 2 if jobs <= 50 else 3))
        for job in made:
            book.save_job(job)
    plain = solve(season_of(load_facts(location), MONDAY), effort=Effort(steps=0))
    with Store(location).writing(who="bench") as book:
        for job in made:
            finish = plain.finish(job.code)
            assert finish is not None
            ahead = share * (finish - MONDAY.date()).days
            promised = finish + timedelta(days=luck.randint(*days_in_hand) + round(ahead))
            book.save_job(replace(job, promised=promised))
    return load_facts(location)


def _amount(item: str, much: float, size: float) -> float:
    if item in {"filter_boxes", "connections"}:
        return float(max(1, round(much * size)))
    return much if item == "hose_gpm" else round(much * size, 1)


# ---- the hidden truth ----


@dataclass(frozen=True)
class Truth:
    """How long each work really takes [share of its planned minutes], and what goes wrong on which day."""

    ratio: Mapping[WorkKey, float]
    rain: frozenset[date]
    sick: Mapping[str, Mapping[date, int]]
    broken: Mapping[tuple[str, int], frozenset[date]]
    late_days: Mapping[WorkKey, int]


def truth_of(facts: Facts, bookings: tuple[Booking, ...], basis: Basis, seed: int) -> Truth:
    """Draw one season's luck with streams of its own, in the sizes that the estimate and the book tell."""
    unsure = unsure_of(facts, bookings)
    gauss = random.Random(f"hours {seed}").gauss
    shared = _correlated([list(row) for row in unsure.causes], gauss)
    of_job: dict[str, float] = {}
    ratio = {}
    for key in sorted(unsure.spreads):
        spread = unsure.spreads[key]
        sd = sqrt(log(1 + spread.cv**2))
        job = of_job.setdefault(key.job, gauss(0, 1))
        own = sqrt(spread.common) * job + sqrt(1 - spread.common) * gauss(0, 1)
        season = sum(lean * cause for lean, cause in zip(spread.leaning, shared, strict=True))
        ratio[key] = spread.mean_ratio * exp(sd * own - sd**2 / 2 + season)
    days = [MONDAY.date() + timedelta(days=n) for n in range(1, 330)]
    luck = basis.book.mishaps
    chain = random.Random(f"days {seed}")
    rain, wet = set(), False
    for day in days:
        station = basis.climate.station
        p = station.wet_chance(day.month) if station else 0.0
        wet = chain.random() < (p + basis.carry_over * (1 - p) if wet else p * (1 - basis.carry_over))
        if wet and chain.random() < basis.climate.lost_per_wet_day:
            rain.add(day)
    sick: dict[str, dict[date, int]] = {crew.name: defaultdict(int) for crew in facts.crews}
    for crew in facts.crews:
        for _ in range(crew.size):
            for day in _spells(days, luck.sick.share, luck.sick.days, chain):
                sick[crew.name][day] += 1
    broken = {
        (machine.key, unit): frozenset(_spells(days, luck.down.share, luck.down.days, chain))
        for machine in facts.machines
        for unit in range(1, machine.units + 1)
    }
    late_days = {}
    for key in sorted(ratio):
        if key.phase in luck.late_phases and key.part == 1 and chain.random() < luck.late_share:
            late_days[key] = 1
            while chain.random() > 1 / luck.late_days:
                late_days[key] += 1
    return Truth(ratio, frozenset(rain), sick, broken, late_days)


def _spells(days: list[date], share: float, length: float, chain: random.Random) -> list[date]:
    out, found = False, []
    begins = share / (1 - share) / length
    for day in days:
        out = chain.random() >= 1 / length if out else chain.random() < begins
        if out:
            found.append(day)
    return found


def _correlated(rows: list[list[float]], gauss: Callable[[float, float], float]) -> list[float]:
    """A draw with that covariance, by Cholesky."""
    n = len(rows)
    low = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            left = rows[i][j] - sum(low[i][k] * low[j][k] for k in range(j))
            low[i][j] = sqrt(max(0.0, left)) if i == j else left / low[j][j] if low[j][j] > 1e-12 else 0.0
    drawn = [gauss(0, 1) for _ in range(n)]
    return [sum(low[i][k] * drawn[k] for k in range(i + 1)) for i in range(n)]


# ---- living ----


@dataclass
class Life:
    """What became of a season."""

    finished: dict[str, datetime] = field(default_factory=dict)
    visits: set[tuple[str, date, str]] = field(default_factory=set)
    begun: dict[str, date] = field(default_factory=dict)
    comebacks: int = 0
    hand_overs: int = 0
    calls: int = 0
    idle_h: float = 0.0
    mornings: int = 0

    def price_usd(self, facts: Facts) -> float:
        """Late days, site days, drives, comebacks, hand-overs and open gardens at the firm's prices [USD]."""
        w, jobs = facts.firm.weights, {job.code: job for job in facts.jobs}
        late = sum(
            max(0, (end.date() - (jobs[code].promised or date.max)).days) * jobs[code].importance
            for code, end in self.finished.items()
        )
        return (
            w.late_day * late
            + (w.site_day + w.travel_mile * 2 * facts.firm.unknown_site_mi) * len(self.visits)
            + w.leave_and_return * self.comebacks
            + w.crew_change * self.hand_overs
            + w.open_day * sum((end.date() - self.begun[code]).days for code, end in self.finished.items())
        )

    def ends_by(self, facts: Facts, day: date) -> bool:
        """Whether all jobs are finished by that day."""
        return len(self.finished) == len(facts.jobs) and max(self.finished.values()).date() <= day

    def kept(self, facts: Facts) -> dict[str, bool]:
        """Job -> whether its promise was kept."""
        return {
            job.code: job.code in self.finished and self.finished[job.code].date() <= job.promised
            for job in facts.jobs
            if job.promised
        }


@dataclass
class Site:
    """Where the works stand: minutes that each needs and has had, by its lead's planned minutes.

    due: the planned day of a late phase when it was looked at first; left_min: what a crew has left of the
    half hour in which it finished its last work of the day.
    """

    need: dict[WorkKey, float] = field(default_factory=dict)
    had: dict[WorkKey, float] = field(default_factory=lambda: defaultdict(float))
    ended: dict[WorkKey, datetime] = field(default_factory=dict)
    due: dict[WorkKey, date] = field(default_factory=dict)
    left_min: dict[tuple[str, date], float] = field(default_factory=dict)
    last: dict[str, tuple[str, date]] = field(default_factory=dict)
    lead: dict[str, str] = field(default_factory=dict)
    seen: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))


def live(facts: Facts, plan: Plan, truth: Truth) -> Life:
    """Live a season: each morning repaired, each day worked by the half hour, each evening logged."""
    life, site, now = Life(), Site(), MONDAY
    logs: list[Log] = []
    lost: list[LostTime] = []
    start = season_of(facts, MONDAY)
    told: dict[str, tuple[date, date]] = {}
    keys = set(start.works)
    while len(site.ended) < len(keys) and now.date() <= facts.firm.season_last:
        day = now.date()
        if is_working_day(facts.firm, day):
            today = [*lost, *news(facts, truth, day)]
            _tell(told, plan, day, facts.firm.weights.tell_days)
            seen = replace(facts, logs=tuple(logs), lost=tuple(today), published=plan, told=told)
            season = season_of(seen, now)
            if season.works:
                fresh = _repaired(season, plan)
                life.calls += _told_moves(told, fresh, life.begun)
                plan = fresh
                life.mornings += 1
            work_a_day(facts, start, plan, truth, day, site, life, logs)
            lost = [entry for entry in today if entry.days.last < day + timedelta(days=1)][-30:]
        now += timedelta(days=1)
    return life


def _repaired(season: Season, plan: Plan) -> Plan:
    """The repair that `planner replan` begins with: the cheapest, work that came free moved forward too."""
    try:
        found = fixes_of(season, plan, quick=False)
    except (NoPlanFits, NoPlanInTime):
        return plan
    return min(found, key=lambda fix: plan_cost(season, fix.bookings).total_cents, default=plan)


def news(facts: Facts, truth: Truth, day: date) -> list[LostTime]:
    """What the morning brings: rain, people who call in sick, machines that do not start."""
    here = DayRange(day, day)
    found = [LostTime(LostKind.RAIN, here)] if day in truth.rain else []
    for crew in facts.crews:
        away = truth.sick[crew.name].get(day, 0)
        if away:
            kind = LostKind.CREW_OFF if away >= crew.size else LostKind.CREW_SHORT
            found.append(LostTime(kind, here, crew.name, away))
    for machine in facts.machines:
        out = sum(day in truth.broken[machine.key, n] for n in range(1, machine.units + 1))
        if out:
            found.append(LostTime(LostKind.MACHINE_DOWN, here, machine.key, out))
    return found


def _days_by(plan: Plan) -> dict[str, tuple[date, date]]:
    """Job -> its first and last day."""
    found: dict[str, tuple[date, date]] = {}
    for b in sorted(plan.bookings, key=lambda b: b.start):
        first, last = found.get(b.job, (b.start.date(), b.end.date()))
        found[b.job] = (first, max(last, b.end.date()))
    return found


def _tell(told: dict[str, tuple[date, date]], plan: Plan, day: date, ahead: int) -> None:
    """Whoever's first day has come near and who was not told hears it."""
    for job, days in _days_by(plan).items():
        if days[0] <= day + timedelta(days=ahead):
            told.setdefault(job, days)


def _told_moves(told: dict[str, tuple[date, date]], new: Plan, begun: Mapping[str, date]) -> int:
    """Calls for first days that are no longer as told; from then on they are told so."""
    moved = {
        job: days
        for job, days in _days_by(new).items()
        if job in told and job not in begun and days[0] != told[job][0]
    }
    told.update(moved)
    return len(moved)


def work_a_day(
    facts: Facts,
    start: Season,
    plan: Plan,
    truth: Truth,
    day: date,
    site: Site,
    life: Life,
    logs: list[Log],
) -> None:
    """Every crew follows its list for a day, half hour by half hour, and writes its hours down."""
    order = sorted(plan.bookings, key=lambda b: (b.start, b.end, b.key))
    first: dict[str, date] = {}
    for b in order:
        first.setdefault(b.job, b.start.date())
    did: dict[tuple[str, WorkKey], float] = defaultdict(float)
    driving: dict[str, int] = defaultdict(int)
    hands = {
        crew.name: 1.0 - min(crew.size, truth.sick[crew.name].get(day, 0)) / crew.size for crew in facts.crews
    }
    for half in range(16):
        at = datetime.combine(day, facts.firm.shift_start) + timedelta(minutes=30 * half + 30 * (half >= 8))
        busy: set[str] = set()
        held: dict[str, int] = defaultdict(int)
        for crew in sorted(hands):
            if crew in busy or day in truth.rain or hands[crew] * 16 <= half:
                continue
            mine = [b for b in order if b.lead == crew and b.key not in site.ended][:LOOK_AHEAD]
            for b in mine:
                early = b.job not in life.begun and first[b.job] > day
                if early or any(c in busy for c in b.crews) or not _ready(start, truth, b, at, site):
                    continue
                if not all(_machine_free(facts, truth, use.kind, held, day) for use in b.machines):
                    continue
                for use in b.machines:
                    held[use.kind] += 1
                busy.update(b.crews)
                _half_hour(start, truth, b, at, site, life, driving, did)
                break
            else:
                life.idle_h += 0.5
    for (crew, key), minutes in did.items():
        _log(start, site, crew, key, minutes, day, logs)


def _ready(season: Season, truth: Truth, b: Booking, at: datetime, site: Site) -> bool:
    work = season.works[b.key]
    if work.opens is not None and at.date() < work.opens:
        return False
    if b.key not in site.need and b.key in truth.late_days:
        due = site.due.setdefault(b.key, b.start.date())
        if at.date() < due + timedelta(days=truth.late_days[b.key]):
            return False
    for after in work.after:
        before = after.before
        if after.share >= 1:
            if before not in site.ended or at < site.ended[before] + timedelta(hours=after.lag_h):
                return False
        elif site.had[before] < after.share * site.need.get(before, 1e9) - 1e-6:
            return False
    return True


def _machine_free(facts: Facts, truth: Truth, kind: str, held: Mapping[str, int], day: date) -> bool:
    machine = next(m for m in facts.machines if m.key == kind)
    running = sum(day not in truth.broken[kind, n] for n in range(1, machine.units + 1))
    return held[kind] < running


def _half_hour(
    season: Season,
    truth: Truth,
    b: Booking,
    at: datetime,
    site: Site,
    life: Life,
    driving: dict[str, int],
    did: dict[tuple[str, WorkKey], float],
) -> None:
    day, until = at.date(), at + timedelta(minutes=30)
    if b.key not in site.need:
        modes = {mode.crews: mode.work_min for mode in season.works[b.key].modes}
        site.need[b.key] = modes.get(b.crews, b.crew_h * 60) * truth.ratio.get(b.key, 1.0)
    for crew in b.crews:
        was = site.last.get(crew)
        if was is not None and was[1] == day and was[0] != b.job:
            driving[crew] = 2  # the firm's unknown sites lie 24 miles apart: 41 minutes
        if not site.seen[crew] or site.seen[crew][-1] != b.job:
            life.comebacks += b.job in site.seen[crew]
            site.seen[crew].append(b.job)
        site.last[crew] = (b.job, day)
        life.visits.add((crew, day, b.job))
    life.begun.setdefault(b.job, day)
    life.hand_overs += site.lead.get(b.job, b.lead) != b.lead
    site.lead[b.job] = b.lead
    if any(driving[c] > 0 for c in b.crews):
        for crew in b.crews:
            driving[crew] -= 1
        return
    site.had[b.key] += 30 + site.left_min.pop((b.lead, day), 0.0)
    did[b.lead, b.key] += 30
    overlapped = [a.before for a in season.works[b.key].after if a.share < 1]
    if site.had[b.key] >= site.need[b.key] - 1e-6 and all(k in site.ended for k in overlapped):
        site.ended[b.key] = until
        site.left_min[b.lead, day] = min(30.0, site.had[b.key] - site.need[b.key])
        if all(k in site.ended for k in season.works if k.job == b.job):
            life.finished[b.job] = until


def _log(
    season: Season, site: Site, crew: str, key: WorkKey, minutes: float, day: date, logs: list[Log]
) -> None:
    parts = [k for k in season.works if k.job == key.job and k.phase is key.phase]
    # each part counts as an equal share of its phase, as returned sheets have it (`hours.returns`); a part
    # that is not ended keeps a rest, or the next plan would hold no work for what the others wait for
    shares = [1.0 if k in site.ended else min(0.98, site.had[k] / site.need.get(k, 1e9)) for k in parts]
    share = sum(shares) / len(parts)
    done = all(k in site.ended for k in parts)
    logs.append(
        Log(day, crew, key.job, key.phase, minutes / 60, None if done else round(share, 3), done=done)
    )
