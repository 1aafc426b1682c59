"""Finished phases as evidence: hours worked against the hours that were estimated.

In: jobs, logs, crews, rate books. Out: one `Observation` per finished phase, and per begun one. Logged hours
are hours on site, the day's set-up included, so the estimate is taken with its set-up too. Hours lost are
not hours worked; a day with fewer or more hands than usual counts by its hands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import log

from planner.domain.estimate.labour import JobEstimate, PhaseEstimate, with_daily_setup
from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.unknown import Leaning, Target, leaning
from planner.domain.firm.actuals import Log, Progress, progress
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Access, Job, Soil, Status
from planner.domain.firm.phases import Phase

#: (job, crew, book) -> the estimate that this book gives
EstimateWith = Callable[[Job, Crew, RateBook], JobEstimate]
#: Least share of a begun phase that says something about its hours.
_LEAST_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class Observation:
    """One finished phase of one job.

    worked_h: crew-hours logged, as the crew's usual number of hands; told_h: likely hours of the edition that
    the job was estimated with; bare_h: likely hours of the present rows without anything learned; own_log_sd:
    spread of the phase by its rows. first, last: days of the logs. size: log of the phase's bare size over a
    usual pond's; rows_log_sd, shift: how far its rows may be off for this firm. share: done of it, 1 when
    finished, and worked_h are then the hours of that share; whole: the whole job is finished.
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
    size: float = 0.0
    rows_log_sd: float = 0.0
    shift: float = 0.0
    share: float = 1.0
    whole: bool = True

    @property
    def key(self) -> str:
        """Job and phase, as an edition notes what it took from an unfinished job."""
        return f"{self.job} {self.phase.value}"

    @property
    def log_ratio(self) -> float:
        """ln(worked / bare): what the multipliers together should have been."""
        return log(self.worked_h / (self.bare_h * self.share))

    @property
    def leaning(self) -> Leaning:
        """The causes that act on this phase and how strongly, as `labour` applies them."""
        return leaning(self.phase, self.crew, self.soil, self.access, self.size)

    @property
    def targets(self) -> tuple[Target, ...]:
        """The causes that act on this phase."""
        return tuple(self.leaning)


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
    """Every phase that says something about its hours, in order of job and phase.

    told_with: job code -> the edition it was estimated with. Finished phases count, of begun ones those with
    a quarter done or more. Phases without hours are left out, so are visits, which say nothing of installs,
    and phases on which a crew worked that is off the records: how many hands it had is no longer known.
    """
    by_crew = {c.name: c for c in crews}
    done: dict[str, dict[Phase, Progress]] = {}
    for (code, phase), so_far in progress(list(logs)).items():
        done.setdefault(code, {})[phase] = so_far
    own: dict[str, list[Log]] = {}
    for entry in logs:
        own.setdefault(entry.job, []).append(entry)
    found: list[Observation] = []
    plain = bare(book)
    for job in sorted((j for j in jobs if j.code in own and j.visit is None), key=lambda j: j.code):
        entries = own[job.code]
        worked = {e.phase for e in entries if e.crew_h > 0}
        strangers = {e.phase for e in entries if e.crew_h > 0 and e.crew not in by_crew}
        phases = sorted(worked - strangers, key=lambda p: p.rank)
        crew_of = {phase: _main_crew(entries, phase, by_crew) for phase in phases}
        if not phases:
            continue
        state = done[job.code]
        whole = _finished(
            job, estimate_with(job, crew_of[phases[0]], plain), {p for p, s in state.items() if s.done}
        )
        for phase, crew in crew_of.items():
            share = 1.0 if whole or state[phase].done else state[phase].share
            bare_one = estimate_with(job, crew, plain)
            told = estimate_with(job, crew, told_with.get(job.code, book))
            if share >= _LEAST_SHARE and phase in bare_one.phases and phase in told.phases:
                one = _observe(job, crew, entries, bare_one.phases[phase], told.phases[phase], by_crew, firm)
                found.append(replace(one, share=share, whole=whole))
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
    hands = [(e.people or crews[e.crew].size) * crews[e.crew].going_pace for e in mine]
    worked = sum(e.crew_h * h for e, h in zip(mine, hands, strict=True)) / (crew.size * crew.going_pace)
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
        size=plain.size,
        rows_log_sd=plain.rows_log_sd,
        shift=plain.shift,
    )
