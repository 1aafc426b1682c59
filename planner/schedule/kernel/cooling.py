"""Annealed search: step after step, each kept or not by what it saves and by the heat that is left."""

from __future__ import annotations

from math import log

from planner.schedule.kernel.compiling import njit
from planner.schedule.kernel.dice import chance
from planner.schedule.kernel.laying import accept, copy_state, follow, relay
from planner.schedule.kernel.layout import (
    OWED,
    PARTS,
    SUM_PRICE,
    Row,
)
from planner.schedule.kernel.moves import propose
from planner.schedule.kernel.ruin import MOST_OUT, TRIES, bring_back, draw_out, keep, rebuild, take_out

#: Share of the steps at which some jobs are taken out and put back, less where there are more jobs than these
#: (there single steps bring more in the same time), and how many steps a try of one of them counts for: so
#: half of the time goes there at most (measured). Where all jobs would be taken out there is none.
RUIN, RUIN_JOBS, TRY = 0.03, 50, 0.625


@njit
def anneal(
    ints: Row,
    axes: Row,
    money: Row,
    now: Row,
    trial: Row,
    best: Row,
    kept: Row,
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
    parts = ints[PARTS]
    ruin = RUIN * min(1.0, (RUIN_JOBS / parts) ** 2) if parts > MOST_OUT else 0.0
    for _ in range(steps):
        heat *= cooling
        if notes[OWED] > 0:
            notes[OWED] -= 1
            continue
        better = False
        if ruin > 0.0 and chance(notes) < ruin:
            keep(ints, now, kept, sums)
            count = draw_out(ints, now, notes, sums)
            delta = take_out(ints, axes, money, now, trial, notes, sums, count)
            delta += rebuild(ints, axes, money, now, trial, kept, notes, sums, count)
            better = delta < -heat * log(1.0 - chance(notes))
            if not better:
                bring_back(ints, now, trial, kept, sums)
            notes[OWED] = int(count * TRIES * TRY)
        else:
            count = propose(ints, now, notes)
            delta = relay(ints, axes, money, now, trial, notes, sums, count)
            better = delta < -heat * log(1.0 - chance(notes))
            if better:
                accept(ints, now, trial, notes, sums, delta)
            else:
                follow(ints, now, trial, notes)
        if better and sums[ints[SUM_PRICE]] < sums[ints[SUM_PRICE] + 1] - 1e-6:
            sums[ints[SUM_PRICE] + 1] = sums[ints[SUM_PRICE]]
            copy_state(ints, now, best)
    return heat
