"""How much a solve may do, and what it tells on the way.

The search is one endless row of steps that a seed decides; more of it contains less of it. So a limit of
steps gives the same plan on any machine, and a limit of seconds ends the row wherever the machine has come
to: the plan says at how many steps, and these steps make it again.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

#: A row of steps without end: only the clock stops it.
ENDLESS = 1 << 60


@dataclass(frozen=True, slots=True)
class Effort:
    """Limits of one solve.

    steps: of the search, on each core; 0: the plain rule's plan. seconds: of the wall clock, for everything.
    cores: processes that search side by side. exact_work: deterministic seconds of CP-SAT for a problem that
    is handed to it whole: a plain one, or a season of at most `exact_jobs` jobs. bound: also prove a floor of
    the price, in so many rounds at most.
    """

    steps: int = ENDLESS
    seconds: float = inf
    cores: int = 1
    exact_work: float = 0.0
    exact_jobs: int = 8
    bound: bool = True
    rounds: int = 60

    @classmethod
    def for_seconds(cls, seconds: float, *, steps: int | None = None, cores: int = 1) -> Effort:
        """So many seconds of the clock; or, when steps are named, so many steps whatever they take.

        Reading a whole season into CP-SAT takes some 1.5 s a job before it works (measured), so a season is
        taken as a whole only when that fits the time.
        """
        if steps is not None:
            return cls(steps=steps, cores=cores, exact_jobs=0)
        return cls(
            steps=ENDLESS if seconds > 0 else 0,
            seconds=seconds if seconds > 0 else inf,
            cores=cores,
            exact_work=seconds * 0.15,
            exact_jobs=max(0, min(8, int((seconds - 2.0) / 1.5))),
            bound=seconds >= 2,
            rounds=ENDLESS,
        )

    def whole_work(self, *, plain: bool) -> float:
        """Deterministic seconds of CP-SAT on a problem as a whole; a plain one has all the clock."""
        return inf if plain and self.seconds < inf else self.exact_work


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
