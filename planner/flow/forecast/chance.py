"""Chances of the published plan: the labour model's spread, the climate at hand, the seasons played."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import exp, sqrt
from pathlib import Path

from planner.domain.estimate.labour import JobEstimate, PhaseEstimate, estimate, together
from planner.domain.estimate.unknown import Sureness
from planner.domain.firm.calendar import working_days
from planner.domain.firm.lost import LostKind
from planner.domain.firm.phases import WorkKey
from planner.domain.firm.records import Moved
from planner.domain.forecast.chance import Spread, Weather, play
from planner.domain.forecast.climate import LOST_PER_WET_DAY, Station, lost_share, nearest, read_station
from planner.domain.forecast.outlook import Outlook, outlook
from planner.domain.safety.weather import ForecastFile
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.standing.hindrance import gone
from planner.domain.standing.in_force import past_words
from planner.domain.standing.roster import Roster
from planner.domain.standing.view import unplanned_jobs
from planner.errors import BadInput, PlannerError
from planner.flow.keeping.paths import read_bytes, read_text, write
from planner.flow.stored.facts import load_facts
from planner.flow.stored.roster import read_roster
from planner.flow.stored.weather import forecast_in_force
from planner.store.engine import Store
from planner.store.shipped.climate import stations

#: The firm's own gauge, beside its database.
OWN_STATION = "climate.csv"


@dataclass(frozen=True, slots=True)
class Climate:
    """The station that is used and how many crew days a wet day costs; own: from the firm's own entries."""

    station: Station | None
    lost_per_wet_day: float
    own_share: bool

    def weather(self, carry_over: float) -> Weather:
        """Chance of a lost day by month; none without a station."""
        if self.station is None:
            return Weather((0.0,) * 12, carry_over)
        chances = tuple(
            min(1.0, self.station.wet_chance(month) * self.lost_per_wet_day) for month in range(1, 13)
        )
        return Weather(chances, carry_over)


@dataclass(frozen=True, slots=True)
class Chances:
    """The outlook, and what it rests on.

    unplayed: job -> why it is not played: its promise has no chance to tell; moved: what changed since the
    plan was made; forecast: what the days ahead go by, None for the climate alone.
    """

    outlook: Outlook
    plan: Plan
    season: Season
    climate: Climate
    unplayed: Mapping[str, str]
    moved: tuple[Moved, ...]
    forecast: ForecastFile | None = None


def chances(
    location: str,
    now: datetime,
    *,
    seasons: int = 1000,
    seed: int = 1,
    number: int | None = None,
    station: str | None = None,
    per_wet_day: float | None = None,
    carry_over: float = 0.2,
    early: bool = False,
) -> Chances:
    """Play the published plan (or `number`, or the newest when none is published).

    station: a key or a name's beginning; the firm's own, else the first in its state, when None.
    per_wet_day: crew days lost per wet day; from the firm's own rain entries, else the default, when None.
    """
    facts = load_facts(location)
    plan = _plan_to_play(location, facts, number)
    season = season_of(facts, now)
    left = [b for b in plan.bookings if b.key in season.works]
    with Store(location).reading() as book:
        roster = read_roster(book, plan)
    unplayed = not_played(season, plan, left, roster)
    bookings = [b for b in left if b.job not in unplayed]
    if not bookings:
        why = f" ({', '.join(dict.fromkeys(unplayed.values()))})" if unplayed else ""
        raise PlannerError(f"the plan has no work left to play{why}: make a new one with `planner plan make`")
    climate = climate_of(location, facts, now.date(), station, per_wet_day)
    forecast = forecast_in_force(location, facts.firm, now.date())
    told = {day: forecast.lost_chance(day) or 0.0 for day in forecast.days} if forecast else {}
    unsure = unsure_of(facts, bookings)
    draws = play(
        season,
        bookings,
        unsure.spreads,
        replace(climate.weather(carry_over), told=told),
        seasons=seasons,
        seed=seed,
        early=early,
        causes=unsure.causes,
    )
    shown = Plan(tuple(bookings), plan.cost, plan.state, plan.made_at, plan.number)
    seen = outlook(season, shown, draws, seed=seed)
    return Chances(seen, plan, season, climate, unplayed, roster.moved, forecast)


def not_played(season: Season, plan: Plan, left: Sequence[Booking], roster: Roster) -> dict[str, str]:
    """Job -> why it cannot be played: it is not in the plan, its planned days are past and nobody logged
    that it is done, or its crew or machine is gone.
    """
    found = {job.code: "not in the plan" for job in unplanned_jobs(season, plan)}
    last: dict[str, date] = {}
    for booking in left:
        last[booking.job] = max(booking.end.date(), last.get(booking.job, date.min))
    found |= {job: past_words(day) for job, day in last.items() if day < season.now.date()}
    for booking in left:
        if why := gone(roster, booking):
            found.setdefault(booking.job, why)
    return found


def _plan_to_play(location: str, facts: Facts, number: int | None) -> Plan:
    if number is None and facts.published is not None:
        return facts.published
    with Store(location).reading() as book:
        return book.plan(number)


@dataclass(frozen=True, slots=True)
class Unsure:
    """How uncertain each booked work is, and the covariance of the log causes that all works lean on."""

    spreads: Mapping[WorkKey, Spread]
    causes: tuple[tuple[float, ...], ...]


