"""How much work a solve may do, and what it tells on the way.

Limits count work, not seconds, so that the same season and seed give the same plan on any machine: the local
search counts placements of a task, CP-SAT counts its own deterministic seconds. The wall clock is only a
safety cut; a plan that it cut short says so in its note.
"""

from __future__ import annotations

from dataclasses import dataclass

#: A CP-SAT deterministic second takes about two to three of the clock: hence the shares in `for_seconds`.
#: Placements that one core of a small office computer tries in a second (measured; only sizes the budget).
PLACEMENTS_PER_S = 110_000


@dataclass(frozen=True, slots=True)
class Effort:
    """Work limits of one solve.

    placements: of the local search. window_work: deterministic seconds of CP-SAT for re-optimising windows;
    exact_work: the same for the whole season when it is small (at most `exact_jobs` jobs). wall_s: safety
    cut on the wall clock [s]. floor: also prove a floor of the price (some seconds for 200 jobs).
    """

    placements: int
    window_work: float
    exact_work: float
    wall_s: float
    exact_jobs: int = 8
    floor: bool = True

    @classmethod
    def for_seconds(cls, seconds: float) -> Effort:
        """About this many seconds of work on one core; the safety cut is three times as long.

        Reading the whole season into CP-SAT takes some 1.5 s a job before it works (measured), so a season
        is taken as a whole only when that fits the time.
        """
        return cls(
            placements=int(seconds * 0.9 * PLACEMENTS_PER_S),
            window_work=seconds * 0.04,
            exact_work=seconds * 0.15,
            wall_s=3 * seconds + 5,
            exact_jobs=max(0, min(8, int((seconds - 2.0) / 1.5))),
            floor=seconds >= 5,
        )


QUICK = Effort.for_seconds(4)
USUAL = Effort.for_seconds(20)
LONG = Effort.for_seconds(180)


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a solve stands. improvement: share of the dispatch plan's cost saved so far (0.3 is 30 %).

    bound_cents: a proven lower bound, None without one. stage: "dispatch rules", "local search", ...
    """

    stage: str
    best_cents: int
    late_jobs: int
    improvement: float
    bound_cents: int | None
    elapsed_s: float
