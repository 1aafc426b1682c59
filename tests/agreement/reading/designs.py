"""Designs that are kept with jobs: the file itself, check, drawing, materials."""

from __future__ import annotations

import re
import tomllib

from tests.agreement.desk import Desk
from tests.agreement.telling import Told, amount, flat, teller

LEVELS = ("depth below rim", "depth below water")


@teller("design file", *LEVELS, "left for the shovel")
def design_file(desk: Desk) -> Told:
    """What the contractor himself wrote, added up from the rim down: the outside check of all others."""
    for job, path in desk.designs.items():
        written = tomllib.loads(path.read_text("utf-8"))
        water, down = written.get("water_line_in", 3), 0.0
        steps = written["step"]
        for n, step in enumerate(steps, 1):
            down += step["down_in"]
            level = "floor" if n == len(steps) else f"ledge {n}"
            yield "depth below rim", f"{job} {level}", down, 0.01
            yield "depth below water", f"{job} {level}", down - water, 0.01
        for box, key, usual in (("skimmer", "skimmer", 28), ("waterfall box", "waterfall_box", 6)):
            seat = written.get(key, {}).get("dug_in", usual)
            for name, deep in ((f"{box} seat", seat), (f"{box} dig", seat + written[key].get("pad_in", 4))):
                yield "depth below rim", f"{job} {name}", deep, 0.01
                yield "depth below water", f"{job} {name}", deep - water, 0.01
        yield "left for the shovel", job, float(written.get("site", {}).get("trim_in", 2)), 0.01


@teller("drawing", *LEVELS)
def drawing(desk: Desk) -> Told:
    """The drawing: the marks of its section, and its table of steps."""
    for job in desk.designs:
        words = flat(desk.page("design", "draw", job, option="--out", end="svg"))
        water = re.search(r"(?m)^water -([\d.]+)", words)
        assert water
        for step, deep in re.findall(r"(?m)^(step \d+|floor) -([\d.]+)", words):
            level = step.replace("step", "ledge")
            yield "depth below rim", f"{job} {level}", float(deep), 0.01
            yield "depth below water", f"{job} {level}", float(deep) - float(water[1]), 0.01


@teller("design check", "depth below rim", "depth below water", "quantity", "truckloads")
def design_check(desk: Desk) -> Told:
    """`design check JOB` on the terminal."""
    for job in desk.designs:
        text = desk.text("design", "check", job)
        head = re.search(r"([\d.]+) in deep in \d+ steps; water ([\d.]+) in below the rim", text)
        if head:
            yield "depth below rim", f"{job} floor", float(head[1]), 0.01
            yield "depth below water", f"{job} floor", float(head[1]) - float(head[2]), 0.01
        loads = re.search(r"(\d+) truckloads?", text)
        if loads:
            yield "truckloads", job, int(loads[1])


@teller("design check, json", "quantity", "truckloads")
def design_check_json(desk: Desk) -> Told:
    """`design check JOB --json`."""
    for job in desk.designs:
        data = desk.data("design", "check", job)
        yield "truckloads", job, data["truckloads"]
        for line in data["lines"]:
            yield "quantity", f"{job} {line['item']}", line["quantity"], 0.006


@teller("design materials, json", "truckloads", "order amount", "order by")
def materials_json(desk: Desk) -> Told:
    """`design materials JOB --json`."""
    for job in desk.designs:
        for row in desk.data("design", "materials", job):
            if row["key"] == "haul_load":
                yield "truckloads", job, int(row["order"])
            yield "order amount", f"{job} {row['words']}", f"{amount_words(row['order'])} {row['order_unit']}"


@teller("design materials", "truckloads")
def materials_text(desk: Desk) -> Told:
    """`design materials JOB` on the terminal."""
    for job in desk.designs:
        found = re.search(r"(\d+) truckloads?", desk.text("design", "materials", job))
        if found:
            yield "truckloads", job, int(found[1])


def amount_words(value: float) -> str:
    """As the lists write it."""
    return f"{amount(str(value))[0]:g}"
