"""The checker's own paid day: which hours the firm pays, reckoned apart from the planner's calendar."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import lru_cache

from planner.domain.firm.firm import Firm
from planner.domain.firm.sun import daylight

MINUTE = timedelta(minutes=1)
Span = tuple[datetime, datetime]


@lru_cache(maxsize=32)
def feasts(country: str, state: str, year: int) -> frozenset[date]:
    """The public holidays of a year."""
    import holidays

    return frozenset(holidays.country_holidays(country, subdiv=state or None, years=year))


def firm_works(firm: Firm, day: date) -> bool:
    """Whether the firm works on that day at all."""
    if day in firm.work_days:
        return True
    closed = any(off.first <= day <= off.last for off in firm.days_off)
    feast = bool(firm.country) and day in feasts(firm.country, firm.state, day.year)
    return day.weekday() in firm.weekdays and not closed and not feast


def paid_spans(firm: Firm, day: date) -> list[Span]:
    """The two halves of a paid day round the meal break; the first half is whole half-hours.

    Only the first on a half day; cut to the light where the firm works by daylight.
    """
    begin = datetime.combine(day, firm.shift_start)
    paid = round(firm.paid_h_day * 60)
    half = day in firm.half_days
    first = 30 * (paid // 60) if firm.meal_break_min or half else paid
    spans = [(begin, begin + first * MINUTE)]
    if first < paid and not half:
        after = spans[0][1] + firm.meal_break_min * MINUTE
        spans.append((after, after + (paid - first) * MINUTE))
    return in_the_light(firm, day, spans) if firm.daylight_only else spans


def in_the_light(firm: Firm, day: date, spans: list[Span]) -> list[Span]:
    """What of the spans lies between sunrise and sunset, half hour by half hour."""
    if firm.depot_latitude_deg is None or firm.depot_longitude_deg is None:
        return spans
    sun = daylight(day, firm.depot_latitude_deg, firm.depot_longitude_deg, firm.time_zone)
    lit: list[Span] = []
    for begin, end in spans:
        steps = [begin + n * 30 * MINUTE for n in range(int((end - begin) / (30 * MINUTE)))]
        good = [
            s
            for s in steps
            if (sun.sunrise is None or s >= sun.sunrise)
            and (sun.sunset is None or s + 30 * MINUTE <= sun.sunset)
        ]
        if good:
            lit.append((good[0], good[-1] + 30 * MINUTE))
    return lit
