"""A whole season played through the commands that the office types.

`Site` is the hidden truth: how long each phase really takes, which days it rains, who is sick. `play_season`
types what an owner would: hours and rain as they come, sick crews and broken machines on the morning they are
known, late inquiries with the promise that the planner offers; on Fridays re-plan, publish, read the office's
list. `play_by_hand` and the first plan left alone are what it is compared with. All is invented and seeded.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from math import exp
from typing import Any

PHASES = ("dig", "set_filters", "liner", "rock", "plumbing", "fill")
CURE_H = 24.0
FIRST_SHELF = 0.4
#: Hours of a pair of crews are worth a little less than twice those of one.
PAIR = 1.9
#: Booked hours are at P80 (80th percentile); the hidden middle lies below them.
MIDDLE = 0.82
SIGMA_JOB, SIGMA_PHASE = 0.18, 0.22

#: How far down its list a crew looks for something to do when it is held up (its lead calls the office).
LOOK_AHEAD = 8
#: Half hours that a crew drives between two sites within a day (the firm's unknown sites lie 24 miles apart).
DRIVE_SLOTS = 1
#: A customer can be asked to have the crew come so much before the day that was told.
EARLY_DAYS = 5
EARLY = timedelta(days=EARLY_DAYS)

Key = tuple[str, str, int]
Type = Callable[..., Any]


@dataclass(frozen=True)
class Script:
    """What will happen. rain: dates; sick: crew -> Mondays of weeks off; broken: the days on which one
    excavator is broken; inquiries: (Friday, code, like, size).
    """

    crews: tuple[str, ...]
    machines: int
    jobs: int
    monday: date
    weeks: int
    rain: frozenset[date]
    sick: dict[str, tuple[date, ...]]
    broken: tuple[date, date] | None
    inquiries: tuple[tuple[date, str, str, float], ...]
    seed: int
    seconds: float
    promise_every_days: float
    slack: int = 0
    late_day_usd: float = 250.0


@dataclass
class Work:
    """One piece of work as it truly is. hours: of one crew; spent: so far."""

    hours: float
    spent: float = 0.0
    finished: datetime | None = None


@dataclass
class Site:
    """The hidden truth, and how far the season is."""

    script: Script
    gates: dict[str, date]
    hose_h: dict[str, float]
    works: dict[Key, Work] = field(default_factory=dict)
    finished: dict[str, date] = field(default_factory=dict)
    at_site: dict[str, tuple[date, str]] = field(default_factory=dict)
    driving: dict[str, int] = field(default_factory=dict)
    drives_made: int = 0
    comebacks: int = 0
    seen: dict[str, list[str]] = field(default_factory=dict)
    site_days: set[tuple[str, date, str]] = field(default_factory=set)
    begun: dict[str, date] = field(default_factory=dict)

    def learn(self, bookings: list[dict[str, Any]]) -> None:
        """Draw the truth of works that appear in a plan for the first time."""
        for b in sorted(bookings, key=key_of):
            key = key_of(b)
            if key not in self.works:
                of_job = random.Random(f"{self.script.seed} {key[0]}")
                of_work = random.Random(f"{self.script.seed} {key}")
                booked = b["crew_h"] / len(b["crews"]) * (PAIR if len(b["crews"]) > 1 else 1.0)
                luck = SIGMA_JOB * of_job.gauss(0, 1) + SIGMA_PHASE * of_work.gauss(0, 1)
                self.works[key] = Work(max(0.5, booked * MIDDLE * exp(luck)))

    def ready(self, key: Key, now: datetime) -> bool:
        """True when the phase may go on at `now`: gate, order, first shelf, cure, water."""
        job, phase, part = key
        if now.date() < self.gates.get(job, date.min):
            return False
        before = {
            "set_filters": "dig",
            "liner": "set_filters",
            "rock": "liner",
            "plumbing": "rock",
            "fill": "plumbing",
        }
        if part == 2:
            return self._done(job, phase, 1, now - timedelta(hours=self.hose_h.get(job, 0.0)))
        if phase == "dig":
            return True
        if phase == "set_filters":
            dig = self.works.get((job, "dig", 1))
            return dig is None or dig.spent >= FIRST_SHELF * dig.hours
        if phase == "liner" and not self._done(job, "dig", 1, now):
            return False
        lag = timedelta(hours=CURE_H if phase == "fill" else 0.0)
        return self._done(job, before[phase], 1, now - lag)

    def _done(self, job: str, phase: str, part: int, by: datetime) -> bool:
        work = self.works.get((job, phase, part))
        return work is None or (work.finished is not None and work.finished <= by)

    def away(self, crew: str, day: date) -> bool:
        """True when the crew does not work that day: weekend, rain, sick week, holiday."""
        monday = day - timedelta(days=day.weekday())
        sick = monday in self.script.sick.get(crew, ())
        return day.weekday() >= 5 or day in self.script.rain or sick or day in HOLIDAYS

    def machines(self, day: date) -> int:
        """Excavators that run."""
        broken = self.script.broken
        return self.script.machines - (broken is not None and broken[0] <= day <= broken[1])

    def open(self, job: str) -> bool:
        """True while the job has unfinished work."""
        return any(k[0] == job and w.finished is None for k, w in self.works.items())

    def drives(self, crew: str, job: str, day: date) -> bool:
        """True while the crew drives to the job from another one of the same day; notes where it is."""
        was = self.at_site.get(crew)
        if was is not None and was[0] == day and was[1] != job:
            self.driving[crew] = DRIVE_SLOTS
            self.drives_made += 1
        visits = self.seen.setdefault(crew, [])
        if not visits or visits[-1] != job:
            self.comebacks += job in visits
            visits.append(job)
        self.site_days.add((crew, day, job))
        self.begun.setdefault(job, day)
        self.at_site[crew] = (day, job)
        self.driving[crew] = self.driving.get(crew, 0) - 1
        return self.driving[crew] >= 0

    def open_any(self) -> bool:
        """True while any known work is unfinished."""
        return any(w.finished is None for w in self.works.values())

    def advance(self, key: Key, hours: float, until: datetime) -> None:
        """Work `hours` on it; notes when it and its job are finished."""
        work = self.works[key]
        work.spent += hours
        if work.spent >= work.hours - 1e-9:
            work.finished = until
            if not self.open(key[0]):
                self.finished[key[0]] = until.date()


#: Federal holidays on working days of the rehearsed seasons, 2027 (5 U.S.C. 6103).
HOLIDAYS = {
    date(2027, 5, 31),
    date(2027, 6, 18),
    date(2027, 7, 5),
    date(2027, 9, 6),
    date(2027, 10, 11),
    date(2027, 11, 11),
}


def key_of(booking: dict[str, Any]) -> Key:
    """The work of a booking as `plan show --json` gives it."""
    return (booking["job"], booking["phase"], booking["part"])


def slots(day: date) -> Iterator[datetime]:
    """The half hours of a working day."""
    for n in range(16):
        yield datetime.combine(day, datetime.min.time()) + timedelta(hours=7 + n / 2 + (0.5 if n >= 8 else 0))


@dataclass(frozen=True)
class Hours:
    """What one crew did on one day on one work; share: of the whole phase after that day."""

    day: date
    crew: str
    key: Key
    hours: float
    share: float
    done: bool


def work_day(
    site: Site, day: date, lists: dict[str, list[dict[str, Any]]], told: dict[str, date]
) -> list[Hours]:
    """Every crew follows its list for a day: the first of its next works that may go on (`LOOK_AHEAD`).

    told: job -> the first day that its customer knows; nobody comes more than `EARLY_DAYS` before it.
    """
    did: dict[tuple[str, Key], float] = {}
    for now in slots(day):
        free = site.machines(day)
        busy: set[str] = set()
        held: set[Key] = set()
        for crew in lists:
            if crew in busy or site.away(crew, day):
                continue
            for b in [b for b in lists[crew] if site.works[key_of(b)].finished is None][:LOOK_AHEAD]:
                key, crews = key_of(b), b["crews"]
                begun = any(k[0] == key[0] and w.spent for k, w in site.works.items())
                if (
                    key in held
                    or not site.ready(key, now)
                    or (not begun and day < told.get(key[0], day) - EARLY)
                ):
                    continue
                if any(c in busy or site.away(c, day) for c in crews) or len(b["machines"]) > free:
                    continue
                free -= len(b["machines"])
                busy.update(crews)
                held.add(key)
                on_the_road = [site.drives(c, key[0], day) for c in crews]
                if any(on_the_road):
                    break
                rate = PAIR if len(crews) > 1 else 1.0
                site.advance(key, 0.5 * rate, now + timedelta(minutes=30))
                did[b["crews"][0], key] = did.get((b["crews"][0], key), 0.0) + 0.5
                break
    return [_hours(site, day, crew, key, hours) for (crew, key), hours in did.items()]


def _hours(site: Site, day: date, crew: str, key: Key, hours: float) -> Hours:
    work = site.works[key]
    parts = max(k[2] for k in site.works if k[:2] == key[:2])
    share = min(1.0, work.spent / work.hours)
    whole = (key[2] - 1 + share) / parts
    return Hours(day, crew, key, hours, whole, done=work.finished is not None and key[2] == parts)


@dataclass
class Told:
    """The outcome: promises, actual finishes, hours typed in, the office list's length by week, breaches."""

    promised: dict[str, date]
    finished: dict[str, date]
    hours: float
    logged: float
    office: list[int]
    percentile_day: dict[str, date]
    breaches: list[str]
    weeks: int
    late: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    site: Site | None = None

    def kept(self, jobs: set[str]) -> int:
        """Promises of these jobs that were kept."""
        return sum(self.finished.get(j, date.max) <= self.promised[j] for j in jobs)

    def days_late(self, jobs: set[str]) -> int:
        """Calendar days late over these jobs; a job never finished counts 60."""
        late = [(self.finished[j] - self.promised[j]).days if j in self.finished else 60 for j in jobs]
        return sum(max(0, d) for d in late)

    def price_usd(self, late_day_usd: float) -> float:
        """The season at the firm's prices: late days, drives, comebacks, site days, open gardens [USD]."""
        site = self.site
        assert site is not None
        open_days = sum((self.finished[j] - site.begun[j]).days for j in self.finished)
        return (
            late_day_usd * self.days_late(set(self.promised))
            + 24 * 2.5 * site.drives_made
            + 200 * site.comebacks
            + 60 * len(site.site_days)
            + 25 * open_days
        )

    def coverage(self) -> float:
        """Share of jobs that were finished by the P80 day that was reckoned before the season."""
        known = [j for j in self.percentile_day if j in self.finished]
        return sum(self.finished[j] <= self.percentile_day[j] for j in known) / max(1, len(known))


