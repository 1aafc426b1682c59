"""Logged hours: list as JSON and on the terminal."""

from __future__ import annotations

import re
from collections import defaultdict

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import miss_words, misses_in, told_entries, told_misses, worked_key
from tests.agreement.telling import CENT, Told, day_of, iso, teller, week_of, work

FACTS = ("worked hours", "open misses", "week hours worked", "share done")


@teller("log list --json", "day hours worked", *FACTS)
def log_json(desk: Desk) -> Told:
    """`log list --json`."""
    data = desk.data("log", "list")
    yield from told_entries((worked_key(row), row["crew_h"]) for row in data)
    total: dict[str, float] = defaultdict(float)
    missed: list[tuple[str, str]] = []
    weeks: dict[str, float] = defaultdict(float)
    shares: dict[str, float] = {}
    for row in data:
        total[row["job"]] += row["crew_h"]
        weeks[week_of(iso(row["day"]))] += row["crew_h"]
        missed += [miss_words(desk, m) for m in row["missed"] if not m["settled"]]
        if row["done"] or row["share_done"] is not None:
            shares[work(row["job"], row["phase"])] = 100.0 if row["done"] else 100 * row["share_done"]
    for key, share in shares.items():
        yield "share done", key, share, 0.51
    for job in desk.jobs:
        yield "worked hours", job, total[job], CENT
    for week, hours in weeks.items():
        yield "week hours worked", week, hours, CENT
    yield from told_misses(desk.jobs, missed)


@teller("log list", *FACTS)
def log_text(desk: Desk) -> Told:
    """`log list` on the terminal."""
    yield from told_by_log_page(desk, desk.text("log", "list"))


def told_by_log_page(desk: Desk, text: str) -> Told:
    """The entries as a page, all of them or the last weeks'."""
    total: dict[str, float] = defaultdict(float)
    weeks: dict[str, float] = defaultdict(float)
    yield from told_misses(desk.jobs, misses_in(text.partition("Settle one")[0]))
    shares: dict[str, float] = {}
    for line in text.splitlines():
        found = re.match(r" *\d+  (\S+) ([a-z ]+), .+?: ([\d.]+) h(?:, (\d+) % done|(, done))?", line)
        if found:
            total[found[1]] += float(found[3])
            weeks[week_of(day_of(line, desk))] += float(found[3])
            if found[4] or found[5]:
                shares[work(found[1], found[2])] = float(found[4] or 100)
    for key, share in shares.items():
        yield "share done", key, share, 0.51
    for job in desk.jobs:
        yield "worked hours", job, total[job], CENT
    for week, hours in weeks.items():
        yield "week hours worked", week, hours, CENT
