"""The hours that a plan holds for a job, phase by phase: the one answer that every screen gives.

A plan holds the job's hours at the firm's planning percentile, shared out over its phases, with the daily
set-up, each piece of work rounded up to whole slots. What is begun is worked hours and the rest. Hours are
crew-hours: two crews that do a phase together for an hour make two.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import ceil

from planner.domain.estimate.labour import JobEstimate, PhaseEstimate
from planner.domain.firm.actuals import Progress, of_jobs, progress
from planner.domain.firm.jobs import Job
from planner.domain.firm.needs import has_work
from planner.domain.firm.phases import Phase
from planner.domain.season.facts import Facts, begun_by, hours_for
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import SLOT_MIN
from planner.domain.season.works import PhaseHours, shares_left

#: Of a slot, forgiven before work is rounded up to the next.
_GRACE = 1e-6


def booked_h(bookings: Iterable[Booking]) -> float:
    """Hours that bookings hold, both parts of a phase and all its crews together [crew-hours]."""
    return sum(b.all_crew_h for b in bookings)


def in_slots_h(parts_min: Iterable[float], slot_min: int = SLOT_MIN) -> float:
    """Hours that a plan would book for parts of so many minutes: each rounded up to whole slots.

    >>> in_slots_h([61, 30, 0])
    2.0
    """
    return sum(ceil(minutes / slot_min - _GRACE) * slot_min for minutes in parts_min if minutes > 0) / 60


@dataclass(frozen=True, slots=True)
class HeldPhase:
    """One phase of a job. crews: who does it, lead first; worked_h: logged [crew-hours].

    booked_h: what the plan holds, None when it holds none of it; fresh_h: what a plan made now would hold
    for these crews together, of a begun phase its rest; left: share of each part still to do, by how it goes.
    """

    phase: Phase
    crews: tuple[str, ...]
    worked_h: float
    booked_h: float | None
    fresh_h: float
    left: tuple[float, ...]
    begun: bool
    done: bool

    @property
    def to_go_h(self) -> float:
        """Hours still to work: the plan's, of a begun phase its rest as it goes, 0 when done."""
        if self.done:
            return 0.0
        return self.fresh_h if self.begun or self.booked_h is None else self.booked_h


@dataclass(frozen=True, slots=True)
class JobHours:
    """A job's hours. plan: the number of the plan that holds the job, None when none does."""

    job: str
    plan: int | None
    published: bool
    phases: Mapping[Phase, HeldPhase]

    @property
    def worked_h(self) -> float:
        """Hours logged so far [crew-hours]."""
        return sum(p.worked_h for p in self.phases.values())

    @property
    def to_go_h(self) -> float:
        """Hours still to work [crew-hours]."""
        return sum(p.to_go_h for p in self.phases.values())

    @property
    def whole_h(self) -> float:
        """Worked and to go together: what the job holds in the season [crew-hours]."""
        return self.worked_h + self.to_go_h

    @property
    def fresh_to_go_h(self) -> float:
        """Hours to go that a plan made now would hold [crew-hours]."""
        return sum(0.0 if p.done else p.fresh_h for p in self.phases.values())

    @property
    def begun(self) -> bool:
        """True when hours are logged on it."""
        return any(p.begun for p in self.phases.values())


def job_hours(facts: Facts, job: Job, plan: Plan | None, crew: str) -> JobHours:
    """What `plan` holds for the job, and of a phase that it lacks what it would hold for the crew.

    Who is on a begun phase goes on with it; else the plan's crews; else `crew`.
    """
    logs = of_jobs(facts.logs, (job.code,))
    so_far, on_it = progress(logs), begun_by(logs)
    ask, known = hours_for(facts, job), {c.name for c in facts.crews}
    mine = plan.of_job(job.code) if plan else ()
    found: dict[Phase, HeldPhase] = {}
    for phase in job.order:
        state = so_far.get((job.code, phase))
        if not has_work(job, phase) and state is None:
            continue
        booked = [b for b in mine if b.phase is phase]
        wishes = [(on_it.get((job.code, phase), ""),), *[b.crews for b in booked[:1]], (crew,)]
        crews = next((team for team in wishes if set(team) <= known), (crew,))
        found[phase] = _held(phase, crews, state, booked, ask(phase, crews) if set(crews) <= known else None)
    return JobHours(job.code, plan.number if plan and mine else None, bool(plan and plan.published_at), found)


def _held(
    phase: Phase,
    crews: tuple[str, ...],
    state: Progress | None,
    booked: list[Booking],
    hours: PhaseHours | None,
) -> HeldPhase:
    parts = hours.parts_min if hours else ()
    left = shares_left(state, len(parts), hours)
    return HeldPhase(
        phase=phase,
        crews=crews,
        worked_h=state.spent_crew_h if state else 0.0,
        booked_h=booked_h(booked) if booked else None,
        fresh_h=in_slots_h(part * share for part, share in zip(parts, left, strict=True)) * len(crews),
        left=tuple(left),
        begun=state is not None and state.share > 0,
        done=state is not None and state.done,
    )


def rest_of(found: JobEstimate, hours: JobHours) -> JobEstimate:
    """The estimate of what is left: done phases gone, begun ones by their share and how it goes."""
    phases = {
        phase: _rest(part, hours.phases[phase]) if phase in hours.phases else part
        for phase, part in found.phases.items()
        if phase not in hours.phases or not hours.phases[phase].done
    }
    return replace(found, phases={phase: part for phase, part in phases.items() if part.crew_h > 0})


def _rest(part: PhaseEstimate, held: HeldPhase) -> PhaseEstimate:
    if not held.begun or len(held.left) != len(part.parts):
        return part
    spans = [share * left for share, left in zip(part.parts, held.left, strict=True)]
    scale = sum(spans)
    ahead = [span for span in spans if span > 0]
    return replace(
        part,
        lines=tuple(
            replace(line, labour_h=line.labour_h * scale, crew_h=line.crew_h * scale) for line in part.lines
        ),
        labour_h=part.labour_h * scale,
        hours=part.hours.times(scale),
        parts=tuple(span / scale for span in ahead) if scale else (1.0,),
        unattended_h=part.unattended_h if len(ahead) == len(spans) else 0.0,
    )
