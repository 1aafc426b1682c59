"""Annealed search: step after step, each kept or not by what it saves and by the heat that is left."""

from __future__ import annotations

from math import log

from planner.schedule.kernel.compiling import njit
from planner.schedule.kernel.dice import chance
from planner.schedule.kernel.laying import accept, copy_state, follow, relay
from planner.schedule.kernel.layout import (
    SUM_PRICE,
    Row,
)
from planner.schedule.kernel.moves import propose


@njit
def anneal(
    ints: Row,
    axes: Row,
    money: Row,
    now: Row,
    trial: Row,
    best: Row,
    notes: Row,
    sums: Row,
    steps: int,
    heat: float,
    cooling: float,
) -> float:
    """So many steps, beginning at `heat` [cents], which `cooling` multiplies after each; the heat that is
    left.

    `now` and `trial` are alike before and after. The best that stood goes to `best`, its price to the notes.
    """
    for _ in range(steps):
        count = propose(ints, now, notes)
        delta = relay(ints, axes, money, now, trial, notes, sums, count)
        heat *= cooling
        if delta < -heat * log(1.0 - chance(notes)):
            accept(ints, now, trial, notes, sums, delta)
            if sums[ints[SUM_PRICE]] < sums[ints[SUM_PRICE] + 1] - 1e-6:
                sums[ints[SUM_PRICE] + 1] = sums[ints[SUM_PRICE]]
                copy_state(ints, now, best)
        else:
            follow(ints, now, trial, notes)
    return heat
