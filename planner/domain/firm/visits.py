"""Visits: short calls at a pond, one day each, without the six phases of an install.

A visit is a job of one piece of work (`Phase.VISIT`): hours on site, one or two hands, a promised part of
the day.
"""

from __future__ import annotations

from datetime import date, datetime, time
from enum import StrEnum
from itertools import islice

from planner.domain.dates import figures
from planner.errors import BadInput

#: Shortest and longest visit [hours on site]; what takes longer is two visits, or an install.
LEAST_H, MOST_H = 0.5, 8.0
#: Most hands that a visit asks for [persons].
MOST_HANDS = 2
#: Where the morning ends and the afternoon begins.
NOON = time(12)
#: Most visits that one rule makes at once.
MOST_REPEATS = 60
_PACES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
_WITHIN_A_DAY = ("BYHOUR", "BYMINUTE", "BYSECOND")


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

    @property
    def words(self) -> str:
        """What is said of it after a day: " in the morning"; nothing of any time."""
        return "" if self is DayPart.ANY else f" in the {self.value}"

    @property
    def mark(self) -> str:
        """The same in a list: ", morning"."""
        return "" if self is DayPart.ANY else f", {self.value}"


def checked_rule(rule: str) -> str:
    """The rule as it is kept: the bare value of an RRULE in capitals; "" and "none" for none. BadInput."""
    plain = rule.strip().upper().removeprefix("RRULE:")
    if plain in ("", "NONE"):
        return ""
    day = date(2000, 1, 1)
    repeats(rule, day, day)
    return plain


def next_after(rule: str, first: date, day: date) -> date | None:
    """The first day of a rule of RFC 5545 after `day`, reckoned from `first`; None when it has ended."""
    from dateutil.rrule import rrulestr

    found = rrulestr(checked_rule(rule), dtstart=datetime.combine(first, time())).after(
        datetime.combine(day, time())
    )
    return found.date() if found else None


def repeats(rule: str, first: date, until: date) -> tuple[date, ...]:
    """The days of a repeating visit from `first` to `until`, both included, by a rule of RFC 5545.

    rule: the value of an RRULE, like FREQ=YEARLY (section 3.3.10). The first day counts where it has it.
    Raises BadInput for what is no such rule, or one of several visits a day.
    """
    from dateutil.rrule import rrulestr

    plain = rule.strip().upper().removeprefix("RRULE:")
    how = "write a rule of RFC 5545, like FREQ=YEARLY or FREQ=MONTHLY;INTERVAL=2;BYDAY=1MO"
    parts = dict(part.partition("=")[::2] for part in plain.split(";"))
    if parts.get("FREQ") not in _PACES or any(name in parts for name in _WITHIN_A_DAY):
        raise BadInput("rule", rule, how)
    begin, end = (datetime.combine(day, time()) for day in (first, until))
    try:
        days = rrulestr(plain, dtstart=begin)
        if not {"COUNT", "UNTIL"} & parts.keys():
            days = days.replace(until=end)  # type: ignore[union-attr]
        made = islice(days.xafter(begin, inc=True), MOST_REPEATS + 1)
        found = tuple(at.date() for at in made if at <= end)
    except (ValueError, TypeError, KeyError, IndexError, OverflowError):
        raise BadInput("rule", rule, how) from None
    if len(found) > MOST_REPEATS:
        raise BadInput(
            "until", figures(until), f"that makes over {MOST_REPEATS} visits: choose an earlier day"
        )
    return found
