"""Sunrise and sunset at a place: the daylight in which a crew can see what it levels.

The equations are those of NOAA's solar calculator (its spreadsheet), after J. Meeus, Astronomical
Algorithms (1991, 2nd ed. 1998); read in a public transcription of the spreadsheet, the book from memory.
The sun rises when its center is 90.833 degrees from the zenith: refraction and half the disk counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from math import acos, asin, cos, degrees, radians, sin, tan
from zoneinfo import ZoneInfo

ZENITH_DEG = 90.833


@dataclass(frozen=True, slots=True)
class Daylight:
    """Sunrise and sunset, wall time of the firm; None where the sun does not rise or set that day."""

    sunrise: datetime | None
    sunset: datetime | None


def daylight(day: date, latitude_deg: float, longitude_deg: float, time_zone: str) -> Daylight:
    """Sunrise and sunset on `day` [wall time in `time_zone`, to the minute]; east and north are positive."""
    zone = ZoneInfo(time_zone)
    offset_h = _offset_hours(day, zone)
    found = (
        sun_event(day, latitude_deg, longitude_deg, rising=rising, offset_h=offset_h)
        for rising in (True, False)
    )
    rise, fall = (None if t is None else _wall(t, zone) for t in found)
    return Daylight(rise, fall)


def sun_event(
    day: date, latitude_deg: float, longitude_deg: float, *, rising: bool, offset_h: float = 0.0
) -> datetime | None:
    """The moment [UTC] of sunrise or sunset on the local date `day`; None when there is none.

    offset_h: local time minus UTC [h]. The sun's place is taken at the event itself: a second pass
    corrects the first, which uses noon.
    """
    midnight = datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(hours=offset_h)
    minutes = 720.0
    for _ in range(2):
        declination_deg, equation_min = sun_place(midnight + timedelta(minutes=minutes))
        hour_angle_deg = _hour_angle(latitude_deg, declination_deg)
        if hour_angle_deg is None:
            return None
        noon_min = 720.0 - 4.0 * longitude_deg - equation_min + 60.0 * offset_h
        minutes = noon_min + (-4.0 if rising else 4.0) * hour_angle_deg
    return midnight + timedelta(minutes=minutes)


def sun_place(moment: datetime) -> tuple[float, float]:
    """The sun's declination [degrees] and the equation of time [minutes] at `moment` (UTC)."""
    days = (moment - datetime(2000, 1, 1, 12, tzinfo=UTC)).total_seconds() / 86400.0
    century = days / 36525.0
    mean_long = (280.46646 + century * (36000.76983 + 0.0003032 * century)) % 360.0
    anomaly = radians(357.52911 + century * (35999.05029 - 0.0001537 * century))
    eccentricity = 0.016708634 - century * (0.000042037 + 0.0000001267 * century)
    center = (
        sin(anomaly) * (1.914602 - century * (0.004817 + 0.000014 * century))
        + sin(2 * anomaly) * (0.019993 - 0.000101 * century)
        + sin(3 * anomaly) * 0.000289
    )
    node = radians(125.04 - 1934.136 * century)
    apparent = radians(mean_long + center - 0.00569 - 0.00478 * sin(node))
    tilt = 23.0 + (26.0 + (21.448 - century * (46.815 + century * (0.00059 - 0.001813 * century))) / 60) / 60
    obliquity = radians(tilt + 0.00256 * cos(node))
    y = tan(obliquity / 2.0) ** 2
    longitude = radians(mean_long)
    equation_rad = (
        y * sin(2 * longitude)
        - 2 * eccentricity * sin(anomaly)
        + 4 * eccentricity * y * sin(anomaly) * cos(2 * longitude)
        - 0.5 * y * y * sin(4 * longitude)
        - 1.25 * eccentricity**2 * sin(2 * anomaly)
    )
    return degrees(asin(sin(obliquity) * sin(apparent))), 4.0 * degrees(equation_rad)


def _hour_angle(latitude_deg: float, declination_deg: float) -> float | None:
    latitude, declination = radians(latitude_deg), radians(declination_deg)
    if abs(latitude_deg) >= 90.0:
        return None
    cosine = cos(radians(ZENITH_DEG)) / (cos(latitude) * cos(declination)) - tan(latitude) * tan(declination)
    return degrees(acos(cosine)) if -1.0 <= cosine <= 1.0 else None


def _offset_hours(day: date, zone: ZoneInfo) -> float:
    offset = datetime(day.year, day.month, day.day, 12, tzinfo=zone).utcoffset() or timedelta()
    return offset.total_seconds() / 3600.0


def _wall(moment: datetime, zone: ZoneInfo) -> datetime:
    near = moment.astimezone(zone) + timedelta(seconds=30)
    return near.replace(second=0, microsecond=0, tzinfo=None)
