"""Rain on the office's list: working days that the forecast is likely to take, and whose work they hit.

In: the desk with a forecast. Out: items, and the days for the morning.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from planner.domain.dates import day_words
from planner.domain.firm.calendar import is_working_day
from planner.domain.firm.lost import LostKind
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.safety.weather import LIKELY_LOST


def likely_lost(desk: Desk) -> dict[date, float]:
    """Working day with work on it -> the chance that rain takes it; only days where that is likely.

    Days from today on that the forecast knows and nobody has called off yet.
    """
    told = desk.forecast
    if told is None:
        return {}
    off = [e.days for e in desk.season.lost if e.kind is LostKind.RAIN and not e.target]
    found = {}
    for day in told.days:
        chance = told.lost_chance(day) or 0.0
        ahead = day >= desk.today and is_working_day(desk.season.firm, day)
        if ahead and chance >= LIKELY_LOST and not any(day in days for days in off) and _work(desk, day):
            found[day] = chance
    return found


def rain_items(desk: Desk) -> Iterator[OfficeItem]:
    """One item a day that is likely lost, due on the day before it, so that all hear of it in time."""
    for day, chance in likely_lost(desk).items():
        told = desk.forecast.on(day) if desk.forecast else None
        assert told is not None and desk.forecast is not None
        words = (
            f"{day_words(day)} may be lost to rain, {100 * chance:.0f} % likely "
            f"({told.words(desk.season.firm.units)}): {'; '.join(_work(desk, day))}. "
            f"Cover what lies open; call it off with planner lost rain {day.isoformat()}, then planner replan"
        )
        due = max(desk.today, day - timedelta(days=1))
        yield OfficeItem(f"rain:{day.isoformat()}", Kind.WEATHER, due, "", words)


def _work(desk: Desk, day: date) -> list[str]:
    """ "Heron L04 dig" for each booking that lies over the day."""
    on = sorted(
        (b for b in desk.bookings().values() if b.start.date() <= day <= b.end.date()), key=lambda b: b.start
    )
    return list(dict.fromkeys(f"{' and '.join(b.crews)} {b.job} {b.phase.words}" for b in on))
