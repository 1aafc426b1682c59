"""What a person types, read into values: numbers with units, choices, dates, day ranges, yes and no.

Each reader takes the field's name and the text, and raises BadInput with the fix. A bare number is in the
firm's own units; one with a unit ("15 m", "50ft") is converted.
"""

from __future__ import annotations

import math
import re
from datetime import date, datetime, time
from enum import Enum
from typing import TypeVar

from planner.domain import dates
from planner.domain.firm.jobs import DayRange
from planner.domain.spelling import did_you_mean, squeezed
from planner.errors import BadInput
from planner.units import METRIC_OF, from_shown, to_shown

E = TypeVar("E", bound=Enum)

_MEASURE = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*([A-Za-z][A-Za-z0-9/]*)?", re.ASCII)
#: A number with commas between its thousands, as the US writes them.
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(,\d{3})+(\.\d*)?(?![\d,.])", re.ASCII)
#: A time of day on the clock of 24 hours, or on that of 12 with am or pm.
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::\d{2}(?:\.0+)?)?(?: ?([AaPp])\.?[Mm]\.?)?", re.ASCII)
#: A day, then a time of day.
_MOMENT = re.compile(rf"(.*\S)[T ]+({_CLOCK.pattern})", re.ASCII)
_YES, _NO = ("yes", "y", "true", "1", "x", "on"), ("no", "n", "false", "0", "", "off")
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def shown_unit(unit: str, system: str) -> str:
    """The unit that the firm sees."""
    return to_shown(0.0, unit, system)[1]


def number(field: str, text: str, unit: str = "", system: str = "us") -> float:
    """A finite number, in the US `unit` inside; typed in the firm's unit, or with a unit written after it."""
    found = _MEASURE.fullmatch(text.strip())
    value = float(found[1]) if found else math.nan
    if _THOUSANDS.match(text.strip()):
        plain = text.strip().replace(",", "")
        raise BadInput(field, text, f"write it without commas: {plain}")
    if found is None or not math.isfinite(value):
        raise BadInput(field, text, f"write a number{_in(unit, system)}")
    typed = found[2]
    if not typed:
        return from_shown(value, unit, system)
    if typed.lower() == unit.lower():
        return value
    if unit in METRIC_OF and typed.lower() == METRIC_OF[unit][0].lower():
        return from_shown(value, unit, "metric")
    raise BadInput(field, text, f"write a number{_in(unit, system)}")


def _in(unit: str, system: str) -> str:
    if not unit or unit == "count":
        return ""
    if unit in METRIC_OF:
        return f" in {shown_unit(unit, system)} (or with its unit, {unit} or {METRIC_OF[unit][0]})"
    return f" in {unit}"


def whole(field: str, text: str) -> int:
    """A whole number."""
    if not re.fullmatch(r"[+-]?\d{1,12}", text.strip(), re.ASCII):
        raise BadInput(field, text, "write a whole number")
    return int(text)


def flag(field: str, text: str) -> bool:
    """Yes or no."""
    word = text.strip().lower()
    if word not in _YES + _NO:
        raise BadInput(field, text, "write yes or no")
    return word in _YES


def choice(field: str, text: str, kind: type[E]) -> E:
    """One of the words of `kind`; case, dashes and a unique beginning do not matter."""
    plain = {str(m.value).replace("_", " "): m for m in kind}
    word, forms = squeezed(text), {squeezed(name): name for name in plain}
    if word in forms:
        return plain[forms[word]]
    begun = [name for form, name in forms.items() if word and form.startswith(word)]
    if len(begun) == 1:
        return plain[begun[0]]
    raise BadInput(field, text, did_you_mean(text, plain, f"use one of: {', '.join(plain)}"))


def day(field: str, text: str, today: date | None = None, *, back: bool = False) -> date:
    """A day in any of the ways of `dates.read_day`; with `today` also "tomorrow", "mon" or "May 4"."""
    return dates.read_day(field, text, today, back=back)


