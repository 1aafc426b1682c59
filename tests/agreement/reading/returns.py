"""What the office was told when a sheet came back: as JSON and on the terminal, kept by the season."""

from __future__ import annotations

import json
import re

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import told_entries, told_misses, worked_key
from tests.agreement.telling import Told, day_of, iso, teller, work

FACTS = ("day hours worked", "open misses", "share done")


@teller("return --json", *FACTS)
def return_json(desk: Desk) -> Told:
    """`return FILE --json` on the day when it was logged."""
    file = desk.folder / "returned.json"
    for back in json.loads(file.read_text("utf-8"))["data"] if file.exists() else ():
        day = iso(back["day"])
        rows = [{**row, "day": back["day"], "crew": back["crew"]} for row in back["logs"]]
        yield from told_entries((worked_key(row), row["crew_h"]) for row in rows)
        for row in rows:
            share = 1.0 if row["done"] else row["share_done"]
            yield "share done", work(row["job"], row["phase"]), 100 * share, 0.51
        when = f"{back['crew']}, {day:%a} {day:%b} {day.day}"
        missed = [(m["job"], f"{m['phase'].replace('_', ' ')}, {when}: {m['text']}") for m in back["missed"]]
        yield from told_misses({row["job"] for row in rows}, missed)


@teller("return", *FACTS)
def return_text(desk: Desk) -> Told:
    """`return FILE` on the terminal."""
    file = desk.folder / "returned.txt"
    if not file.exists():
        return
    head, *lines = file.read_text("utf-8").splitlines()
    crew, day = head.split(", ")[0], day_of(head, desk)
    when = f"{crew}, {day:%a} {day:%b} {day.day}"
    missed, jobs = [], set()
    for line in lines:
        miss = re.match(r"  ! MISSED (\S+) ([a-z ]+?): (.*)", line)
        if miss:
            missed.append((miss[1], f"{miss[2]}, {when}: {miss[3]}"))
        worked = re.match(r"  (\S+) ([a-z ]+?): ([\d.]+) h.*?(?:(\d+) % of the phase done|finished)", line)
        if worked:
            jobs.add(worked[1])
            yield from told_entries([(f"{day} {crew} {work(worked[1], worked[2])}", float(worked[3]))])
            yield "share done", work(worked[1], worked[2]), float(worked[4] or 100), 0.51
    yield from told_misses(jobs, missed)
