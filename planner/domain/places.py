"""Distances on the earth between two points.

Great circle by the haversine formula; mean earth radius 6,371.0088 km (IUGG; from memory).
"""

from __future__ import annotations

from math import asin, cos, radians, sin, sqrt

from planner.units import KM_PER_MI

EARTH_RADIUS_MI = 6371.0088 / KM_PER_MI


def great_circle_mi(a: tuple[float, float], b: tuple[float, float]) -> float:
    """Distance between two (latitude, longitude) pairs in degrees [mi].

    >>> round(great_circle_mi((0.0, 0.0), (0.0, 1.0)), 2)
    69.09
    """
    lat1, lon1, lat2, lon2 = map(radians, (*a, *b))
    h = sin((lat2 - lat1) / 2) ** 2 + cos(lat1) * cos(lat2) * sin((lon2 - lon1) / 2) ** 2
    return 2 * EARTH_RADIUS_MI * asin(min(1.0, sqrt(h)))
