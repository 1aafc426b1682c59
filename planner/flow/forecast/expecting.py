"""Plans priced by what will happen: the same played seasons for each, as few as choose well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.domain.forecast.basis import Basis
from planner.domain.forecast.chance import Draws, play
from planner.domain.forecast.expected import Expected, expected
from planner.domain.forecast.luck import Weather
from planner.domain.season.facts import Facts
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.flow.forecast.playing import played

#: Played seasons that a price is told from, and that the price of late days is learned from.
SEASONS = 100


@dataclass(frozen=True, slots=True)
class Judge:
    """One season's luck, the same for every plan."""

    facts: Facts
    season: Season
    basis: Basis
    seed: int

    def draws(self, bookings: Sequence[Booking], seasons: int = SEASONS) -> Draws:
        """The bookings played."""
        return played(self.facts, self.season, bookings, self.basis, seasons=seasons, seed=self.seed)

    def price(self, plan: Plan, seasons: int = SEASONS) -> Expected:
        """What the plan comes to on paper and in life. Its works are the season's."""
        rows = [b for b in plan.bookings if b.key in self.season.works]
        calm = play(self.season, rows, {}, Weather(), seasons=1)
        return expected(self.season, plan, self.draws(rows, seasons), calm)
