"""What stands around the crews' work: people from outside, told by board, morning, list, sheet, calendar."""

from __future__ import annotations

import re

from planner.domain.firm.jobs import TRADES
from tests.agreement.desk import Desk
from tests.agreement.telling import Told, day_of, flat, iso, teller

WHO = "|".join(kind.value for kind in TRADES)
_LINE = re.compile(
    rf"(?P<day>\w{{3}} \w{{3}} \d+)(?:, (?:morning|afternoon))?: (?P<who>{WHO}) at (?P<job>[\w-]+)"
    r"(?P<rest>[^\n]*)"
)


def told_lines(desk: Desk, text: str) -> Told:
    """Lines like "Tue Apr 13, morning: crane at P-014, rock Tue Apr 13: misfit"."""
    for found in _LINE.finditer(text):
        key = f"{found['job']} {found['who']}"
        yield "comes", key, day_of(found["day"], desk)
        yield "comes in vain", key, ":" in found["rest"]


@teller("board --json, around", "comes", "comes in vain")
def board_json(desk: Desk) -> Told:
    """Who comes in each week."""
    for monday in desk.weeks:
        for row in desk.data("board", "--week", monday)["from_outside"]:
            yield "comes", f"{row['job']} {row['who']}", iso(row["day"])
            yield "comes in vain", f"{row['job']} {row['who']}", bool(row["misfit"])


@teller("board, around", "comes", "comes in vain")
def board_text(desk: Desk) -> Told:
    """The same on the terminal."""
    for monday in desk.weeks:
        yield from told_lines(desk, desk.text("board", "--week", monday))


@teller("board page, around", "comes", "comes in vain")
def board_page(desk: Desk) -> Told:
    """The same on the page."""
    for monday in desk.weeks:
        yield from told_lines(desk, flat(desk.page("board", "--week", monday)))


@teller("web: week, around", "comes", "comes in vain")
def web_week(desk: Desk) -> Told:
    """The same in the browser."""
    for monday in desk.weeks:
        yield from told_lines(desk, flat(desk.web(f"/week?day={monday}")))


@teller("today, around", "comes", "comes in vain")
def today(desk: Desk) -> Told:
    """The morning on the terminal and in the browser."""
    yield from told_lines(desk, desk.text("today"))
    yield from told_lines(desk, flat(desk.web("/")))
    for row in desk.data("today")["from_outside"]:
        yield "comes", f"{row['job']} {row['who']}", iso(row["day"])


@teller("job show, around", "comes")
def job_show(desk: Desk) -> Told:
    """The gates of each job."""
    for code in desk.jobs:
        text = re.sub(r"\s+", " ", desk.text("job", "show", code))
        for who, day in re.findall(rf"gate ({WHO}) \(comes (\w{{3}} \w{{3}} \d+)", text):
            yield "comes", f"{code} {who}", day_of(day, desk)


@teller("office list, around", "comes", "comes in vain")
def office(desk: Desk) -> Told:
    """The dated appointments of the list."""
    for item in desk.data("office", "list", "--all"):
        who, _, rest = item["key"].partition(":")
        who = who.replace("-", " ")
        if re.fullmatch(WHO, who) and ":" in rest and not item["state"]:
            yield "comes", f"{item['job']} {who}", iso(item["due"])
            yield "comes in vain", f"{item['job']} {who}", bool(item["pressing"])


@teller("sheet, around", "comes")
def sheet(desk: Desk) -> Told:
    """Who arrives on a day's sites."""
    for crew in desk.crews:
        for monday in desk.weeks:
            sheets = desk.data("sheet", crew, monday, "--week")
            for one in sheets if isinstance(sheets, list) else [sheets]:
                for line in one["arrives"]:
                    found = re.match(rf"([\w-]+): ({WHO})\b", line)
                    if found:
                        yield "comes", f"{found[1]} {found[2]}", iso(one["day"])


@teller("calendar, around", "comes")
def calendar(desk: Desk) -> Told:
    """The firm's calendar."""
    for event in desk.data("calendar"):
        found = re.fullmatch(rf"([\w-]+) ({WHO}) comes", event["title"])
        if found and event["status"] != "CANCELLED":
            yield "comes", f"{found[1]} {found[2]}", iso(event["start"])
