"""Visits: short calls at a pond, one day each, without the six phases of an install.

A visit is a job of one piece of work (`Phase.VISIT`): hours on site, one or two hands, a promised part of
the day.
"""

from __future__ import annotations

from datetime import time
from enum import StrEnum

#: Shortest and longest visit [hours on site]; what takes longer is two visits, or an install.
LEAST_H, MOST_H = 0.5, 8.0
#: Most hands that a visit asks for [persons].
MOST_HANDS = 2
#: Where the morning ends and the afternoon begins.
NOON = time(12)


class VisitKind(StrEnum):
    """Why somebody comes to a pond that is there already."""

    CALL_BACK = "call-back"
    LEAK_SEARCH = "leak search"
    CLEAN_OUT = "clean-out"
    OPENING = "spring opening"
    CLOSING = "winter closing"
    MAINTENANCE = "maintenance"


class DayPart(StrEnum):
    """The part of the day that was promised for a visit: it begins and ends in it."""

    ANY = "any time"
    MORNING = "morning"
    AFTERNOON = "afternoon"
