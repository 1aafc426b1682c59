"""How numbers and measures are written on the sheets: rounded, with their unit, in the firm's units."""

from __future__ import annotations

import re
from collections.abc import Mapping

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
    elif name != unit:
        amount = float(f"{amount:.3g}")
    return f"{number(amount)} {name}".rstrip()


def in_figures(value: float, unit: str, units: str) -> str:
    """A quantity to three figures with its unit, as the firm sees it; a count is the bare number.

    >>> in_figures(1234.5, "ft2", "us"), in_figures(0.1234, "ton", "us"), in_figures(3.0, "count", "us")
    ('1,234 ft2', '0.123 ton', '3')
    """
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