def days(field: str, first: str, last: str = "", why: str = "", today: date | None = None) -> DayRange:
    """The days from `first` to `last`, both included; one day when `last` is empty."""
    begins = day(field, first, today)
    ends = day(field, last, today) if last.strip() else begins
    if ends < begins:
        raise BadInput(field, last, f"end on or after the first day, {dates.long_day(begins)}")
    return DayRange(begins, ends, why)


def moment(field: str, text: str, today: date | None = None) -> datetime:
    """A day and a local time of day, like 2027-04-05T07:00, 5/4/2027 7:00 or "tomorrow 7:00"."""
    found = _MOMENT.fullmatch(text.strip())
    if found is None:
        raise BadInput(field, text, "write a day and a local time, for example 2027-04-05T07:00")
    return datetime.combine(day(field, found[1], today), clock(field, found[2]))


def clock(field: str, text: str) -> time:
    """A time of day, like 07:00 or 7:00 am."""
    found = _CLOCK.fullmatch(text.strip())
    if found is None:
        raise BadInput(field, text, "write the time like 07:00 or 7:00 am")
    hour, minute, half = int(found[1]), int(found[2]), (found[3] or "").lower()
    if half and not 1 <= hour <= 12:
        raise BadInput(field, text, "write an hour from 1 to 12 before am or pm")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59:
        raise BadInput(field, text, "write a time from 00:00 to 23:59")
    return time(hour, minute)


def weekdays(field: str, text: str) -> frozenset[int]:
    """Weekdays like "mon-fri" or "mon, tue, sat"; 0 is Monday."""
    found: set[int] = set()
    for part in re.split(r"[,;\s]+", text.strip().lower()):
        begins, dash, ends = part.partition("-")
        if begins[:3] not in WEEKDAYS or (dash and ends[:3] not in WEEKDAYS):
            raise BadInput(field, text, "write weekdays like mon-fri or mon,tue,wed")
        low = WEEKDAYS.index(begins[:3])
        high = WEEKDAYS.index(ends[:3]) if dash else low
        found |= {n % 7 for n in range(low, high + 1 if high >= low else high + 8)}
    return frozenset(found)


def weekday_words(numbers: frozenset[int]) -> str:
    """The inverse of `weekdays`: "mon,tue,wed".

    >>> weekday_words(weekdays("days", "mon-wed, sat"))
    'mon,tue,wed,sat'
    """
    return ",".join(WEEKDAYS[n] for n in sorted(numbers))


def words(text: str) -> frozenset[str]:
    """A set of words parted by commas, semicolons or spaces."""
    return frozenset(w for w in re.split(r"[,;\s]+", text.strip()) if w)


def units(text: str) -> dict[str, int]:
    """Machines and how many of each: "excavator=1,barrow=2"; one where no number stands; empty for none.

    >>> units("barrow=2 excavator")
    {'barrow': 2, 'excavator': 1}
    """
    found = {}
    for part in sorted(words(text)):
        key, _, number_of = part.partition("=")
        found[key] = whole(f"units of {key}", number_of or "1")
    return found


def degrees_f(field: str, text: str) -> float:
    """Degrees Fahrenheit from "96F", "35C" or a bare number (Fahrenheit)."""
    amount, unit = _with_unit(field, text, _DEGREES)
    if unit in ("c", "°c"):
        return amount * 1.8 + 32.0
    if unit in ("", "f", "°f"):
        return amount
    raise BadInput(field, text, _DEGREES)


def wind_mph(field: str, text: str) -> float:
    """Miles an hour from "15mph", "24km/h" or a bare number (mph)."""
    amount, unit = _with_unit(field, text, _WIND)
    if unit in ("", "mph"):
        return amount
    if unit in ("km/h", "kmh"):
        return amount / 1.609344
    raise BadInput(field, text, _WIND)


_DEGREES = "write degrees with F or C, like 96F or 35C"
_WIND = "write the wind like 15mph or 24km/h"


def _with_unit(field: str, text: str, fix: str) -> tuple[float, str]:
    digits = text.strip().lower()
    unit = digits.lstrip("+-0123456789.")
    try:
        return float(digits[: len(digits) - len(unit)]), unit.strip()
    except ValueError:
        raise BadInput(field, text, fix) from None
