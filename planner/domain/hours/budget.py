"""Labor in dollars as an owner looks at it: sold, told now, worked, left, at the end and how sure that is.

In: the ledger of hours, what a labour-hour costs, what each job's price holds besides labor. Out: a `Budget`
by job, phase and crew, from the very hours that the ledger tells: dollars are its crew-hours x the people who
work them x the burdened rate. Material, machines, haul and visits of others stand beside them as planned, of
the material also what is ordered: nobody logs what was paid.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from planner.domain.firm.phases import Phase
from planner.domain.hours.ledger import Account, JobLedger, Ledger
from planner.domain.season.pricing import Beside


@dataclass(frozen=True, slots=True)
class Dollars:
    """Labor of a phase, a job, a crew [USD], with the meanings of an `Account`."""

    sold_usd: float = 0.0
    now_usd: float = 0.0
    worked_usd: float = 0.0
    left_usd: float = 0.0

    @property
    def end_usd(self) -> float:
        """Labor at the end: worked and left [USD]."""
        return self.worked_usd + self.left_usd

    @property
    def over_usd(self) -> float:
        """Labor at the end beyond what was sold; below 0 when less [USD]."""
        return self.end_usd - self.sold_usd

    def plus(self, other: Dollars) -> Dollars:
        """Both together."""
        return Dollars(
            self.sold_usd + other.sold_usd,
            self.now_usd + other.now_usd,
            self.worked_usd + other.worked_usd,
            self.left_usd + other.left_usd,
        )


@dataclass(frozen=True, slots=True)
class JobBudget:
    """One job's labor. crews: phase -> who leads it.

    likely_usd, safe_usd: at the end, what half and what 9 in 10 jobs do not exceed, judged by the hours so
    far [USD].
    """

    job: str
    client: str
    phases: Mapping[Phase, Dollars]
    crews: Mapping[Phase, str]
    likely_usd: float
    safe_usd: float

    @property
    def dollars(self) -> Dollars:
        """All phases together."""
        return summed(self.phases.values())


@dataclass(frozen=True, slots=True)
class Budget:
    """All jobs asked for. usd_h: what a labour-hour costs [USD]; beside: job -> what is not labor."""

    jobs: tuple[JobBudget, ...]
    usd_h: float
    plan: int | None
    beside: Mapping[str, Beside] = field(default_factory=dict)

    @property
    def dollars(self) -> Dollars:
        """All jobs together."""
        return summed(job.dollars for job in self.jobs)

    def end_usd(self, job: JobBudget) -> float | None:
        """A job's labor at the end and all else as planned [USD]; None where its price is not known."""
        else_usd = self.beside.get(job.job)
        return None if else_usd is None else job.dollars.end_usd + else_usd.usd

    def by_phase(self) -> dict[Phase, Dollars]:
        """The labor of each phase over all jobs, in the order of the phases."""
        rows = [(phase, told) for job in self.jobs for phase, told in job.phases.items()]
        return {p: summed(d for q, d in rows if q is p) for p in Phase if any(q is p for q, _ in rows)}

    def by_crew(self) -> dict[str, Dollars]:
        """The labor of the phases that each crew leads."""
        rows = [(job.crews[phase], told) for job in self.jobs for phase, told in job.phases.items()]
        return {c: summed(d for e, d in rows if e == c) for c in sorted({c for c, _ in rows})}


def summed(rows: Iterable[Dollars]) -> Dollars:
    """Labor added up."""
    found = Dollars()
    for row in rows:
        found = found.plus(row)
    return found


def budget(found: Ledger, usd_h: float, beside: Mapping[str, Beside] | None = None) -> Budget:
    """The ledger's hours in dollars, at what a labour-hour costs the firm [USD], and what is not labor."""
    return Budget(tuple(_job(job, usd_h) for job in found.jobs), usd_h, found.plan, beside or {})


def _job(job: JobLedger, usd_h: float) -> JobBudget:
    phases = {
        phase: _dollars(account, job.people[phase], job.worked_labour_h[phase], usd_h)
        for phase, account in job.phases.items()
    }
    worked = summed(phases.values()).worked_usd
    people = _people_left(job)
    ends = [worked + job.going.left_at(percentile) * people * usd_h for percentile in (50, 90)]
    return JobBudget(job.job, job.client, phases, job.crews, *ends)


def _dollars(account: Account, people: float, worked_labour_h: float, usd_h: float) -> Dollars:
    each = people * usd_h
    return Dollars(
        account.sold_h * each, account.now_h * each, worked_labour_h * usd_h, account.left_h * each
    )


def _people_left(job: JobLedger) -> float:
    """Hands over the hours that are left, on average [persons]."""
    left_h = sum(account.left_h for account in job.phases.values())
    if left_h <= 0:
        return 0.0
    return sum(job.people[phase] * account.left_h for phase, account in job.phases.items()) / left_h
