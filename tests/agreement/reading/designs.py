"""Designs that are kept with jobs: the file itself, check, drawing, materials."""

from __future__ import annotations

import re
import tomllib
from fractions import Fraction
from typing import Any

from tests.agreement.desk import Desk
from tests.agreement.telling import ITEM_OF, Told, amount, both_depths, flat, measured, says_parted, teller

LEVELS = ("depth below rim", "depth below water")
ASKED = ("pump", "must leave")


@teller("design file", *LEVELS, "left for the shovel")
def design_file(desk: Desk) -> Told:
    """What the contractor himself wrote, added up from the rim down: the outside check of all others."""
    for job, path in desk.designs.items():
        written = tomllib.loads(path.read_text("utf-8"))
        water, down = written.get("water_line_in", 3), 0.0
        steps = written["step"]
        for n, step in enumerate(steps, 1):
            down += step["down_in"]
            level = "floor" if n == len(steps) else f"shelf {n}"
            yield "depth below rim", f"{job} {level}", down, 0.01
            yield "depth below water", f"{job} {level}", down - water, 0.01
        for box, key, usual in (("skimmer", "skimmer", 28), ("waterfall box", "waterfall_box", 6)):
            seat = written.get(key, {}).get("dug_in", usual)
            for name, deep in ((f"{box} seat", seat), (f"{box} dig", seat + written[key].get("pad_in", 4))):
                yield "depth below rim", f"{job} {name}", deep, 0.01
                yield "depth below water", f"{job} {name}", deep - water, 0.01
        yield "left for the shovel", job, float(written.get("site", {}).get("trim_in", 2)), 0.01


@teller("drawing", *LEVELS, "parted", "quantity")
def drawing(desk: Desk) -> Told:
    """The drawing: the marks of its sections, what it asks for besides, its table of levels."""
    for job in desk.designs:
        yield from told_by_drawing(job, desk.page("design", "draw", job, option="--out", end="svg"))


def told_by_drawing(job: str, svg: str) -> Told:
    """The words in the sheets of one drawing."""
    words = flat(svg)
    yield "parted", job, says_parted(words.replace("\n", " "))
    for level, rim, water, unit in re.findall(
        r"(?m)^([a-z ]+?\d*): ([-\d.]+)\"? / ([-\d.]+)(\"| mm)$", words
    ):
        if level not in ("rim", "water line"):
            yield from _both(f"{job} {level}", float(rim), float(water), "mm" if unit == " mm" else "in")
    besides = re.search(r"Besides: (.*?)(?=\n[A-Z][a-z]+(?: [a-z]+)*: |\Z)", words, re.DOTALL)
    for told in besides[1].replace("\n", " ").split("; ") if besides else ():
        what, much = re.match(r"(.*?) ([\d.,]+(?: ft \d+ in| [\w/]+)?)$", told.strip()).groups()  # type: ignore[union-attr]
        yield "quantity", f"{job} {ITEM_OF[what]}", *measured(much)
    for level, rim, water in re.findall(
        r"(?m)^([a-z][a-z ]*?\d*)\n(0|[+-][\d /]+(?:\"| mm))\n(0|[+-][\d /]+(?:\"| mm))$", words
    ):
        if level not in ("rim", "water line"):
            unit = "mm" if "mm" in rim + water else "in"
            yield from _both(f"{job} {level}", _signed(rim), _signed(water), unit)


def _signed(cell: str) -> float:
    """A cell of the levels' table: +17 1/2" is 17.5 below."""
    whole = sum(float(Fraction(part)) for part in re.findall(r"\d+/\d+|\d+", cell))
    return -whole if cell.startswith("-") else whole


def _both(key: str, rim: float, water: float, unit: str) -> Told:
    told = ((rim, "the rim"), (water, "the water line"))
    words = (f"{abs(deep):g} {unit} {'below' if deep >= 0 else 'above'} {of}" for deep, of in told)
    yield from both_depths(key, ", ".join(words))


def _levels(job: str, rows: list[dict[str, Any]]) -> Told:
    for row in rows:
        if row["level"] not in ("rim", "water line"):
            yield from _both(f"{job} {row['level']}", row["below_rim"], row["below_water"], row["unit"])


@teller("design check", *LEVELS, *ASKED, "quantity", "truckloads", "parted")
def design_check(desk: Desk) -> Told:
    """`design check JOB` on the terminal."""
    for job in desk.designs:
        text = desk.text("design", "check", job)
        yield "parted", job, says_parted(text)
        told = re.search(r"levels: (.*)", text)
        for level in told[1].split("; ") if told else ():
            if not level.startswith("water line:"):
                yield from both_depths(f"{job} {level.partition(':')[0]}", level)
        head = re.search(r"([\d.]+ \w+) deep in \d+ steps", text)
        if head:
            yield "depth below rim", f"{job} floor", *measured(head[1])
        loads = re.search(r"(\d+) truckloads?", text)
        if loads:
            yield "truckloads", job, int(loads[1])
        if pump := re.search(r"- pump (.*?): its curve meets", text):
            yield "pump", job, pump[1]
        if storm := re.search(r": ([\d.]+) cfs \(.*?\) by C i A must leave", text):
            yield "must leave", job, *measured(storm[1])
        for much, words in re.findall(
            r"(?m)^[a-z ]*? {2,}([\d.,]+(?: ft \d+ in| [\w/]+)?)  ([a-z].*?) *$", text
        ):
            if words in ITEM_OF:
                yield "quantity", f"{job} {ITEM_OF[words]}", *measured(much)


@teller("design check --json", "quantity", "truckloads", *LEVELS, *ASKED)
def design_check_json(desk: Desk) -> Told:
    """`design check JOB --json`."""
    for job in desk.designs:
        data = desk.data("design", "check", job)
        yield "truckloads", job, data["truckloads"]
        yield from _levels(job, data["levels"])
        if data["further"]["power"]:
            yield "pump", job, data["further"]["power"]["pump"]
        if data["further"]["water"]["storm_cfs"]:
            yield "must leave", job, data["further"]["water"]["storm_cfs"]
        for line in data["lines"]:
            yield "quantity", f"{job} {line['item']}", line["quantity"], 0.006


@teller("design materials --json", "truckloads", "order amount", "pump")
def materials_json(desk: Desk) -> Told:
    """`design materials JOB --json`."""
    for job in desk.designs:
        for row in desk.data("design", "materials", job):
            if row["key"] == "haul_load":
                yield "truckloads", job, int(row["order"])
            if row["key"] == "pump" and (named := re.match(r"pump (.+?), [\d.]+ ", row["words"])):
                yield "pump", job, named[1]
            yield "order amount", f"{job} {row['words']}", f"{amount_words(row['order'])} {row['order_unit']}"


@teller("design materials", "truckloads", "parted")
def materials_text(desk: Desk) -> Told:
    """`design materials JOB` on the terminal."""
    for job in desk.designs:
        yield "parted", job, says_parted(desk.text("design", "materials", job))
        found = re.search(r"(\d+) truckloads?", desk.text("design", "materials", job))
        if found:
            yield "truckloads", job, int(found[1])


def amount_words(value: float) -> str:
    """As the lists write it."""
    return f"{amount(str(value))[0]:g}"
