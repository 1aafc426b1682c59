"""Work under other than usual conditions: heat, cold, overtime, new hands, crowding.

Each function reads rows of the rate book and gives one multiplier of hours and the words for it. Heat and
cold are left at 1 unless somebody says the weather: a plan months ahead knows none.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import log

from planner.domain.estimate.rates import RateBook
from planner.domain.firm.phases import Phase
from planner.domain.safety.heat import EFFORT, Sky, adjusted_f, heat_index_f, work_minutes
from planner.errors import BadInput


@dataclass(frozen=True, slots=True)
class Conditions:
    """What is known about the days and the hands beyond the job and the crew.

    temperature_f: air, None when unknown; humidity_pct; wind_mph; sunny: full sun; steep: barrows go up a
    steep plank; hours_week: None takes the firm's shift; new_hands: persons new to the trade in the crew;
    new_hand_job: which job it is for them, 1 for the first.
    """

    temperature_f: float | None = None
    humidity_pct: float = 30.0
    wind_mph: float = 0.0
    sunny: bool = False
    steep: bool = False
    hours_week: float | None = None
    new_hands: int = 0
    new_hand_job: int = 1

    def __post_init__(self) -> None:
        """Refuse what no thermometer shows and no calendar holds."""
        if self.temperature_f is not None and not -60 <= self.temperature_f <= 135:
            raise BadInput("temperature", self.temperature_f, "give degrees Fahrenheit from -60 to 135")
        if not 0 <= self.humidity_pct <= 100:
            raise BadInput("humidity", self.humidity_pct, "give percent from 0 to 100")
        if not 0 <= self.wind_mph <= 150:
            raise BadInput("wind", self.wind_mph, "give miles per hour from 0 to 150")
        if self.hours_week is not None and not 0 < self.hours_week <= 112:
            raise BadInput("hours a week", self.hours_week, "give hours above 0, at most 112")
        if self.new_hands < 0 or self.new_hand_job < 1:
            raise BadInput("new hands", self.new_hands, "give 0 or more hands, and their job from 1 up")


@dataclass(frozen=True, slots=True)
class FactorUse:
    """A multiplier as used once: its value, words, and the keys of the rows behind it."""

    words: str
    value: float
    rows: tuple[str, ...]


#: Key under which the explanation names the published work and rest table.
HEAT_TABLE = "heat.table"
HEAT_SOURCE = "work and rest minutes, DHHS (NIOSH) 2017-127; its sun and humidity adjustments from memory"
#: Fewest minutes an hour that the table prints; beyond it the work should stop.
_FEWEST_MIN = 15


def weather_factor(phase: Phase, conditions: Conditions, book: RateBook) -> FactorUse | None:
    """Heat or cold at the work of one phase; None when it is mild or unknown."""
    if conditions.temperature_f is None:
        return None
    return _heat(phase, conditions, book) or _cold(conditions, book)


def work_minutes_in(phase: Phase, conditions: Conditions) -> int:
    """Minutes of work an hour that the NIOSH table allows; 0: it says caution, do not plan on it."""
    if conditions.temperature_f is None:
        return 60
    sky = Sky.SUN if conditions.sunny else Sky.SHADE
    return work_minutes(adjusted_f(conditions.temperature_f, conditions.humidity_pct, sky), EFFORT[phase])


def effective_f(temperature_f: float, wind_mph: float) -> float:
    """Effective temperature in the cold: 1 F less per 1 mph of wind.

    Source: concreteconstruction.net, work efficiency at abnormal temperatures.

    >>> effective_f(40.0, 10.0)
    30.0
    """
    return temperature_f - wind_mph


def _heat(phase: Phase, conditions: Conditions, book: RateBook) -> FactorUse | None:
    air_f = conditions.temperature_f or 0.0
    allowed = float(max(_FEWEST_MIN, work_minutes_in(phase, conditions)))
    rested = 60.0 - book.value("heat.rest_min_h")
    if heat_index_f(air_f, conditions.humidity_pct) < 90.0:
        rested = 60.0
    minutes = min(allowed, rested)
    if minutes == 60.0:
        return None
    words = f"heat, {air_f:g} F air: {minutes:g} min worked in an hour of {EFFORT[phase]} work"
    return FactorUse(words, 60.0 / minutes, (HEAT_TABLE if allowed <= rested else "heat.rest_min_h",))


def _cold(conditions: Conditions, book: RateBook) -> FactorUse | None:
    felt = effective_f(conditions.temperature_f or 0.0, conditions.wind_mph)
    below = book.value("cold.from_f") - felt
    if below <= 0:
        return None
    value = 1.0 + book.value("cold.loss_per_f") * below
    return FactorUse(f"cold, {felt:.0f} F effective", value, ("cold.from_f", "cold.loss_per_f"))


def overtime_factor(hours_week: float, book: RateBook) -> FactorUse | None:
    """Hours of a long week over those of 40 h: 1 / efficiency, straight between 40, 50, 60 and 70 h."""
    if hours_week <= 40:
        return None
    steps = [(40.0, 1.0)] + [(float(h), book.value(f"overtime.{h}")) for h in (50, 60, 70)]
    rows = ("overtime.50", "overtime.60", "overtime.70")
    (h0, e0), (h1, e1) = steps[-2:]
    for before, after in pairwise(steps):
        if hours_week <= after[0]:
            (h0, e0), (h1, e1) = before, after
            break
    efficiency = max(0.5, e0 + (e1 - e0) * (hours_week - h0) / (h1 - h0))
    return FactorUse(f"{hours_week:g} h week", 1.0 / efficiency, rows)


def size_factor(people: int, best: int, book: RateBook) -> FactorUse | None:
    """Labour-hours of a crew away from the best size of the phase: 1 / (1 - loss)."""
    off = people - best
    if off == 0:
        return None
    key = f"crew.{'crowd' if off > 0 else 'short'}.{min(3, abs(off))}"
    words = f"a crew of {people} where {best} go best"
    return FactorUse(words, 1.0 / (1.0 - book.value(key)), (key,))


def learning_exponent(rate: float) -> float:
    """b of y = a x^b for a learning rate: ln(rate) / ln 2 (Wright; Crawford).

    >>> round(learning_exponent(0.85), 4)
    -0.2345
    """
    return log(rate) / log(2.0)


def unit_h(first_h: float, unit: float, rate: float) -> float:
    """Hours of the unit number `unit` when each unit learns (Crawford): a x^b."""
    return float(first_h * unit ** learning_exponent(rate))


def new_hand_factor(people: int, conditions: Conditions, book: RateBook) -> FactorUse | None:
    """The crew's hours with new hands over its hours without.

    A new hand's hours follow a unit learning curve down to 1 at `learn.jobs`; a crew's output is the sum of
    its hands'.
    """
    new = min(people, conditions.new_hands)
    practised = book.value("learn.jobs")
    if new == 0 or conditions.new_hand_job >= practised:
        return None
    slow = unit_h(1.0, conditions.new_hand_job / practised, book.value("learn.rate"))
    value = people / (people - new + new / slow)
    words = f"{new} new hand{'s' if new > 1 else ''}, job {conditions.new_hand_job}"
    return FactorUse(words, value, ("learn.rate", "learn.jobs"))