def unsure_of(facts: Facts, bookings: Sequence[Booking]) -> Unsure:
    """The spread of each booked work by the edition that tells its job, and what the newest does not know.

    Of the firm's causes there is one truth for the season, whichever edition told a job.
    """
    jobs = {job.code: job for job in facts.jobs}
    crews = {crew.name: crew for crew in facts.crews}
    machines = {machine.key: machine for machine in facts.machines}
    seen: dict[tuple[str, tuple[str, ...]], JobEstimate] = {}
    for job, team in dict.fromkeys((b.job, b.crews) for b in bookings):
        rates = facts.rates_of(job)
        crew = together([crews[name] for name in team], rates)
        seen[job, team] = estimate(jobs[job], crew, rates, facts.firm, facts.rules, machines)
    causes = _Causes(Sureness(facts.rates), [p for e in seen.values() for p in e.phases.values()])
    by_team = {}
    for key, found in seen.items():
        planned = found.planned(facts.firm.planning_percentile)
        by_team[key] = {p: spread_of(e, planned[p], causes.of(e)) for p, e in found.phases.items()}
    spreads = {b.key: by_team[b.job, b.crews].get(b.phase) for b in bookings}
    return Unsure({key: x for key, x in spreads.items() if x is not None}, causes.covariance())


class _Causes:
    """The causes that phases lean on, numbered; and of each phase's rows one more, of spread 1."""

    def __init__(self, sure: Sureness, phases: Sequence[PhaseEstimate]) -> None:
        """All causes of these phases."""
        self._sure = sure
        self._targets = sorted({t for p in phases for t in p.leaning})
        self._rows = sorted({p.phase for p in phases if p.rows_log_sd > 0})

    def of(self, phase: PhaseEstimate) -> tuple[float, ...]:
        """How the phase leans on each."""
        lean = [phase.leaning.get(t, 0.0) for t in self._targets]
        return (*lean, *(phase.rows_log_sd if p is phase.phase else 0.0 for p in self._rows))

    def covariance(self) -> tuple[tuple[float, ...], ...]:
        """Covariance of the causes' logarithms."""
        n = len(self._targets)
        between = [[self._sure.between(a, b) for b in self._targets] for a in self._targets]
        rows = [(*between[i], *(0.0 for _ in self._rows)) for i in range(n)]
        rows += [
            tuple(float(i == j) for j in range(n + len(self._rows))) for i in range(n, n + len(self._rows))
        ]
        return tuple(rows)


def spread_of(phase: PhaseEstimate, planned_h: float, leaning: tuple[float, ...] = ()) -> Spread:
    """The expected over the planned hours, and the spread round it, shared by the job in part.

    planned_h: hours that the plan gives the phase, without daily set-up, which grows with them [crew-hours];
    leaning: on the causes that all works of a season share.
    """
    own, job = phase.hours.log_sd**2, phase.job_log_sd**2
    return Spread(
        mean_ratio=phase.hours.times(exp(phase.shift), phase.job_log_sd).mean / planned_h,
        cv=sqrt(exp(own + job) - 1),
        common=job / (own + job) if own + job > 0 else 0.0,
        leaning=leaning,
    )


def climate_of(
    location: str, facts: Facts, today: date, wanted: str | None, per_wet_day: float | None
) -> Climate:
    """The station and the share of wet days that cost a crew day."""
    station = _station(location, facts.firm.state, wanted)
    if per_wet_day is not None:
        if not 0 <= per_wet_day <= 1:
            raise BadInput("--per-wet-day", per_wet_day, "give 0 to 1 crew days lost per wet day")
        return Climate(station, per_wet_day, own_share=False)
    if station is not None:
        worked = working_days(facts.firm, facts.firm.season_first, today)
        rained = [
            day
            for entry in facts.lost
            if entry.kind is LostKind.RAIN and not entry.target
            for day in worked
            if day in entry.days
        ]
        share = lost_share(station, worked, rained)
        if share is not None and rained:
            return Climate(station, min(1.0, share), own_share=True)
    return Climate(station, LOST_PER_WET_DAY, own_share=False)


def all_stations(location: str) -> list[Station]:
    """The firm's own station first, then the shipped ones."""
    own = own_station(location)
    return [*([own] if own else []), *stations()]


def _station(location: str, state: str, wanted: str | None) -> Station | None:
    known = all_stations(location)
    if wanted is None:
        return known[0] if known[0].key == "own" else nearest(known, state)
    word = wanted.casefold()
    exact = [s for s in known if word in {s.key.casefold(), s.name.casefold()}]
    found = exact or [s for s in known if s.name.casefold().startswith(word)]
    if len(found) != 1:
        raise BadInput("--station", wanted, f"use one of: {', '.join(s.name for s in known)}")
    return found[0]


def own_station(location: str) -> Station | None:
    """The firm's own station from climate.csv beside its database; None when there is none."""
    path = _own_path(location)
    return read_station_file(path) if path is not None and path.is_file() else None


def keep_station(location: str, file: Path) -> Station:
    """Check a CSV file with the columns month and wet_days and keep it as the firm's own station."""
    path = _own_path(location)
    if path is None:
        raise PlannerError("a server holds no own station: keep the season in a file, named with --db")
    station = read_station_file(file)
    write(path, read_bytes(file))
    return station


def _own_path(location: str) -> Path | None:
    return None if "://" in location else Path(location).expanduser().parent / OWN_STATION


def read_station_file(path: Path) -> Station:
    """A station from a CSV file; BadInput when it cannot be read, BadInputs with every wrong line."""
    import csv

    text = read_text(path)
    try:
        reader = csv.DictReader(text.splitlines())
        rows = [dict(row) for row in reader]
    except csv.Error as fault:
        raise BadInput("file", str(path), f"not a CSV file: {fault}") from None
    if not {"month", "wet_days"} <= set(reader.fieldnames or ()):
        raise BadInput("columns", ", ".join(reader.fieldnames or ()), "name the columns month and wet_days")
    return read_station(rows, key="own", name="own station", source=path.name, where=path.name)
