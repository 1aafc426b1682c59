"""How numbers and measures are written on the sheets: rounded, with their unit, in the firm's units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import gcd

from planner.errors import BadInput
from planner.units import METRIC, METRIC_OF, to_shown

_BRACES = re.compile(r"\{([^{}]*)\}")
_AMOUNT = re.compile(r"(\d+(?:\.\d+)?) (" + "|".join(map(re.escape, METRIC_OF)) + r"|F)")


def fill_in(text: str, words: Mapping[str, str], units: str) -> str:
    """`text` with its braces replaced; a brace that is neither a known word nor a measure is refused.

    >>> fill_in("tamp {6 in} lifts", {}, "metric")
    'tamp 150 mm lifts'
    """

    def one(found: re.Match[str]) -> str:
        inside = found[1]
        amount = _AMOUNT.fullmatch(inside)
        if amount:
            return shown(float(amount[1]), amount[2], units)
        if inside in words:
            return words[inside]
        known = ", ".join(sorted(words))
        raise BadInput("checklist word", inside, f"use a measure like {{24 in}} or one of {known}")

    return _BRACES.sub(one, text)


def shown(value: float, unit: str, units: str) -> str:
    """A rounded quantity with its unit in the firm's units: "24 in", "610 mm", "40 F", "4 C"."""
    amount, name = as_seen(value, unit, units)
    if name == "C":
        amount = round(amount)
    elif name == "mm":
        amount = 5.0 * round(amount / 5.0) if amount >= 50 else round(amount)
    elif name == "in" and abs(amount) >= 0.125:
        amount = round(amount * 8.0) / 8.0
    elif name == "ft":
        return feet_words(amount)
    elif name != unit:
        amount = float(f"{amount:.3g}")
    return f"{figure(amount, name)} {name}".rstrip()


def figure(amount: float, unit: str) -> str:
    """A number as it is read off in that unit: inches to sixteenths as a tape has them, else with decimals.

    >>> figure(0.125, "in"), figure(30.5, "in"), figure(0.3, "in"), figure(0.5, "h")
    ('1/8', '30 1/2', '0.3', '0.5')
    """
    sixteenths = round(abs(amount) * 16.0)
    if unit != "in" or sixteenths % 16 == 0 or abs(sixteenths / 16.0 - abs(amount)) > 1e-6:
        return number(amount)
    whole, part = divmod(sixteenths, 16)
    over = 16 // gcd(part, 16)
    fraction = f"{part * over // 16}/{over}"
    return ("-" if amount < 0 else "") + (f"{whole:,} {fraction}" if whole else fraction)


def feet_words(feet: float) -> str:
    """Feet as a tape shows them, to the inch; of less than a foot the inches to the eighth.

    >>> feet_words(2.58), feet_words(60.0), feet_words(0.75), feet_words(1999.7)
    ('2 ft 7 in', '60 ft', '9 in', '2,000 ft')
    """
    if 0 < abs(feet) < 1 - 1 / 24:
        return f"{figure(round(feet * 96.0) / 8.0, 'in')} in"
    whole, inches = divmod(round(abs(feet) * 12.0), 12)
    if abs(feet) >= 100:
        whole, inches = round(abs(feet)), 0
    return ("-" if feet < 0 else "") + (f"{whole:,} ft {inches} in" if inches else f"{whole:,} ft")


def in_figures(value: float, unit: str, units: str) -> str:
    """A quantity with its unit, as the firm sees it: feet as a tape shows them, all else to three figures.

    A count is the bare number.

    >>> in_figures(1234.5, "ft2", "us"), in_figures(0.1234, "ton", "us"), in_figures(3.0, "count", "us")
    ('1,234 ft2', '0.123 ton', '3')
    >>> in_figures(36.7, "ft", "us"), in_figures(36.7, "ft", "metric")
    ('36 ft 8 in', '11.2 m')
    """
    amount, name = to_shown(value, unit, units)
    return feet_words(amount) if name == "ft" else in_decimals(value, unit, units)


def in_decimals(value: float, unit: str, units: str) -> str:
    """A quantity to three figures with its unit; feet of head too, which no tape shows: "5.3 ft"."""
    amount, name = to_shown(value, unit, units)
    text = number(round(amount) if abs(amount) >= 100 else float(f"{amount:.3g}"))
    return text if name == "count" else f"{text} {name}"


def taped(inches: float, units: str) -> tuple[float, str]:
    """A depth or width as a tape shows it: (to the quarter inch, "in") or (to 5 mm, "mm").

    >>> taped(10.1, "us"), taped(10.0, "metric")
    ((10.0, 'in'), (255.0, 'mm'))
    """
    if units == METRIC:
        return 5.0 * round(to_shown(inches, "in", units)[0] / 5.0), "mm"
    return round(4.0 * inches) / 4.0, "in"


def counted(amount: int, one: str, many: str = "") -> str:
    """How many of a thing, in its own number.

    >>> counted(1, "job"), counted(0, "job"), counted(1200, "entry", "entries")
    ('1 job', '0 jobs', '1,200 entries')
    """
    return f"{amount:,} {one if amount == 1 else many or one + 's'}"


def number(value: float) -> str:
    """A number without needless zeros, thousands parted: 7.5 -> "7.5", 1200.0 -> "1,200"."""
    text = f"{value:,.3f}" if abs(value) < 1 else f"{value:,.2f}"
    return text.rstrip("0").rstrip(".")


def as_seen(value: float, unit: str, units: str) -> tuple[float, str]:
    """`to_shown`, and degrees Fahrenheit as Celsius for a metric firm."""
    if unit == "F":
        return ((value - 32.0) / 1.8, "C") if units == METRIC else (value, "F")
    return to_shown(value, unit, units)
