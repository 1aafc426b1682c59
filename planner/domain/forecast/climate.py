"""Weather-lost days from monthly climate figures: how likely is it that a day is lost to rain?

In: a station's mean number of wet days per month (0.10 in or more). Out: a chance per calendar day. A wet day
does not always cost a crew day: `LOST_PER_WET_DAY` is the share that does. The firm's own rain entries give a
better one after a season (`lost_share`).
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from planner.errors import BadInput, BadInputs

#: Crew days lost per wet day: default, to be calibrated (night rain and short showers lose none).
LOST_PER_WET_DAY = 0.5

MEAN_MONTH_DAYS = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True, slots=True)
class Station:
    """One station's normals. wet_days: January to December, mean days with 0.10 in or more [days]."""

    key: str
    name: str
    state: str
    wet_days: tuple[float, ...]
    period: str
    source: str

    def __post_init__(self) -> None:
        """Refuse anything but twelve possible means (BadInput)."""
        if len(self.wet_days) != 12:
            raise BadInput("wet_days", len(self.wet_days), "give twelve numbers, January to December")
        for month, days in enumerate(self.wet_days, 1):
            if not 0 <= days <= monthrange(2027, month)[1]:
                raise BadInput(f"wet days of month {month}", days, "give 0 to the days of the month")

    def wet_chance(self, month: int) -> float:
        """Chance that a calendar day of the month (1 to 12) is wet, 0 to 1.

        >>> s = Station("x", "x", "", (0.0,) * 4 + (8.6,) + (0.0,) * 7, "1991-2020", "")
        >>> round(s.wet_chance(5), 3)
        0.277
        """
        return self.wet_days[month - 1] / MEAN_MONTH_DAYS[month - 1]


def lost_chance(station: Station, day: date, lost_per_wet_day: float = LOST_PER_WET_DAY) -> float:
    """Chance that a crew day on `day` is lost to rain, 0 to 1."""
    return min(1.0, station.wet_chance(day.month) * lost_per_wet_day)


def lost_share(station: Station, worked: Iterable[date], lost: Iterable[date]) -> float | None:
    """The firm's own crew days lost per wet day: rain days entered over wet days expected.

    worked: every working day of the period looked at, lost ones included; lost: those lost to rain. None
    while fewer than 5 wet days were to be expected: too few to say.
    """
    days = set(worked)
    expected = sum(station.wet_chance(day.month) for day in days)
    return len(days & set(lost)) / expected if expected >= 5 else None


def nearest(stations: Sequence[Station], state: str) -> Station | None:
    """The first station in the firm's state; None when there is none (then the firm chooses)."""
    return next((s for s in stations if s.state == state.upper()), None)


def read_station(rows: Sequence[dict[str, str]], *, key: str, name: str, source: str, where: str) -> Station:
    """A station from CSV rows with the columns month (1 to 12) and wet_days; BadInputs names every fault."""
    faults: list[BadInput] = []
    found: dict[int, float] = {}
    for line, row in enumerate(rows, 2):
        place = f"{where} line {line}"
        try:
            month = int(row.get("month") or "")
        except ValueError:
            month = 0
        if not 1 <= month <= 12 or month in found:
            faults.append(BadInput("month", row.get("month", ""), "write each of 1 to 12 once", where=place))
            continue
        try:
            days = float(row.get("wet_days") or "")
        except ValueError:
            days = -1.0
        if not 0 <= days <= monthrange(2027, month)[1]:
            fix = "write the mean number of days with 0.10 in (2.5 mm) or more"
            faults.append(BadInput("wet_days", row.get("wet_days", ""), fix, where=place))
        found[month] = days
    if not faults and len(found) < 12:
        missing = ", ".join(str(m) for m in range(1, 13) if m not in found)
        faults.append(BadInput("month", missing, "these months are missing", where=where))
    if faults:
        raise BadInputs(faults)
    return Station(key, name, "", tuple(found[m] for m in range(1, 13)), "the firm's own", source)
