"""The office's list: JSON, terminal, CSV."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from typing import Any

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import shown_plan, told_misses, told_stale
from tests.agreement.reading.designs import amount_words
from tests.agreement.reading.locates import told_hour
from tests.agreement.telling import Told, day_of, days_in, iso, says_parted, teller

#: Keys of items of a locate that is not clear: ask, ask anew, hear the answers, ask whether it still holds.
LOCATES = ("locate:", "relocate:", "cleared:", "holds:")
#: Keys of items whose words tell when a dig is clear.
HOURS = ("locate:", "cleared:")
#: What stands beside an order that comes too late for the work.
NOT_COME = "did not come"
TOO_LATE = ("no longer left", "too late for")
FACTS = (
    "electrician by",
    "calls",
    "order late",
    "visit late",
    "order by",
    "needed by",
    "locate open",
    "locate hour",
    "locate day",
    "held place",
)


def told_items(desk: Desk, rows: Iterable[dict[str, Any]]) -> Told:
    """What all items of the list tell. Each has key, due, job, what, pressing, state ("": open)."""
    items = list(rows)
    yield from told_calls(items)
    yield from told_orders(desk, items)
    yield from told_locates(desk, items)
    late = {i["job"] for i in items if is_late(i)}
    unvisited = {i["job"] for i in items if NOT_COME in i["pressing"] and "too late for" in i["pressing"]}
    for job in desk.jobs:
        yield "order late", job, job in late
        yield "visit late", job, job in unvisited
    for item in items:
        if item["due"] and item["key"].startswith("electrician:"):
            yield "electrician by", item["job"], iso(item["due"])
        if item["due"] and item["key"].startswith("hold:"):
            yield "held place", item["job"], iso(item["due"])


def is_late(item: dict[str, Any]) -> bool:
    """Whether an item says that an order can't be there for its work."""
    return item["key"].startswith(("order:", "here:")) and any(w in item["pressing"] for w in TOO_LATE)


def told_calls(items: Iterable[dict[str, Any]]) -> Told:
    """Whom to call."""
    yield "calls", "", frozenset(i["job"] for i in items if i["key"].startswith("call:") and not i["state"])


def told_orders(desk: Desk, items: Iterable[dict[str, Any]]) -> Told:
    """By when what is ordered, and when it is needed."""
    for item in items:
        kind, job, *more = item["key"].split(":")
        if kind == "order":
            if item["due"]:
                yield "order by", f"{job} {more[0]}", iso(str(item["due"]))
            needed = re.search(r"needed by (\w{3} \w{3} \d+)", item["what"])
            assert needed, item
            yield "needed by", f"{job} {more[0]}", day_of(needed[1], desk)


def told_locates(desk: Desk, items: Iterable[dict[str, Any]]) -> Told:
    """Whose marks must be asked for, and when the dig is clear."""
    rows = [i for i in items if i["key"].startswith((*LOCATES, *HOURS))]
    asked = {i["key"].split(":")[1] for i in rows if i["key"].startswith(LOCATES) and i["state"] != "ticked"}
    for job in desk.jobs:
        yield "locate open", job, job in asked
    for item in rows:
        if item["key"].startswith(HOURS):
            yield from told_hour(desk, item["key"].split(":")[1], f"{item['what']}; {item['pressing']}")


@teller("office list --json", *FACTS, "parted", "open misses", "order amount")
def office_json(desk: Desk) -> Told:
    """`office list --all --json`."""
    items = desk.data("office", "list", "--all")
    yield from told_items(desk, items)
    missed = [i["what"].partition(" ") for i in items if i["key"].startswith("missed:") and not i["state"]]
    yield from told_misses(desk.jobs, [(job, words) for job, _, words in missed])
    for job in desk.designs:
        yield "parted", job, any(says_parted(i["what"]) and i["job"] == job for i in items)
    for item in items:
        for row in item["order"]:
            if item["job"] in desk.designs:
                much = f"{amount_words(row['amount'])} {row['unit']}"
                yield "order amount", f"{item['job']} {row['words']}", much


@teller("office list", "stale by", *FACTS, "open misses", "stale", "shown plan")
def office_text(desk: Desk) -> Told:
    """`office list --all` on the terminal."""
    lines = desk.lines("office", "list", "--all")
    yield from told_stale("\n".join(lines[:3] + lines[-3:]))
    yield "shown plan", "", shown_plan(lines[0])
    due, said, late = None, "", ""
    items = []
    for line in lines:
        if line and not line.startswith(" "):
            found = days_in(line, desk)
            due = desk.now.date() if line == "today" else found[0] if found else None
        key = re.match(r" +\[([^\]]+)\](.*)", line)
        if key:
            row = {"key": key[1], "job": key[1].split(":")[1], "what": said, "pressing": late}
            items.append({**row, "due": due.isoformat() if due else "", "state": key[2].strip()})
            late = ""
        elif line.startswith("     late:"):
            late = line
        else:
            said = line.strip(" !")
    yield from told_items(desk, items)
    missed = [i["what"].partition(" ") for i in items if i["key"].startswith("missed:") and not i["state"]]
    yield from told_misses(desk.jobs, [(job, words) for job, _, words in missed])


@teller("office export", *FACTS, "open misses")
def office_csv(desk: Desk) -> Told:
    """`office export FILE --all`."""
    file = desk.folder / "office.csv"
    desk.text("office", "export", file, "--all")
    rows = list(csv.DictReader(file.read_text("utf-8-sig").splitlines()))
    yield from told_items(desk, rows)
    missed = [i["what"].partition(" ") for i in rows if i["key"].startswith("missed:") and not i["state"]]
    yield from told_misses(desk.jobs, [(job, words) for job, _, words in missed])


@teller("office list, planned anew", "call after")
def office_ahead(desk: Desk) -> Told:
    """The list when the season is planned anew and that plan is published."""
    copy = desk.ahead
    if copy.said is None:
        return
    items = copy.desk.data("office", "list", "--all")
    for job in desk.jobs:
        yield "call after", job, any(i["key"].startswith(f"call:{job}:") and not i["state"] for i in items)
