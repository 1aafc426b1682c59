"""Days as the firm writes and types them: shown on screens and in spreadsheets, read from what was typed.

The order of day, month and year is the firm's setting. It is a way of writing, never a number that anything
is reckoned with, so it is not handed from function to function: `use` sets it for the running command or
request (a context variable) when the firm's settings are read. Files meant for machines stay ISO 8601.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextvars import ContextVar
from datetime import date, datetime, timedelta
from enum import Enum

from planner.errors import BadInput

FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2100, 12, 31)
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_WHOLE_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class DateOrder(Enum):
    """What a firm writes first: 5/4/2027, 4/5/2027 and 2027-05-04 are the same day in May."""

    MONTH_FIRST = "month first"
    DAY_FIRST = "day first"
    YEAR_FIRST = "year first"


_ORDER: ContextVar[DateOrder] = ContextVar("date_order", default=DateOrder.MONTH_FIRST)


def use(order: DateOrder) -> None:
    """From here on this command or request writes and reads days so."""
    _ORDER.set(order)


def day_words(day: date | None) -> str:
    """A day of this season on a screen: "Mon May 3", "Mon 3 May" or "Mon 2027-05-03"."""
    if day is None:
        return "no day"
    name, month = DAYS[day.weekday()], MONTHS[day.month - 1]
    match _ORDER.get():
        case DateOrder.MONTH_FIRST:
            return f"{name} {month} {day.day}"
        case DateOrder.DAY_FIRST:
            return f"{name} {day.day} {month}"
    return f"{name} {day:%Y-%m-%d}"


def long_day(day: date) -> str:
    """A day with its year: "Mon May 3, 2027", "Mon 3 May 2027" or "Mon 2027-05-03"."""
    comma = "," if _ORDER.get() is DateOrder.MONTH_FIRST else ""
    return day_words(day) + ("" if _ORDER.get() is DateOrder.YEAR_FIRST else f"{comma} {day.year}")


def figures(day: date) -> str:
    """A day in a spreadsheet, and where there is no room for words: "5/3/2027", "3/5/2027", "2027-05-03"."""
    match _ORDER.get():
        case DateOrder.MONTH_FIRST:
            return f"{day.month}/{day.day}/{day.year}"
        case DateOrder.DAY_FIRST:
            return f"{day.day}/{day.month}/{day.year}"
    return f"{day:%Y-%m-%d}"


def moment_figures(moment: datetime) -> str:
    """A moment in a table: "5/3/2027 7:00"."""
    return f"{figures(moment.date())} {clock(moment)}"


def clock(moment: datetime) -> str:
    """ "7:00"."""
    return f"{moment.hour}:{moment.minute:02d}"


def moment_words(moment: datetime) -> str:
    """ "Mon May 3 7:00"."""
    return f"{day_words(moment.date())} {clock(moment)}"


def long_moment(moment: datetime) -> str:
    """ "Mon May 3, 2027 7:00"."""
    return f"{long_day(moment.date())} {clock(moment)}"


def span_words(first: date, last: date) -> str:
    """ "Mon May 3 to Fri May 7", or the one day."""
    return day_words(first) if first == last else f"{day_words(first)} to {day_words(last)}"


def long_span(first: date, last: date) -> str:
    """ "Mon Jul 5 to Fri Jul 9, 2027": the first year only when it is another one."""
    if first == last:
        return long_day(first)
    return f"{day_words(first) if first.year == last.year else long_day(first)} to {long_day(last)}"


_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})", re.ASCII)
_FIGURES = re.compile(r"(\d{1,2})([-/.])(\d{1,2})(?:\2(\d{4}|\d\d))?", re.ASCII)
_DAY_MONTH = re.compile(
    r"(?P<day>\d{1,2})(?:st|nd|rd|th)?[-. ]+(?P<month>[a-z]+)\.?(?:[-, ]+(?P<year>\d{4}|\d\d))?", re.ASCII
)
_MONTH_DAY = re.compile(
    r"(?P<month>[a-z]+)\.?[-. ]+(?P<day>\d{1,2})(?:st|nd|rd|th)?(?:[-, ]+(?P<year>\d{4}|\d\d))?", re.ASCII
)
#: Midnight, as spreadsheets put it behind a date.
_MIDNIGHT = re.compile(r"[T ]+(?:0?0:00(?::00)?(?:\.0+)?|12:00(?::00)? ?am)$", re.IGNORECASE | re.ASCII)
#: A day without its year lies within half a year of today; nearer to the middle than this it is asked [days].
_UNCLEAR_DAYS = 21


def read_day(field: str, text: str, today: date | None = None, *, back: bool = False) -> date:
    """The day that was typed, in every way an office writes one.

    2027-05-04, 5/4/2027, 5/4/27 (by the firm's order), May 4 2027, 4 May 2027, 14-May-27, each with its
    weekday before it. With `today` also: today, tomorrow, yesterday, mon, this fri, next fri, last fri (the
    Friday of the next week or the one before, Monday to Sunday), May 4 and 5/4 (the nearest such day). back:
    a weekday's name alone is one that has been. BadInput for no day, or for what may be two: both are told.
    """
    typed = _MIDNIGHT.sub("", " ".join(text.split()))
    low = typed.lower()
    if today is not None and (found := _by_name(field, text, low, today, back=back)):
        return _in_reach(field, text, found)
    spoken, low = _weekday_before(low)
    found = _year_first(low) or _in_figures(field, text, low, today) or _in_words(field, text, low, today)
    if found is None:
        raise BadInput(field, text, _fix(today))
    if spoken is not None and found.weekday() != spoken:
        raise BadInput(
            field, text, f"{long_day(found)} is no {_WHOLE_DAYS[spoken]}: correct the day or its name"
        )
    return _in_reach(field, text, found)


def _fix(today: date | None) -> str:
    example = date(2027, 5, 14)
    also = " (or May 14, tomorrow, mon)" if today is not None else ""
    return f"write a day like {' or '.join(dict.fromkeys((figures(example), '2027-05-14')))}{also}"


def _named(day: date) -> str:
    """A day with its month's name, whatever the firm writes."""
    if _ORDER.get() is DateOrder.YEAR_FIRST:
        return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
    return long_day(day)


def _in_reach(field: str, text: str, found: date) -> date:
    if not FIRST_DAY <= found <= LAST_DAY:
        raise BadInput(field, text, "choose a year from 2000 to 2100")
    return found


def _weekday(word: str) -> int | None:
    """0 for "mon" or "monday"; None for anything else."""
    if len(word) < 3:
        return None
    return next((n for n, name in enumerate(_WHOLE_DAYS) if name.lower().startswith(word)), None)


def _by_name(field: str, text: str, low: str, today: date, *, back: bool) -> date | None:
    near = {"today": 0, "tomorrow": 1, "yesterday": -1}
    if low in near:
        return today + timedelta(days=near[low])
    which, _, name = low.rpartition(" ")
    wanted = _weekday(name.rstrip("."))
    if wanted is None or which not in ("", "this", "next", "last"):
        return None
    monday = today - timedelta(days=today.weekday())
    if which:
        return monday + timedelta(days=wanted + {"last": -7, "this": 0, "next": 7}[which])
    ahead = (wanted - today.weekday()) % 7
    if ahead == 0:
        other = today + timedelta(days=-7 if back else 7)
        raise BadInput(
            field, text, f"write today for {day_words(today)}, or {figures(other)} for {day_words(other)}"
        )
    return today + timedelta(days=ahead - 7 if back else ahead)


def _weekday_before(low: str) -> tuple[int | None, str]:
    """The weekday that stands before a date, and the date."""
    name, _, rest = low.partition(" ")
    found = _weekday(name.rstrip(",.")) if rest else None
    return (found, rest.strip()) if found is not None else (None, low)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _year(text: str) -> int:
    return int(text) + (2000 if len(text) == 2 else 0)


def _year_first(low: str) -> date | None:
    found = _YEAR_FIRST.fullmatch(low)
    return _day(int(found[1]), int(found[3]), int(found[4])) if found else None


def _in_figures(field: str, text: str, low: str, today: date | None) -> date | None:
    found = _FIGURES.fullmatch(low)
    if found is None or (found[4] is None and (today is None or found[2] == ".")):
        return None
    one, two = int(found[1]), int(found[3])

    def read(month: int, day: int) -> date | None:
        if found[4] is not None:
            return _day(_year(found[4]), month, day)
        return _nearest(field, text, month, day, today)

    month_first, day_first = read(one, two), read(two, one)
    order = _ORDER.get()
    chosen = {DateOrder.MONTH_FIRST: month_first, DateOrder.DAY_FIRST: day_first}.get(order)
    dotted_abroad = found[2] == "." and order is not DateOrder.DAY_FIRST
    if chosen is not None and not dotted_abroad:
        return chosen
    both = [d for d in dict.fromkeys((month_first, day_first)) if d is not None]
    if len(both) == 2:
        said = " or ".join(f"{figures(d)} for {_named(d)}" for d in both)
        raise BadInput(field, text, f"it may be either: write {said}")
    if both:
        raise BadInput(
            field,
            text,
            f"dates are typed {order.value} here: write {figures(both[0])} for {_named(both[0])}",
        )
    return None


def either_way(cells: Iterable[str]) -> str:
    """How a file's dates were read when nothing in it tells day from month; "" when something does.

    >>> either_way(["5/4/2027", "Moss"])
    'no date in the file tells month from day: 5/4/2027 is read as Tue May 4, 2027, month first'
    >>> either_way(["5/4/2027", "4/25/2027"]), either_way(["5/5/2027", "2027-05-04"])
    ('', '')
    """
    order, first = _ORDER.get(), ""
    for cell in cells:
        found = _FIGURES.fullmatch(cell.strip())
        if found is None or found[4] is None or found[2] == "." or found[1] == found[3]:
            continue
        if int(found[1]) > 12 or int(found[3]) > 12:
            return ""
        first = first or cell.strip()
    if not first or order is DateOrder.YEAR_FIRST:
        return ""
    read = long_day(read_day("date", first))
    return f"no date in the file tells month from day: {first} is read as {read}, {order.value}"


def _in_words(field: str, text: str, low: str, today: date | None) -> date | None:
    found = _DAY_MONTH.fullmatch(low) or _MONTH_DAY.fullmatch(low)
    if found is None:
        return None
    word = found["month"]
    month = next(
        (n for n, name in enumerate(_WHOLE_MONTHS, 1) if len(word) >= 3 and name.startswith(word)), None
    )
    month = 9 if word == "sept" else month
    if month is None:
        return None
    if found["year"] is not None:
        return _day(_year(found["year"]), month, int(found["day"]))
    if today is None:
        raise BadInput(
            field, text, f"write the year too, like {_fix(None).removeprefix('write a day like ')}"
        )
    return _nearest(field, text, month, int(found["day"]), today)


_WHOLE_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)


def _nearest(field: str, text: str, month: int, day: int, today: date | None) -> date | None:
    """That day in the year in which it lies nearest to today."""
    assert today is not None
    around = [d for y in (-1, 0, 1) if (d := _day(today.year + y, month, day))]
    ranked = sorted(around, key=lambda d: abs((d - today).days))
    if len(ranked) > 1 and abs((ranked[1] - today).days) - abs((ranked[0] - today).days) < _UNCLEAR_DAYS:
        said = " or ".join(f"{figures(d)} for {_named(d)}" for d in sorted(ranked[:2]))
        raise BadInput(field, text, f"it may be either: write {said}")
    return ranked[0] if ranked else None