def play_season(
    run: Type, script: Script, site: Site, promised: dict[str, date], judge: Callable[[], list[str]]
) -> Told:
    """Play the season. run: types a command at a moment; judge: the breaches of the newest plan."""
    monday = script.monday
    run("plan", "make", "--seconds", script.seconds * 3, "--slack", script.slack, at=f"{monday}T05:00")
    broken = judge()
    run("plan", "publish", at=f"{monday}T05:05")
    percentile_day = {
        j["job"]: date.fromisoformat(j["percentile_day"])
        for j in run("chance", "show", "--seasons", 300, "--json", at=f"{monday}T05:10").data["jobs"]
    }
    told = Told(promised, site.finished, 0.0, 0.0, [], percentile_day, broken, 0, site=site)
    for week in range(script.weeks):
        if all(not site.open(job) for job in {k[0] for k in site.works} | set(promised)) and site.works:
            break
        _monday_news(run, script, monday + timedelta(weeks=week), judge, told)
        _one_week(run, script, site, monday + timedelta(weeks=week), told)
        _friday(run, script, site, monday + timedelta(weeks=week, days=4), judge, told)
        told.weeks += 1
    told.logged = sum(e["crew_h"] for e in run("log", "list", "--json", at=f"{monday}T05:00").data)
    return told


