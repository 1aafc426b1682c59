"""Labour as an owner looks at it: sold, told now, worked, left and at the end, by job, phase and crew.

In: the facts and the plan that counts. Out: a `Ledger`. What is left of a job is what board and season count;
beside it stands how sure that is, and how likely the job still ends within the hours that it was sold with.
Set-up, clearing up and driving are shown as hours of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from planner.domain.estimate.labour import JobEstimate, estimate, on_site
from planner.domain.firm.actuals import Log, of_jobs, progress
from planner.domain.firm.calendar import working_days
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.domain.hours.going import Going, Reached, going
from planner.domain.season.facts import Facts, hours_for
from planner.domain.season.job_hours import HeldPhase, JobHours, in_slots_h, job_hours
from planner.domain.season.plan import Plan
from planner.domain.season.travel import depot, road_mi, site
from planner.domain.season.ways import usual_crew

#: Chance under which a begun job or phase is said to go wrong.
WORRY = 0.5
#: Rows of the book that are clearing up at the end of a job.
_CLEARING = ("site.", "rubbish.", "paving.clean")


@dataclass(frozen=True, slots=True)
class Account:
    """Hours of a phase, a job, a crew [crew-hours].

    sold_h: as the edition that told the job holds it; now_h: as the newest holds it; worked_h: logged;
    left_h: to go, as the board counts it.
    """

    sold_h: float = 0.0
    now_h: float = 0.0
    worked_h: float = 0.0
    left_h: float = 0.0

    @property
    def end_h(self) -> float:
        """Hours at the end: worked and left."""
        return self.worked_h + self.left_h

    @property
    def over_h(self) -> float:
        """Hours at the end beyond those sold; below 0 when fewer."""
        return self.end_h - self.sold_h

    def plus(self, other: Account) -> Account:
        """Both together."""
        return Account(
            self.sold_h + other.sold_h,
            self.now_h + other.now_h,
            self.worked_h + other.worked_h,
            self.left_h + other.left_h,
        )


@dataclass(frozen=True, slots=True)
class Besides:
    """What of a job's hours is not the work itself, worked and left.

    site_days: days of a crew on site; setup_h: their set-up and pack-up; phase_setup_h: of laying out and
    setting up each phase; clearing_h: of clearing up; driving_h: there and back, which stands beside the
    crew-hours, not in them.
    """

    site_days: int = 0
    setup_h: float = 0.0
    phase_setup_h: float = 0.0
    clearing_h: float = 0.0
    driving_h: float = 0.0


@dataclass(frozen=True, slots=True)
class JobLedger:
    """One job. crews: phase -> who leads it; going: how sure the rest is; within: phase -> chance that it
    ends within the hours that it was sold with, of begun phases alone; people: phase -> hands of its crews,
    on average [persons]; worked_labour_h: phase -> hours of all hands that were logged [labour-h].
    """

    job: str
    client: str
    phases: Mapping[Phase, Account]
    crews: Mapping[Phase, str]
    going: Going
    within: Mapping[Phase, float]
    worked: Besides
    left: Besides
    people: Mapping[Phase, float] = field(default_factory=dict)
    worked_labour_h: Mapping[Phase, float] = field(default_factory=dict)

    @property
    def account(self) -> Account:
        """All phases together."""
        return summed(self.phases.values())

    @property
    def begun(self) -> bool:
        """True when hours are logged and hours are left."""
        return self.account.worked_h > 0 and self.account.left_h > 0

    @property
    def chance(self) -> float:
        """Chance that the job ends within the hours that it was sold with."""
        return self.going.chance_within(self.account.sold_h)

    @property
    def wrong(self) -> tuple[Phase, ...]:
        """Begun phases that are more likely than not to pass their hours."""
        return tuple(phase for phase, chance in self.within.items() if chance < WORRY)

    @property
    def goes_wrong(self) -> bool:
        """True for a begun job that is more likely than not to pass its hours, or has such a phase."""
        return self.begun and (self.chance < WORRY or bool(self.wrong))


@dataclass(frozen=True, slots=True)
class Ledger:
    """All jobs asked for, in the order of their codes. plan: number of the plan that counts, None without."""

    jobs: tuple[JobLedger, ...]
    plan: int | None
    percentile: float

    @property
    def account(self) -> Account:
        """All jobs together."""
        return summed(job.account for job in self.jobs)

    def by_phase(self) -> dict[Phase, Account]:
        """The hours of each phase over all jobs, in the order of the phases."""
        found = [(phase, account) for job in self.jobs for phase, account in job.phases.items()]
        return {p: summed(a for q, a in found if q is p) for p in Phase if any(q is p for q, _ in found)}

    def by_crew(self) -> dict[str, Account]:
        """The hours of each crew by the phases that it leads."""
        found = [(job.crews[phase], account) for job in self.jobs for phase, account in job.phases.items()]
        return {c: summed(a for d, a in found if d == c) for c in sorted({c for c, _ in found})}

    def wrong(self) -> list[JobLedger]:
        """The begun jobs that go wrong, the least likely to be kept first."""
        return sorted((j for j in self.jobs if j.goes_wrong), key=lambda j: (j.chance, j.job))


def summed(accounts: Iterable[Account]) -> Account:
    """Accounts added up."""
    found = Account()
    for account in accounts:
        found = found.plus(account)
    return found


def ledger(facts: Facts, jobs: Sequence[Job], plan: Plan | None, today: date) -> Ledger:
    """The jobs as an owner looks at them on `today`."""
    newest = replace(facts, told_by={}, logs=())
    sold = replace(facts, logs=())
    found = tuple(
        _job(facts, sold, newest, job, plan, today)
        for job in sorted(jobs, key=lambda j: j.code)
        if job.phases
    )
    return Ledger(found, plan.number if plan else None, facts.firm.planning_percentile)


def _job(facts: Facts, sold: Facts, newest: Facts, job: Job, plan: Plan | None, today: date) -> JobLedger:
    own = replace(facts, logs=tuple(of_jobs(facts.logs, {job.code})))
    known = {c.name for c in facts.crews}
    sent = next((b.lead for b in plan.of_job(job.code) if b.lead in known), None) if plan else None
    crew = usual_crew(job, facts.crews, facts.rules, sent)
    held = job_hours(own, job, plan, crew.name)
    asks = [hours_for(f, job) for f in (sold, newest)]

    def whole(at: int, phase: HeldPhase) -> float:
        hours = asks[at](phase.phase, phase.crews) if set(phase.crews) <= known else None
        return in_slots_h(hours.parts_min) * len(phase.crews) if hours else 0.0

    phases = {
        phase: Account(whole(0, one), whole(1, one), one.worked_h, one.to_go_h)
        for phase, one in held.phases.items()
    }
    machines = {m.key: m for m in facts.machines}
    told = estimate(job, crew, facts.rates_of(job.code), facts.firm, facts.rules, machines)
    rest = going(told, on_site(facts.firm, job), _reached(own.logs, job.code))
    within = {
        phase: rest.phases[phase].below(phases[phase].sold_h - one.worked_h)
        for phase, one in held.phases.items()
        if one.begun and not one.done and phase in rest.phases
    }
    crews = {phase: one.crews[0] for phase, one in held.phases.items()}
    besides = _besides(facts, job, told, held, own.logs, plan, today)
    size = {c.name: float(c.size) for c in facts.crews}
    people = {
        phase: sum(size.get(name, crew.size) for name in one.crews) / len(one.crews)
        for phase, one in held.phases.items()
    }
    labour_h = {phase: _labour_h(own.logs, phase, size, people[phase]) for phase in phases}
    return JobLedger(job.code, job.client, phases, crews, rest, within, *besides, people, labour_h)


def _labour_h(logs: Sequence[Log], phase: Phase, size: Mapping[str, float], usual: float) -> float:
    """Hours of all hands that were logged on a phase; a log that names no hands has the crew's [labour-h]."""
    return sum(e.crew_h * (e.people or size.get(e.crew, usual)) for e in logs if e.phase is phase)


