"""Utility locates: when a dig is clear, by every screen that says so; and by the ticket itself."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import Any

from tests.agreement.desk import Desk
from tests.agreement.telling import Told, clock, day_of, flat, iso, teller

#: States of a locate whose hour is told by some screens only, or is that of a request not made yet.
SILENT = ("asked for an earlier dig", "runs out before the digging ends", "life not stated")
FACTS = ("locate hour", "locate day")
_HOUR = re.compile(r"clears? (?:from )?(\w{3} \w{3} \d+) (\d+:\d\d)")
_LINE = re.compile(r"^[! ]*(\S+) .*?, dig (\w{3} \w{3} \d+) (\d+:\d\d): (.*)$")


def told_hour(desk: Desk, job: str, words: str) -> Told:
    """The hour in "asked Mon Apr 5 clears Wed Apr 7 23:59", and the first shift that it lets dig."""
    found = _HOUR.search(words)
    if found:
        hour = datetime.combine(day_of(found[1], desk), clock(found[2]))
        yield "locate hour", job, hour.isoformat(timespec="minutes")
        yield "locate day", job, first_shift(hour)


def first_shift(hour: datetime) -> date:
    """The first day whose shift, from 7:00 on, begins at or after the hour."""
    return hour.date() + timedelta(days=hour.time() > time(7))


def told_by_rows(desk: Desk, rows: Iterable[dict[str, Any] | None]) -> Told:
    """The locates of a JSON answer: the hour as a value, and in its words."""
    for row in rows:
        if row is None or row["state"] in SILENT:
            continue
        if row["clear"]:
            hour = datetime.fromisoformat(row["clear"])
            yield "locate hour", row["job"], hour.isoformat(timespec="minutes")
            yield "locate day", row["job"], first_shift(hour)
        yield from told_hour(desk, row["job"], row["words"])


def told_by_lines(desk: Desk, lines: Iterable[str]) -> Told:
    """The lines of "Utility locates that are not clear"."""
    for line in lines:
        found = _LINE.match(line)
        if found and found[1] in desk.jobs:
            yield from told_hour(desk, found[1], found[4])


def told_by_gates(desk: Desk, lines: Iterable[str]) -> Told:
    """Days on which a dig may begin: "waits for utility locate (...) until Thu Apr 8", "may begin on"."""
    for line in lines:
        waits = re.search(
            r"(\S+)(?: .*)?: dig .*?waits for utility locate \(.*?\) until (\w{3} \w{3} \d+)", line
        )
        begins = re.search(r"(\S+) dig may begin on (\w{3} \w{3} \d+): utility locate", line)
        for found in filter(None, (waits, begins)):
            if found[1] in desk.jobs:
                yield "locate day", found[1], day_of(found[2], desk)


@teller("the ticket", *FACTS)
def ticket(desk: Desk) -> Told:
    """What the office wrote on the ticket. Ohio Revised Code 3781.28 as amended by House Bill 227 (136th
    General Assembly, in force 9 June 2026): two whole working days, the day of the notice not counted. The
    seasons that ask for marks ask on Monday 5 April 2027; no public holiday falls into that week."""
    for job, asked in desk.asked.items():
        days = [asked.date() + timedelta(days=n) for n in range(1, 8)]
        second = [day for day in days if day.weekday() < 5][1]
        yield "locate hour", job, f"{second}T23:59"
        yield "locate day", job, second + timedelta(days=1)


@teller("office locate", *FACTS)
def office_locate(desk: Desk) -> Told:
    """`office locate --asked MOMENT`, on the terminal and as JSON."""
    for job, asked in desk.asked.items():
        words = ("office", "locate", "--asked", asked.isoformat(timespec="minutes"))
        yield from told_hour(desk, job, desk.text(*words))
        hour = datetime.fromisoformat(desk.data(*words)["clears"])
        yield "locate hour", job, hour.isoformat(timespec="minutes")


@teller("board: locates", *FACTS)
def board(desk: Desk) -> Told:
    """All weeks of the board: terminal and page."""
    for monday in desk.weeks:
        lines = desk.lines("board", "--week", monday)
        yield from told_by_lines(desk, lines)
        yield from told_by_gates(desk, lines)
        yield from told_by_lines(desk, flat(desk.page("board", "--week", monday)).splitlines())


@teller("board --json: locates", *FACTS)
def board_json(desk: Desk) -> Told:
    """All weeks of the board as JSON."""
    for monday in desk.weeks:
        yield from told_by_rows(desk, desk.data("board", "--week", monday)["locates"])


@teller("today: locates", *FACTS)
def today(desk: Desk) -> Told:
    """The morning, on the terminal and as JSON."""
    yield from told_by_lines(desk, desk.lines("today"))
    yield from told_by_rows(desk, desk.data("today")["locates"])


@teller("season: locates", *FACTS)
def season(desk: Desk) -> Told:
    """The season: terminal, page, JSON."""
    yield from told_by_lines(desk, desk.lines("season"))
    yield from told_by_lines(desk, flat(desk.page("season")).splitlines())
    yield from told_by_rows(desk, desk.data("season")["locates"])


@teller("plan show: locates", *FACTS)
def plan(desk: Desk) -> Told:
    """The plan that counts, on the terminal and as JSON."""
    yield from told_by_lines(desk, desk.lines("plan", "show"))
    yield from told_by_rows(desk, desk.data("plan", "show")["locates"])


@teller("plan why: locates", "locate day")
def why(desk: Desk) -> Told:
    """Why each job begins when it does. A stale plan is refused."""
    if not desk.refusal("plan", "why"):
        yield from told_by_gates(desk, desk.lines("plan", "why"))


@teller("sheets: locates", *FACTS)
def sheets(desk: Desk) -> Told:
    """Every sheet of this week and the next."""
    for crew in desk.crews:
        for monday in [m for m in desk.weeks if (m - desk.now.date()).days > -7][:2]:
            for sheet in desk.data("sheet", crew, monday, "--week"):
                for task in sheet["tasks"]:
                    if task["phase"] in ("dig", "set_filters"):
                        yield from told_hour(desk, task["job"], task["locate"])


@teller("job show: locates", *FACTS)
def job_show(desk: Desk) -> Told:
    """The job's own page: its gate, and how its locate stands; on the terminal and as JSON."""
    for job in desk.open_jobs:
        lines = desk.lines("job", "show", job)
        yield from told_by_lines(desk, lines)
        data = desk.data("job", "show", job)
        yield from told_by_rows(desk, [data["locate"]])
        silent = data["locate"] is None or data["locate"]["state"] in SILENT
        gates = [line for line in lines if line.startswith("gate  utility locate")]
        for line in [] if silent else gates:
            opens = re.search(r"dig not before (\w{3} \w{3} \d+, \d{4})", line)
            assert opens, line
            yield "locate day", job, day_of(opens[1], desk)
        for gate in [] if silent else data["gates"]:
            if gate["kind"] == "utility locate":
                yield "locate day", job, iso(gate["opens"])
