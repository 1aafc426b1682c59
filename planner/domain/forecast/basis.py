"""What played seasons rest on: the climate, how often things go wrong, what help costs, and whence it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from planner.domain.forecast.climate import Station
from planner.domain.forecast.luck import Mishaps, Weather
from planner.domain.forecast.raising import HelpPrices
from planner.domain.safety.weather import ForecastFile


@dataclass(frozen=True, slots=True)
class Climate:
    """The station that is used and how many crew days a wet day costs; own: from the firm's own entries."""

    station: Station | None
    lost_per_wet_day: float
    own_share: bool


@dataclass(frozen=True, slots=True)
class LuckBook:
    """The figures of luck.toml. carry_over: correlation of a wet day with the next; sources: by table;
    safe_percent: with which chance a day is kept that is offered to an inquiry [percent].
    """

    carry_over: float
    safe_percent: float
    mishaps: Mishaps
    prices: HelpPrices
    sources: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Basis:
    """What the played luck rests on.

    carry_over: of the book, or what was asked for instead; forecast: what the days ahead go by, None for the
    climate alone.
    """

    climate: Climate
    book: LuckBook
    carry_over: float
    forecast: ForecastFile | None = None

    @property
    def told(self) -> dict[date, float]:
        """Chance that a day is lost, of the days that the forecast tells of."""
        told = self.forecast
        return {day: told.lost_chance(day) or 0.0 for day in told.days} if told else {}

    @property
    def weather(self) -> Weather:
        """Wet days by month, in spells; none without a station."""
        station = self.climate.station
        if station is None:
            return Weather(told=self.told)
        wet = tuple(station.wet_chance(month) for month in range(1, 13))
        return Weather(wet, self.carry_over, self.climate.lost_per_wet_day, self.told)
