"""The season's line: JSON, CSV, terminal, page."""

from __future__ import annotations

import csv
import re
from datetime import timedelta

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import says_stale, shown_plan
from tests.agreement.telling import CENT, Told, day_of, flat, iso, teller

BARS = ("first day", "last day", "promised", "first crew", "goes on", "risk")


@teller("season --json", *BARS, "shown plan", "stale", "week hours")
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
    for job in desk.jobs:
        yield "goes on", job, job in there
    for week in data["weeks"]:
        yield "week hours", week["week"], week["booked_crew_h"], CENT


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


@teller("season", "shown plan", "stale", "week hours", "first crew")
def season_text(desk: Desk) -> Told:
    """`season` on the terminal."""
    lines = desk.lines("season")
    yield "shown plan", "", shown_plan(lines[0])
    yield "stale", "", says_stale("\n".join(lines))
    crew = ""
    for line in lines:
        if line in desk.crews:
            crew = line
        bar = re.match(r"(\S+) +[.|]*S", line)
        if bar and bar[1] in desk.jobs:
            yield "first crew", bar[1], crew
        load = re.match(r"W(\d\d) +(\w{3} \d+ \w{3}) +(-|\d+ h) +(-|\d+ h) ", line)
        if load:
            monday = day_of(load[2], desk)
            iso_year, week, _ = (monday + timedelta(days=3)).isocalendar()
            hours = sum(0.0 if cell == "-" else float(cell.split()[0]) for cell in (load[3], load[4]))
            yield "week hours", f"{iso_year}-W{week:02}", hours, 1.01


@teller("season page", "shown plan", "stale", "first day", "last day", "promised")
def season_page(desk: Desk) -> Told:
    """The season's page: its table of jobs."""
    html = desk.page("season")
    words = flat(html)
    yield "shown plan", "", shown_plan(words)
    yield "stale", "", says_stale(words)
    for row in re.findall(r"(?s)<tr>(.*?)</tr>", html):
        cells = [flat(c).replace("\n", " ") for c in re.findall(r"(?s)<t[hd]\b[^>]*>(.*?)</t[hd]>", row)]
        code = next((c for c in cells if c in desk.jobs), None)
        days = [day_of(c, desk) for c in cells if re.fullmatch(r"\w{3} \d+ \w{3}(?: \d{4})?", c)]
        if code and len(days) >= 2:
            yield "first day", code, days[0]
            yield "last day", code, days[1]
            if len(days) > 2:
                yield "promised", code, days[2]