def _reached(logs: Sequence[Log], code: str) -> dict[Phase, Reached]:
    return {
        phase: Reached(state.share, state.spent_crew_h, state.done)
        for (job, phase), state in progress(tuple(logs)).items()
        if job == code
    }


def _besides(
    facts: Facts,
    job: Job,
    told: JobEstimate,
    held: JobHours,
    logs: Sequence[Log],
    plan: Plan | None,
    today: date,
) -> tuple[Besides, Besides]:
    """Set-up, clearing up and driving of a job: so far, and to come."""
    been = {(e.crew, e.day) for e in logs if e.crew_h > 0}
    ahead = {
        (crew, day)
        for b in (plan.of_job(job.code) if plan else ())
        for crew in b.crews
        for day in working_days(facts.firm, b.start.date(), b.end.date())
        if day >= today and held.phases.get(b.phase) and not held.phases[b.phase].done
    }
    hour_share = [_row_hours(told, held, done=done) for done in (True, False)]
    found = []
    for days, (setup_h, clearing_h) in zip((been, ahead - been), hour_share, strict=True):
        driving_h = sum(_drive_h(facts, job, crew) for crew, _ in days)
        found.append(
            Besides(
                len(days), len(days) * on_site(facts.firm, job).daily_setup_h, setup_h, clearing_h, driving_h
            )
        )
    return found[0], found[1]


def _row_hours(told: JobEstimate, held: JobHours, *, done: bool) -> tuple[float, float]:
    """Likely crew-hours of the phases' own set-up and of clearing up, of begun phases or of the others."""
    setup_h = clearing_h = 0.0
    for phase, one in told.phases.items():
        state = held.phases.get(phase)
        if (state is not None and (state.begun or state.done)) is not done:
            continue
        for line in one.lines:
            key = line.rows[0] if line.rows else ""
            setup_h += line.crew_h if key.endswith(".setup") else 0.0
            clearing_h += line.crew_h if key.startswith(_CLEARING) else 0.0
    return setup_h, clearing_h


def _drive_h(facts: Facts, job: Job, crew: str) -> float:
    """Hours from the crew's depot to the site and back."""
    known = next((c for c in facts.crews if c.name == crew), None)
    if known is None:
        return 0.0
    return 2.0 * road_mi(facts.firm, depot(facts.firm, known), site(job)) / facts.firm.road_mph
