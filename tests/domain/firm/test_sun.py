"""Sunrise against published values and an independent almanac."""

from datetime import UTC, date, datetime, timedelta

import pytest

from planner.domain.firm.sun import daylight, sun_event, sun_place


def test_published_example_of_the_almanac():
    # Almanac for Computers, US Naval Observatory, 1990, worked example: sunrise on 25 June at Wayne, NJ
    # (40.9 N, 74.3 W) at 9 h 26 min UT; its method is good to 2 minutes. Seen in a public transcription.
    rise = sun_event(date(1990, 6, 25), 40.9, -74.3, rising=True, offset_h=-4)
    assert rise is not None
    assert abs(rise - datetime(1990, 6, 25, 9, 26, tzinfo=UTC)) <= timedelta(minutes=2)
    light = daylight(date(1990, 6, 25), 40.9, -74.3, "America/New_York")
    assert light.sunrise is not None and light.sunset is not None
    assert abs(light.sunrise - datetime(1990, 6, 25, 5, 26)) <= timedelta(minutes=2)
    assert abs(light.sunset - datetime(1990, 6, 25, 20, 33)) <= timedelta(minutes=2)


def almanac_1990(day: date, latitude_deg: float, longitude_deg: float, rising: bool) -> float:
    """Hour of the event, UT, by the other method: Almanac for Computers, USNO 1990, pp. B5-B6."""
    from math import acos, asin, atan, cos, degrees, radians, sin, tan

    def s(x: float) -> float:
        return sin(radians(x))

    t = day.timetuple().tm_yday + ((6 if rising else 18) - longitude_deg / 15) / 24
    anomaly = 0.9856 * t - 3.289
    true_long = (anomaly + 1.916 * s(anomaly) + 0.020 * s(2 * anomaly) + 282.634) % 360
    ascension = degrees(atan(0.91746 * tan(radians(true_long)))) % 360
    ascension += true_long // 90 * 90 - ascension // 90 * 90
    declination = asin(0.39782 * s(true_long))
    cosine = (-0.01454 - sin(declination) * s(latitude_deg)) / (cos(declination) * cos(radians(latitude_deg)))
    hour_angle = degrees(acos(cosine))
    hour = ((360 - hour_angle if rising else hour_angle) + ascension) / 15 - 0.06571 * t - 6.622
    return (hour - longitude_deg / 15) % 24


@pytest.mark.parametrize(
    "place", [(39.96, -83.0), (33.7, -84.4), (45.5, -122.6), (47.6, -117.4), (29.4, -98.5)]
)
@pytest.mark.parametrize("rising", [True, False])
def test_agrees_with_the_other_method_all_year(place, rising):
    for n in range(0, 365, 9):
        day = date(1997, 1, 1) + timedelta(days=n)
        got = sun_event(day, *place, rising=rising, offset_h=round(place[1] / 15))
        assert got is not None
        difference_h = (
            got.hour + got.minute / 60 + got.second / 3600 - almanac_1990(day, *place, rising) + 12
        ) % 24 - 12
        assert abs(difference_h) < 3 / 60, (day, place)  # two methods, each good to about 2 minutes


def test_solstices_and_equation_of_time():
    # Obliquity 23.44 degrees; equation of time near +16.4 min on 3 November and -14.2 min on 11 February
    # (standard almanac values, from memory).
    assert sun_place(datetime(2027, 6, 21, 12, tzinfo=UTC))[0] == pytest.approx(23.44, abs=0.01)
    assert sun_place(datetime(2027, 12, 22, 2, tzinfo=UTC))[0] == pytest.approx(-23.44, abs=0.01)
    assert sun_place(datetime(2027, 11, 3, 12, tzinfo=UTC))[1] == pytest.approx(16.4, abs=0.1)
    assert sun_place(datetime(2027, 2, 11, 12, tzinfo=UTC))[1] == pytest.approx(-14.2, abs=0.1)


def test_wall_time_jumps_with_daylight_saving():
    before = daylight(date(2027, 3, 13), 39.96, -83.0, "America/New_York").sunrise
    after = daylight(date(2027, 3, 14), 39.96, -83.0, "America/New_York").sunrise
    assert before and after
    jump = after - before - timedelta(days=1)
    assert timedelta(minutes=57) <= jump <= timedelta(minutes=60)


def test_polar_day_and_night_have_no_sunrise():
    assert daylight(date(2027, 6, 21), 70.0, 20.0, "Europe/Oslo").sunrise is None
    assert daylight(date(2027, 12, 21), 70.0, 20.0, "Europe/Oslo").sunset is None
    assert daylight(date(2027, 6, 21), 90.0, 0.0, "UTC").sunrise is None


def test_sunset_after_midnight_utc_stays_on_its_own_day():
    light = daylight(date(2027, 6, 21), 45.5, -122.6, "America/Los_Angeles")
    assert light.sunset and light.sunset.date() == date(2027, 6, 21) and light.sunset.hour == 21