def _monday_news(run: Type, script: Script, monday: date, judge: Callable[[], list[str]], told: Told) -> None:
    """Sick crews and a broken machine are known on the morning: entered, repaired, published."""
    at = f"{monday}T06:00"
    news = False
    for crew, weeks in script.sick.items():
        if monday in weeks:
            run("lost", "sick", crew, monday, "--until", monday + timedelta(days=4), at=at)
            news = True
    if script.broken is not None and script.broken[0] == monday:
        run("lost", "machine", "excavator", *script.broken[:1], "--until", script.broken[1], at=at)
        news = True
    if news:
        run("replan", "--quick", at=at)
        told.breaches += judge()
        run("plan", "publish", at=at)


def _one_week(run: Type, script: Script, site: Site, monday: date, told: Told) -> None:
    at = f"{monday}T06:30"
    plan = run("plan", "show", *_published(run, at), "--json", at=at).data["bookings"]
    site.learn(plan)
    for code in {q[1] for q in script.inquiries} - told.late.keys():
        mine = [b for b in plan if b["job"] == code]
        if mine:
            told.late[code] = mine
    lists = {c: sorted((b for b in plan if c in b["crews"]), key=lambda b: b["start"]) for c in script.crews}
    first: dict[str, date] = {}
    for b in sorted(plan, key=lambda b: b["start"]):
        first.setdefault(b["job"], date.fromisoformat(b["start"][:10]))
    for n in range(5):
        day = monday + timedelta(days=n)
        rows = work_day(site, day, lists, first)
        if day in script.rain:
            run("lost", "rain", day, at=f"{day}T16:00")
        for row in rows:
            _log(run, row)
            told.hours += row.hours


def _log(run: Type, row: Hours) -> None:
    words = ["--done"] if row.done else ["--share", f"{min(99.0, row.share * 100):.1f}"]
    job, phase, _ = row.key
    run("log", "add", job, phase, row.crew, row.hours, "--day", row.day, *words, at=f"{row.day}T16:00")


