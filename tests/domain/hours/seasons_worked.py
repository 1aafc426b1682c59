"""Simulated seasons with a known truth, for the refit's tests."""

from __future__ import annotations

from datetime import date, timedelta
from math import exp
from random import Random

from planner.domain.firm.jobs import Access, Soil
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.hours.fitting import prior_sd
from planner.domain.hours.observations import Observation, Target
from tests.domain.estimate.ponds import BOOK

#: Own spread of each phase as the shipped rows give it for a usual pond.
OWN_SD = {
    Phase.DIG: 0.28,
    Phase.SET_FILTERS: 0.36,
    Phase.LINER: 0.41,
    Phase.ROCK: 0.36,
    Phase.PLUMBING: 0.38,
    Phase.FILL: 0.43,
}
MARCH = date(2027, 3, 15)


def seen(
    job: str,
    phase: Phase,
    ratio: float,
    *,
    crew: str = "North",
    soil: Soil = Soil.LOAM,
    access: Access = Access.MACHINE,
    on: date = MARCH,
) -> Observation:
    """One finished phase that took `ratio` times its bare 8 hours."""
    return Observation(
        job, phase, crew, soil, access, on, on + timedelta(days=4), 8.0 * ratio, 8.0, 10.0, 8.0, OWN_SD[phase]
    )


def season(
    seed: int, jobs: int = 24, job_sd: float = 0.15, own: float = 1.0
) -> tuple[list[Observation], dict[Target, float]]:
    """A season whose true log multipliers are drawn from the book's own priors; and that truth."""
    dice = Random(seed)
    truth: dict[Target, float] = {}
    found = []
    for number in range(jobs):
        crew, soil = dice.choice("ABC"), dice.choice((Soil.LOAM, Soil.CLAY))
        access = dice.choice((Access.MACHINE, Access.NARROW))
        site = dice.gauss(0.0, job_sd)
        on = MARCH + timedelta(days=7 * number)
        for phase in ORDER:
            one = seen(f"J{number:03}", phase, 1.0, crew=crew, soil=soil, access=access, on=on)
            for target in one.targets:
                if target not in truth:
                    truth[target] = dice.gauss(0.0, prior_sd(BOOK, target[0]))
            error = site + dice.gauss(0.0, own * OWN_SD[phase])
            ratio = exp(sum(truth[t] * lean for t, lean in one.leaning.items()) + error)
            found.append(seen(one.job, phase, ratio, crew=crew, soil=soil, access=access, on=on))
    return found, truth
