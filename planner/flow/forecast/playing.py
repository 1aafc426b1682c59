"""A season played in today's luck: the labour model's spread, the climate at hand, what else goes wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, sqrt

from planner.domain.estimate.labour import JobEstimate, PhaseEstimate, estimate, together
from planner.domain.estimate.unknown import Sureness
from planner.domain.firm.phases import WorkKey
from planner.domain.forecast.basis import Basis
from planner.domain.forecast.chance import Draws, play
from planner.domain.forecast.luck import Spread
from planner.domain.season.facts import Facts
from planner.domain.season.plan import Booking
from planner.domain.season.season import Season
from planner.errors import BadInput
from planner.flow.forecast.climate import climate_of
from planner.flow.stored.weather import forecast_in_force
from planner.store.shipped.luck import luck_book
from planner.store.shipped.own_file import folder_of


def basis_of(
    location: str,
    facts: Facts,
    today: date,
    *,
    station: str | None = None,
    per_wet_day: float | None = None,
    carry_over: float | None = None,
) -> Basis:
    """The luck of a firm; what is None comes from its own records and files, else the shipped ones."""
    book = luck_book(folder_of(location))
    if carry_over is not None and not 0 <= carry_over <= 0.9:
        raise BadInput("--carry-over", carry_over, "choose from 0 to 0.9")
    climate = climate_of(location, facts, today, station, per_wet_day)
    spell = book.carry_over if carry_over is None else carry_over
    return Basis(climate, book, spell, forecast_in_force(location, facts.firm, today))


def played(
    facts: Facts,
    season: Season,
    bookings: Sequence[Booking],
    basis: Basis,
    *,
    seasons: int,
    seed: int,
    early: bool = False,
) -> Draws:
    """The bookings played, repaired each morning; the same seed and works give the same luck."""
    unsure = unsure_of(facts, bookings)
    return play(
        season,
        bookings,
        unsure.spreads,
        basis.weather,
        seasons=seasons,
        seed=seed,
        early=early,
        causes=unsure.causes,
        mishaps=basis.book.mishaps,
        repairs=True,
    )


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
