"""The season's line: JSON, CSV, terminal, page."""

from __future__ import annotations

import csv
import re

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import shown_plan, told_stale
from tests.agreement.telling import CENT, Told, day_of, flat, iso, teller, week_of

WEEK = ("week hours worked", "week hours to go")
BARS = ("first day", "last day", "promised", "first crew", "goes on", "risk")


@teller("season --json", *BARS, "hindered by", "locate open", "shown plan", "stale", *WEEK, "held place")
def season_json(desk: Desk) -> Told:
    """`season --json`."""
    data = desk.data("season")
    yield "shown plan", "", (data["plan"], data["published"])
    yield "stale", "", bool(data.get("stale", False))
    there = set()
    for crew, bars in data["crews"].items():
        for bar in bars:
            finish = iso(bar["finish"]) if bar.get("finish") else None
            if finish and finish >= desk.now.date():
                there.add(bar["job"])
            yield from _bar(bar["job"], crew, bar.get("first"), bar.get("finish"), bar["promised"])
            if bar["late_days"]:
                yield "risk", bar["job"], "late"
            yield "hindered by", bar["job"], bar["hindrance"]
    open_locates = {row["job"] for row in data["locates"]}
    for job in desk.jobs:
        yield "locate open", job, job in open_locates
    for job in desk.jobs:
        yield "goes on", job, job in there
    for week in data["weeks"]:
        yield "week hours worked", week["week"], week["worked_crew_h"], CENT
        yield "week hours to go", week["week"], week["to_go_crew_h"], CENT
    for hold in data["held"]:
        yield "held place", hold["job"], iso(hold["until"])


def _bar(job: str, crew: str, first: str | None, finish: str | None, promised: str | None) -> Told:
    if first and finish:
        yield "first day", job, iso(first)
        yield "last day", job, iso(finish)
        yield "first crew", job, crew
    if promised:
        yield "promised", job, iso(promised)


@teller("season --csv", *BARS)
def season_csv(desk: Desk) -> Told:
    """`season --csv`."""
    there = set()
    for row in csv.DictReader(desk.lines("season", "--csv")):
        if row["water_in"] and iso(row["water_in"]) >= desk.now.date():
            there.add(row["job"])
        yield from _bar(row["job"], row["crew"], row["first_day"], row["water_in"], row["promised"])
        if row["late_days"] not in ("", "0"):
            yield "risk", row["job"], "late"
    for job in desk.jobs:
        yield "goes on", job, job in there


@teller("season", "stale by", "shown plan", "stale", *WEEK, "first crew", "held place")
def season_text(desk: Desk) -> Told:
    """`season` on the terminal."""
    lines = desk.lines("season")
    yield "shown plan", "", shown_plan(lines[0])
    yield from told_stale("\n".join(lines))
    crew = job = ""
    names = {c for b in desk.shown["bookings"] for c in b["crews"]} | set(desk.crews)
    for line in lines:
        if line in names:
            crew = line
        bar = re.match(r"(\S+) +[.|]*S", line)
        if bar and bar[1] in desk.jobs:
            yield "first crew", bar[1], crew
        load = re.match(r"W\d\d +(\w{3} \w{3} \d+) +(\d+|-)(?: h)? +(\d+|-)(?: h)? ", line)
        if load:
            week = week_of(day_of(load[1], desk))
            for name, much in zip(WEEK, load.groups()[1:], strict=True):
                yield name, week, float(much.replace("-", "0")), 0.51
        held = re.match(r"(\S+) +[.|]*H", line)
        job = held[1] if held else job
        until = re.search(r"held until (\w{3} \w{3} \d+)", line)
        if until:
            yield "held place", job, day_of(until[1], desk)


@teller("season page", "stale by", "shown plan", "stale", "first day", "last day", "promised", *WEEK)
def season_page(desk: Desk) -> Told:
    """The season's page: its table of jobs."""
    yield from told_by_season_page(desk, desk.page("season"))


def told_by_season_page(desk: Desk, page: str) -> Told:
    """The same page, as a file or served."""
    html = re.sub(r'(?s)<table class="finished">.*?</table>', "", page)
    words = flat(html)
    yield "shown plan", "", shown_plan(words)
    yield from told_stale(words)
    for row in re.findall(r"(?s)<tr>(.*?)</tr>", html):
        cells = [flat(c).replace("\n", " ") for c in re.findall(r"(?s)<t[hd]\b[^>]*>(.*?)</t[hd]>", row)]
        if cells and re.fullmatch(r"\d{4}-W\d\d", cells[0]):
            for name, much in zip(WEEK, cells[2:4], strict=True):
                yield name, cells[0], float(much.removesuffix(" h").replace("-", "0")), CENT
        code = next((c for c in cells if c in desk.jobs), None)
        days = [day_of(c, desk) for c in cells if re.fullmatch(r"\w{3} \w{3} \d+(?:, \d{4})?", c)]
        if code and len(days) >= 2:
            yield "first day", code, days[0]
            yield "last day", code, days[1]
            if len(days) > 2:
                yield "promised", code, days[2]
