"""Finished phases as evidence: hours worked against the hours that were estimated.

In: jobs, logs, crews, rate books. Out: one `Observation` per finished phase. Logged hours are hours on site,
the day's set-up included, so the estimate is taken with its set-up too. Hours lost are not hours worked; a
day with fewer or more hands than usual counts by its hands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import log

from planner.domain.estimate.labour import JobEstimate, PhaseEstimate, with_daily_setup
from planner.domain.estimate.rates import LearnedKind, RateBook
from planner.domain.firm.actuals import Log, progress
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Access, Job, Soil, Status
from planner.domain.firm.phases import Phase

#: (job, crew, book) -> the estimate that this book gives
EstimateWith = Callable[[Job, Crew, RateBook], JobEstimate]
Target = tuple[LearnedKind, str]


@dataclass(frozen=True, slots=True)
class Observation:
    """One finished phase of one job.

    worked_h: crew-hours logged, as the crew's usual number of hands; told_h: likely hours of the edition that
    the job was estimated with; bare_h: likely hours of the present rows without anything learned; own_log_sd:
    spread of the phase by its rows. first, last: days of the logs.
    """

    job: str
    phase: Phase
    crew: str
    soil: Soil
    access: Access
    first: date
    last: date
    worked_h: float
    told_h: float
    told_p80_h: float
    bare_h: float
    own_log_sd: float

    @property
    def log_ratio(self) -> float:
        """ln(worked / bare): what the multipliers together should have been."""
        return log(self.worked_h / self.bare_h)

    @property
    def targets(self) -> tuple[Target, ...]:
        """The multipliers that act on this phase, as `labour` applies them."""
        soil = ((LearnedKind.SOIL, self.soil.value),) if self.phase is Phase.DIG else ()
        return (
            (LearnedKind.PHASE, self.phase.value),
            (LearnedKind.CREW, self.crew),
            *soil,
            (LearnedKind.ACCESS, self.access.value),
        )


def bare(book: RateBook) -> RateBook:
    """The edition's rows without anything learned."""
    return RateBook(book.edition, book.made_on, book.rows, book.note, parent=book.parent)


def observations(
    jobs: Sequence[Job],
    logs: Sequence[Log],
    crews: Sequence[Crew],
    firm: Firm,
    book: RateBook,
    told_with: Mapping[str, RateBook],
    estimate_with: EstimateWith,
) -> list[Observation]:
    """Every finished phase of every finished job, in order of job and phase.

    told_with: job code -> the edition it was estimated with. A job is finished when its status says so or
    all its phases with work are logged as done. Phases without hours are left out, and so are phases on which
    a crew worked that is off the records: how many hands it had is no longer known.
    """
    by_crew = {c.name: c for c in crews}
    closed_of: dict[str, set[Phase]] = {}
    for (code, phase), state in progress(list(logs)).items():
        if state.done:
            closed_of.setdefault(code, set()).add(phase)
    own: dict[str, list[Log]] = {}
    for entry in logs:
        own.setdefault(entry.job, []).append(entry)
    found: list[Observation] = []
    plain = bare(book)
    for job in sorted(jobs, key=lambda j: j.code):
        entries = own.get(job.code, [])
        worked = {e.phase for e in entries if e.crew_h > 0}
        strangers = {e.phase for e in entries if e.crew_h > 0 and e.crew not in by_crew}
        phases = sorted(worked - strangers, key=lambda p: p.rank)
        crew_of = {phase: _main_crew(entries, phase, by_crew) for phase in phases}
        closed = closed_of.get(job.code, set())
        if not phases or not _finished(job, estimate_with(job, crew_of[phases[0]], plain), closed):
            continue
        for phase, crew in crew_of.items():
            bare_one = estimate_with(job, crew, plain)
            told = estimate_with(job, crew, told_with.get(job.code, book))
            if phase in bare_one.phases and phase in told.phases:
                found.append(
                    _observe(job, crew, entries, bare_one.phases[phase], told.phases[phase], by_crew, firm)
                )
    return found


def _finished(job: Job, estimated: JobEstimate, done: set[Phase]) -> bool:
    return job.status is Status.DONE or set(estimated.phases) <= done


def _main_crew(entries: Sequence[Log], phase: Phase, crews: Mapping[str, Crew]) -> Crew:
    """The crew with most hours on the phase; the first by name on a tie."""
    hours: dict[str, float] = {}
    for e in sorted(entries, key=lambda e: (e.day, e.crew, e.crew_h)):
        if e.phase is phase and e.crew_h > 0:
            hours[e.crew] = hours.get(e.crew, 0.0) + e.crew_h
    return crews[min(hours, key=lambda name: (-hours[name], name))]


def _observe(
    job: Job,
    crew: Crew,
    entries: Sequence[Log],
    plain: PhaseEstimate,
    told: PhaseEstimate,
    crews: Mapping[str, Crew],
    firm: Firm,
) -> Observation:
    mine = sorted(
        (e for e in entries if e.phase is plain.phase and e.crew_h > 0),
        key=lambda e: (e.day, e.crew, e.crew_h, e.people),
    )
    hands = [(e.people or crews[e.crew].size) * crews[e.crew].pace for e in mine]
    worked = sum(e.crew_h * h for e, h in zip(mine, hands, strict=True)) / (crew.size * crew.pace)
    return Observation(
        job=job.code,
        phase=plain.phase,
        crew=crew.name,
        soil=job.soil,
        access=job.access,
        first=min(e.day for e in mine),
        last=max(e.day for e in mine),
        worked_h=worked,
        told_h=with_daily_setup(told.crew_h, firm),
        told_p80_h=with_daily_setup(told.crew_h_at(80.0), firm),
        bare_h=with_daily_setup(plain.crew_h, firm),
        own_log_sd=plain.hours.log_sd,
    )
