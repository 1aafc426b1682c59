"""The list of tellers: one small reader for each output, and which facts it tells.

    @teller("board --json", "stint hours", "day hours")
    def board_json(desk): yield "stint hours", "2027-04-05 Red L02 dig", 2.5

A reader yields (name, key, value), or a fourth: by how much the value may be off for being told rounded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from html import unescape
from typing import Any

from planner.domain.firm.jobs import ITEMS
from tests.agreement.desk import Desk
from tests.agreement.facts import KINDS, Fact

Told = Iterator[tuple[Any, ...]]

#: How far an amount may be off that was told to two digits after the point, like hours.
CENT = 0.006

_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
_DAY = re.compile(r"(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) (" + "|".join(_MONTHS) + r") (\d{1,2})(?:, (\d{4}))?")


@dataclass(frozen=True, slots=True)
class Teller:
    """One output: its name, the facts that it tells, and the reader."""

    name: str
    tells: frozenset[str]
    read: Callable[[Desk], Told]


TELLERS: dict[str, Teller] = {}


def teller(name: str, *tells: str) -> Callable[[Callable[[Desk], Told]], Callable[[Desk], Told]]:
    """Enter a reader into the list."""
    assert not set(tells) - set(KINDS), set(tells) - set(KINDS)

    def enter(read: Callable[[Desk], Told]) -> Callable[[Desk], Told]:
        assert name not in TELLERS, name
        TELLERS[name] = Teller(name, frozenset(tells), read)
        return read

    return enter


def every_reader() -> list[Teller]:
    """All tellers; their modules enter them into the list when they are imported."""
    import tests.agreement.reading as readers

    assert readers.__all__
    return list(TELLERS.values())


def all_facts(desk: Desk) -> list[Fact]:
    """What every output of one season tells."""
    found = []
    for each in every_reader():
        for name, key, value, *within in each.read(desk):
            assert name in each.tells, f"{each.name} tells {name!r}: add it to its list"
            found.append(Fact(name, key, value, each.name, *within))
    return found


def day_of(text: str, desk: Desk) -> date:
    """The date in "Tue Apr 6" or "Tue Apr 6, 2027"; the desk's year when it says none."""
    found = _DAY.search(text)
    assert found, text
    return date(int(found[3] or desk.now.year), _MONTHS.index(found[1]) + 1, int(found[2]))


def days_in(text: str, desk: Desk) -> list[date]:
    """All dates in a text, in order."""
    return [day_of(found[0], desk) for found in _DAY.finditer(text)]


def iso(text: str) -> date:
    """The day of an ISO date or moment, or of a spreadsheet's "4/6/2027"."""
    if "/" in text:
        month, day, year = text.split(" ", maxsplit=1)[0].split("/")
        return date(int(year), int(month), int(day))
    return date.fromisoformat(text[:10])


def week_of(day: date) -> str:
    """The ISO 8601 week of a day: "2027-W15"."""
    year, week, _ = day.isocalendar()
    return f"{year}-W{week:02}"


def clock(text: str) -> time:
    """The time in "9:30", "2027-04-06T09:30" or "4/6/2027 9:30"."""
    text = text.rpartition(" ")[2]
    if "T" in text:
        return datetime.fromisoformat(text).time()
    hour, minute = text.split(":")
    return time(int(hour), int(minute))


def amount(text: str) -> tuple[float, float]:
    """A printed number and half of its last digit: "5.37" -> (5.37, 0.005), "1,200" -> (1200, 0.5)."""
    bare = text.replace(",", "")
    digits = len(bare.partition(".")[2])
    return float(bare), 0.5 * 10.0**-digits * 1.01


#: A quantity's words on the pages -> its item.
ITEM_OF = {item.words: key for key, item in ITEMS.items()}
#: What one shown unit is in the firm's US units, from the exact meters, kilograms and litres of a yard, a
#: pound and a gallon (NIST Special Publication 811, 2008, appendix B.8, from memory).
_US = {
    "mm": ("in", 1 / 25.4),
    "m": ("ft", 1 / 0.3048),
    "m2": ("ft2", 1 / 0.09290304),
    "m3": ("cy", 1 / 0.764554858),
    "t": ("ton", 1 / 0.90718474),
    "g": ("oz", 1 / 28.349523125),
    "kg": ("lb", 1 / 0.45359237),
    "l": ("gal", 1 / 3.785411784),
    "L": ("gal", 1 / 3.785411784),
    "l/min": ("gpm", 1 / 3.785411784),
    "L/min": ("gpm", 1 / 3.785411784),
}
#: A metric firm reads depths from 50 mm in steps of 5 mm, other amounts with three digits.
_STEP_MM = 2.6
#: A depth below the water line is the difference of two such readings.
_TWO_STEPS = 2.0


def measured(text: str) -> tuple[float, float]:
    """An amount with its unit, in US units, and by how much it may be off: "610 mm" -> (24.02, 0.1)."""
    if tape := re.fullmatch(r"(\d[\d,]*) ft (\d+) in", text.strip()):
        return float(tape[1].replace(",", "")) + int(tape[2]) / 12.0, 0.5 / 12.0 + 0.006
    number, _, unit = text.strip().partition(" ")
    value, within = amount(number)
    if unit not in _US:
        return value, within
    rate = _US[unit][1]
    return value * rate, (_STEP_MM if unit == "mm" else max(within, 0.006 * value)) * rate


def flat(html: str) -> str:
    """The words of an HTML page, one line a block."""
    body = re.sub(r"(?s)<(style|script)\b.*?</\1>", "", html)
    blocks = re.sub(r"</?(p|div|li|ul|h\d|tr|td|th|section|header|main|br|text)\b[^>]*>", "\n", body)
    text = unescape(re.sub(r"<[^>]+>", " ", blocks)).replace("\u00a0", " ")
    return "\n".join(line for raw in text.splitlines() if (line := " ".join(raw.split())))


def says_parted(text: str) -> bool:
    """Whether a page says that a job and the design kept with it differ."""
    return "its kept design differ" in text


def work(job: str, phase: str, part: int | str = 1) -> str:
    """The words of a piece of work: "L02 fill, startup", whatever way the phase and its part are written."""
    words = phase.replace("_", " ").strip()
    return f"{job} {words}" + (", startup" if str(part) != "1" else "")


_BELOW = r"((?:\d+ )?[\d./]+ (?:in|mm)) (below|above) the (rim|water line)"


def both_depths(key: str, words: str) -> Told:
    """A level as every screen says it: "10 in below the rim, 7 in below the water line"."""
    for much, side, of in re.findall(_BELOW, words):
        value, within = measured(much)
        slack = within * (_TWO_STEPS if of == "water line" else 1.0)
        yield f"depth below {of.split()[0]}", key, value if side == "below" else -value, slack
    for of in re.findall(r"at the (rim|water line)", words):
        yield f"depth below {of.split()[0]}", key, 0.0, 0.01
