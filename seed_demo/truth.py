"""The demo's hidden truth: what its invented crews really need, which no rate book knows.

Finished jobs of the demo get logs drawn from here. The estimate is multiplied by the truth of the phase, the
crew and (dig only) the soil, by one error of the whole job, and by one of each phase; all errors are
log-normal and come from a seed. `planner rates refit` then has something to find, and `TRUTH` says how near
it came. Everything here is invented.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import exp
from random import Random

from planner.domain.estimate.labour import JobEstimate, with_daily_setup
from planner.domain.firm.actuals import Log
from planner.domain.firm.calendar import crew_windows
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job, Soil
from planner.domain.firm.phases import ORDER, Phase


@dataclass(frozen=True, slots=True)
class Truth:
    """Multipliers of hours against the shipped rate book, and how far hours scatter about them.

    crews: crew name -> multiplier, 1 when missing. job_log_sd, phase_log_sd: standard deviations of the
    logarithm of the error common to a job, and of each phase's own.
    """

    phases: Mapping[Phase, float]
    crews: Mapping[str, float] = field(default_factory=dict)
    soils: Mapping[Soil, float] = field(default_factory=dict)
    job_log_sd: float = 0.10
    phase_log_sd: float = 0.18

    def multiplier(self, phase: Phase, crew: str, soil: Soil) -> float:
        """True hours over estimated hours, errors left out."""
        ground = self.soils.get(soil, 1.0) if phase is Phase.DIG else 1.0
        return self.phases.get(phase, 1.0) * self.crews.get(crew, 1.0) * ground


#: Invented. Against the shipped book: digging and plumbing go quicker, liner and rock slower, clay is worse,
#: crew Otter needs a tenth more hours than its pace says, crew Heron a little fewer.
TRUTH = Truth(
    phases={
        Phase.DIG: 0.85,
        Phase.SET_FILTERS: 1.10,
        Phase.LINER: 1.20,
        Phase.ROCK: 1.25,
        Phase.PLUMBING: 0.90,
        Phase.FILL: 1.05,
    },
    crews={"Heron": 0.95, "Otter": 1.10},
    soils={Soil.CLAY: 1.20, Soil.STONY: 1.15},
)


@dataclass(frozen=True, slots=True)
class PastJob:
    """A finished job of the demo: who did all of it, and its first day."""

    job: Job
    crew: Crew
    first: date


def past_logs(
    past: Sequence[PastJob],
    estimate_with: Callable[[Job, Crew], JobEstimate],
    firm: Firm,
    truth: Truth = TRUTH,
    seed: int = 1,
) -> list[Log]:
    """Logs of all finished jobs, phase after phase, day after day, in quarter hours.

    Each job draws from its own seed, so that adding a job leaves the others as they were.
    """
    logs: list[Log] = []
    for one in past:
        dice = Random(f"{seed} {one.job.code}")
        site = exp(dice.gauss(0.0, truth.job_log_sd))
        day = one.first
        found = estimate_with(one.job, one.crew)
        for phase in ORDER:
            if phase not in found.phases:
                continue
            told_h = with_daily_setup(found.phases[phase].crew_h, firm)
            error = site * exp(dice.gauss(0.0, truth.phase_log_sd))
            worked_h = told_h * truth.multiplier(phase, one.crew.name, one.job.soil) * error
            entries = list(_phase_logs(one, phase, max(0.25, round(worked_h * 4) / 4), day, firm, logs))
            logs += entries
            day = entries[-1].day
    return logs


def _phase_logs(
    one: PastJob, phase: Phase, worked_h: float, day: date, firm: Firm, logs: Sequence[Log]
) -> Iterator[Log]:
    """One phase on the crew's working days; a day's hours are shared with the phase before it."""
    left_h = worked_h
    while left_h > 0:
        free_h = sum(w.minutes for w in crew_windows(firm, one.crew, day)) / 60.0
        free_h -= sum(e.crew_h for e in logs if e.day == day and e.crew == one.crew.name)
        today_h = min(left_h, max(0.0, free_h))
        if today_h > 0:
            left_h -= today_h
            done = left_h <= 0
            share = 1.0 if done else round(1.0 - left_h / worked_h, 2)
            yield Log(day, one.crew.name, one.job.code, phase, today_h, share_done=share, done=done)
        day += timedelta(days=1)
