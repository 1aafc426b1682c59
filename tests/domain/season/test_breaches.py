"""The checker's own reading of a paid day, against the calendar's: two codes, one meaning."""

from __future__ import annotations

from datetime import date, time, timedelta

import pytest

from planner.domain.firm.calendar import shift
from planner.domain.firm.firm import Firm
from planner.domain.season.paid_day import paid_spans

DAYS = [date(2027, 1, 1) + timedelta(days=n) for n in range(365)]


@pytest.mark.parametrize("latitude_deg", [None, 0.0, 41.0, 58.0])
@pytest.mark.parametrize(("start", "paid_h", "meal_min"), [(time(7), 8.0, 30), (time(6, 30), 10.0, 0)])
def test_light_cuts_the_paid_day_as_the_calendar_says(
    latitude_deg: float | None, start: time, paid_h: float, meal_min: int
) -> None:
    firm = Firm(
        shift_start=start,
        paid_h_day=paid_h,
        meal_break_min=meal_min,
        daylight_only=True,
        depot_latitude_deg=latitude_deg,
        depot_longitude_deg=None if latitude_deg is None else -82.0,
        half_days=(DAYS[3],),
    )
    for day in DAYS:
        assert paid_spans(firm, day) == [(w.start, w.end) for w in shift(firm, day)], day
