"""A forecast's days: vapor pressure against FAO's table, shares of a day against the climate's, odd rows."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from scipy.integrate import quad

from planner.domain.firm.firm import Firm
from planner.domain.safety.weather import (
    DayForecast,
    ForecastFile,
    check_place,
    forecast_file,
    humidity_at_high,
    saturation_kpa,
    share_lost,
    why_not_used,
)
from planner.domain.safety.weather_rows import missing_columns, read_days
from planner.errors import BadInput

MONDAY = date(2027, 4, 5)
#: FAO Irrigation and Drainage Paper 56 (1998): degrees C -> kPa. Example 3 of chapter 3 (15.0 and 24.5, read
#: in NCAR's documentation of its own function); the others of Annex 2, table 2.3, from memory.
FAO_KPA = {15: 1.705, 24.5: 3.075, 1: 0.657, 5: 0.872, 10: 1.228, 20: 2.338, 25: 3.168, 30: 4.243, 40: 7.376}


@pytest.mark.parametrize(("temp_c", "kpa"), FAO_KPA.items())
def test_vapor_pressure_is_faos(temp_c: float, kpa: float) -> None:
    assert saturation_kpa(temp_c * 1.8 + 32) == pytest.approx(kpa, abs=6e-4)


def test_humidity_from_the_low_agrees_with_the_magnus_form_of_the_wmo() -> None:
    """Outside: saturation by WMO's guide no. 8 (2014, annex 4.B): 6.112 exp(17.62 t / (243.12 + t)) hPa."""

    def wmo(temp_f: float) -> float:
        t = (temp_f - 32) / 1.8
        return float(6.112 * np.exp(17.62 * t / (243.12 + t)))

    for low, high in ((41, 60), (55, 85), (70, 95), (34, 34)):
        assert humidity_at_high(low, high) == pytest.approx(100 * wmo(low) / wmo(high), rel=0.005)


def test_a_wet_day_of_the_climate_loses_what_the_climate_says() -> None:
    """Amounts of 0.10 in and more, exponential, mean 0.4 in: their mean share is the climate's."""
    for share in (0.4, 0.5, 0.6):
        mean, _ = quad(lambda x, s=share: share_lost(0.1 + x, s) * np.exp(-x / 0.3) / 0.3, 0, 12)
        assert mean == pytest.approx(share, abs=0.02)


def test_more_rain_never_loses_less() -> None:
    shares = [share_lost(amount, 0.5) for amount in np.linspace(0, 4, 60)]
    assert shares == sorted(shares) and shares[0] == 0 and shares[-1] < 1
    assert share_lost(None, 0.5) == 0.5


def test_expected_days_are_the_sum_of_chances_and_unknown_days_count_as_dry() -> None:
    days = {date(2027, 4, d): DayForecast(date(2027, 4, d), 0.6, 40, 60) for d in (6, 7)}
    told = ForecastFile("Columbus, OH", MONDAY, days)
    assert told.expected_lost_days(date(2027, 4, d) for d in (6, 6, 7, 20)) == pytest.approx(0.6)
    assert told.lost_chance(date(2027, 4, 20)) is None


@pytest.mark.parametrize(
    ("place", "says"),
    [
        ("", "place"),
        ("Columbus", "state"),
        ("Erie, PA", "the firm is in OH"),
        ("41.9, -87.6", "from the depot"),
        ("95, 10", "latitude"),
    ],
)
def test_the_weather_of_another_place_is_refused(place: str, says: str) -> None:
    firm = Firm(state="OH", depot_latitude_deg=39.96, depot_longitude_deg=-83.0)
    with pytest.raises(BadInput, match=says):
        check_place(place, firm)
    check_place("Columbus, OH", firm)
    check_place("40.4, -83.2", firm)


def test_a_forecast_ages() -> None:
    assert why_not_used(MONDAY, date(2027, 4, 12), date(2027, 4, 10)) == ""
    assert "6 days ago" in why_not_used(MONDAY, date(2027, 4, 12), date(2027, 4, 11))
    assert "is past" in why_not_used(MONDAY, date(2027, 4, 7), date(2027, 4, 8))
    assert "after today" in why_not_used(MONDAY, date(2027, 4, 7), date(2027, 4, 4))


def test_a_day_twice_and_a_day_out_of_reach_are_refused() -> None:
    one = DayForecast(MONDAY, 0.1, 40, 60)
    with pytest.raises(BadInput, match="write each day once"):
        forecast_file("Columbus, OH", MONDAY, [one, one], MONDAY, "w.csv")
    far = DayForecast(date(2027, 4, 22), 0.1, 40, 60)
    with pytest.raises(BadInput, match="16 days on"):
        forecast_file("Columbus, OH", MONDAY, [one, far], MONDAY, "w.csv")


def test_metric_columns_say_the_same() -> None:
    us = {
        "date": "2027-04-06",
        "rain_chance": "80%",
        "rain_in": "1",
        "low_f": "41",
        "high_f": "59",
        "wind_mph": "10",
    }
    other = {
        "date": "2027-04-06",
        "rain_chance": "80",
        "rain_mm": "25.4",
        "low_c": "5",
        "high_c": "15",
        "wind_kmh": "16.09344",
    }
    (days, _, _), (same, _, _) = (read_days([("line 2", row)], MONDAY) for row in (us, other))
    assert (days[0].rain_in, days[0].low_f, days[0].high_f) == (1, 41, 59)
    assert [same[0].rain_in, same[0].low_f, same[0].high_f, same[0].wind_mph] == pytest.approx(
        [1, 41, 59, 10]
    )
    assert missing_columns(other) == [] and missing_columns(["date", "low_f"]) == ["rain_chance", "high_f"]


def test_every_wrong_cell_is_told_with_its_line() -> None:
    rows = [
        ("w.csv line 2", {"date": "2027-04-06", "rain_chance": "wet", "low_f": "40", "high_f": "60"}),
        ("w.csv line 3", {"date": "sometime", "rain_chance": "10", "low_f": "", "high_f": "60"}),
        ("w.csv line 4", {"date": "2027-04-08", "rain_chance": "110", "low_f": "40", "high_f": "60"}),
        ("w.csv line 5", {"date": "2027-04-09", "rain_chance": "10", "low_f": "70", "high_f": "60"}),
        ("w.csv line 6", {"date": "2027-04-09", "rain_chance": "nan", "low_f": "50", "high_f": "inf"}),
    ]
    with pytest.raises(BadInput) as told:
        read_days(rows, MONDAY)
    text = str(told.value)
    for part in (
        "line 2: rain_chance",
        "line 3: date",
        "line 3: low_f",
        "line 4: rain_chance",
        "line 5: low",
    ):
        assert part in text, text
    assert text.count("line 6") == 2, text