def _published(run: Type, at: str) -> list[int]:
    heads = [h for h in run("plan", "list", "--json", at=at).data if h["published_at"]]
    return [max(heads, key=lambda h: (h["published_at"], h["number"]))["number"]]


def _friday(
    run: Type, script: Script, site: Site, friday: date, judge: Callable[[], list[str]], told: Told
) -> None:
    at = f"{friday}T16:30"
    for day, code, like, size in script.inquiries:
        if day == friday:
            offer = run("promise", "ask", code, "--like", like, "--size", size, "--json", at=at).data
            told.promised[code] = date.fromisoformat(offer["percentile_day"])
            lines = run("job", "show", like, "--json", at=at).data["lines"]
            asked = [("-q", f"{x['item']}={_times(x, size)}") for x in lines]
            options = [word for pair in asked for word in pair]
            run(
                "job",
                "add",
                code,
                "late (invented)",
                "--status",
                "sold",
                "--promised",
                offer["percentile_day"],
                *options,
                at=at,
            )
            site.hose_h[code] = site.hose_h[like] * size
    if not site.open_any():
        return
    _ask_locates(run, at)
    run("replan", "--seconds", script.seconds, "--slack", script.slack, at=at)
    told.breaches += judge()
    run("plan", "publish", at=at)
    told.office.append(len(run("office", "list", "--json", at=at).data))


def _ask_locates(run: Type, at: str) -> None:
    """The office asks for the next two weeks' locates, anew where a ticket runs out, and orders."""
    items = run("office", "list", "--days", 14, "--json", at=at).data
    keys = [i["key"] for i in items if i["key"].startswith(("locate:", "relocate:", "order:"))]
    if keys:
        run("office", "tick", *keys, at=at)


def _times(line: dict[str, Any], size: float) -> float:
    if line["item"] == "hose_gpm":
        return float(line["quantity"])
    if line["item"] in {"filter_boxes", "connections", "sealed_joints"}:
        return float(max(1, round(line["quantity"] * size)))
    return round(line["quantity"] * size, 3)


def play_alone(
    script: Script, site: Site, bookings: list[dict[str, Any]], late: dict[str, list[dict[str, Any]]]
) -> dict[str, date]:
    """The first plan followed to its end without ever re-planning: job -> finish.

    late: the inquiries that were sold on the way; each is hung on the crew whose list is shortest.
    """
    site.learn([*bookings, *(b for rows in late.values() for b in rows)])
    lists = {
        c: sorted((b for b in bookings if c in b["crews"]), key=lambda b: b["start"]) for c in script.crews
    }
    first: dict[str, date] = {}
    for b in sorted(bookings, key=lambda b: b["start"]):
        first.setdefault(b["job"], date.fromisoformat(b["start"][:10]))
    for code in sorted(late):
        crew = min(script.crews, key=lambda c: (sum(b["crew_h"] for b in lists[c]), c))
        rows = sorted(late[code], key=lambda b: (PHASES.index(b["phase"]), b["part"]))
        lists[crew] = [*lists[crew], *({**b, "crews": [crew]} for b in rows)]
    day = script.monday
    while site.open_any() and day < script.monday + timedelta(weeks=script.weeks):
        work_day(site, day, lists, first)
        day += timedelta(days=1)
    return site.finished


def play_by_hand(
    script: Script, site: Site, bookings: list[dict[str, Any]], promised: dict[str, date]
) -> dict[str, date]:
    """Earliest due date by hand: a free crew goes on with its own jobs, else takes the next promise.

    A crew does a whole job; while it waits for a cure or for water it begins the next.
    """
    sold = {code: friday + timedelta(days=3) for friday, code, _, _ in script.inquiries}
    site.gates.update(sold)
    site.learn(bookings)
    by_job: dict[str, list[dict[str, Any]]] = {}
    for b in sorted(bookings, key=lambda b: (PHASES.index(b["phase"]), b["part"])):
        by_job.setdefault(b["job"], []).append(b)
    order = sorted(by_job, key=lambda j: (promised.get(j, date.max), j))
    owner: dict[str, str] = {}
    day = script.monday
    while site.open_any() and day < script.monday + timedelta(weeks=script.weeks):
        for now in slots(day):
            free = site.machines(day)
            for crew in script.crews:
                if site.away(crew, day):
                    continue
                for job in order:
                    if owner.get(job, crew) != crew:
                        continue
                    todo = [b for b in by_job[job] if site.works[key_of(b)].finished is None]
                    b = next((b for b in todo if site.ready(key_of(b), now)), None)
                    if b is None or len(b["machines"]) > free:
                        continue
                    owner[job] = crew
                    free -= len(b["machines"])
                    if not site.drives(crew, job, day):
                        site.advance(key_of(b), 0.5, now + timedelta(minutes=30))
                    break
        day += timedelta(days=1)
    return site.finished
