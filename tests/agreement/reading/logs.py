"""Logged hours: list as JSON and on the terminal."""

from __future__ import annotations

import re
from collections import defaultdict

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import miss_words, misses_in, told_entries, told_misses, worked_key
from tests.agreement.telling import CENT, Told, day_of, iso, teller, week_of


@teller("log list --json", "day hours worked", "worked hours", "open misses", "week hours worked")
def log_json(desk: Desk) -> Told:
    """`log list --json`."""
    data = desk.data("log", "list")
    yield from told_entries((worked_key(row), row["crew_h"]) for row in data)
    total: dict[str, float] = defaultdict(float)
    missed: list[tuple[str, str]] = []
    weeks: dict[str, float] = defaultdict(float)
    for row in data if isinstance(data, list) else data["logs"]:
        total[row["job"]] += row["crew_h"]
        weeks[week_of(iso(row["day"]))] += row["crew_h"]
        missed += [miss_words(desk, m) for m in row["missed"] if not m["settled"]]
    for job in desk.jobs:
        yield "worked hours", job, total[job], CENT
    for week, hours in weeks.items():
        yield "week hours worked", week, hours, CENT
    yield from told_misses(desk.jobs, missed)


@teller("log list", "worked hours", "open misses", "week hours worked")
def log_text(desk: Desk) -> Told:
    """`log list` on the terminal."""
    total: dict[str, float] = defaultdict(float)
    weeks: dict[str, float] = defaultdict(float)
    yield from told_misses(desk.jobs, misses_in(desk.text("log", "list").partition("Settle one")[0]))
    for line in desk.lines("log", "list"):
        found = re.match(r" *\d+  (\S+) [a-z ]+, .+?: ([\d.]+) h", line)
        if found:
            total[found[1]] += float(found[2])
            weeks[week_of(day_of(line, desk))] += float(found[2])
    for job in desk.jobs:
        yield "worked hours", job, total[job], CENT
    for week, hours in weeks.items():
        yield "week hours worked", week, hours, CENT
