"""The office's list: JSON and terminal."""

from __future__ import annotations

import re

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import says_stale, told_misses
from tests.agreement.reading.designs import amount_words
from tests.agreement.telling import Told, days_in, iso, says_parted, teller

#: Keys of items that ask for marks on the ground: for the first time, and anew.
LOCATES = ("locate:", "relocate:")
FACTS = (
    "electrician by",
    "parted",
    "held place",
    "open misses",
    "order by",
    "locate open",
    "order late",
    "calls",
)
#: What stands beside an order that comes too late for the work.
TOO_LATE = ("no longer left", "too late for")


def is_late(key: str, pressing: str) -> bool:
    """Whether an item says that an order can't be there for its work."""
    return key.startswith(("order:", "here:")) and any(words in pressing for words in TOO_LATE)


@teller("office list --json", *FACTS, "order amount")
def office_json(desk: Desk) -> Told:
    """`office list --all --json`."""
    data = desk.data("office", "list", "--all")
    items = data if isinstance(data, list) else data["items"]
    if isinstance(data, dict) and "stale" in data:
        yield "stale", "", bool(data["stale"])
    asked = {i["job"] for i in items if i["key"].startswith(LOCATES) and i["state"] != "ticked"}
    late = {i["job"] for i in items if is_late(i["key"], i["pressing"])}
    for job in desk.jobs:
        yield "locate open", job, job in asked
        yield "order late", job, job in late
    yield "calls", "", frozenset(i["job"] for i in items if i["key"].startswith("call:"))
    missed = [i["what"].partition(" ") for i in items if i["key"].startswith("missed:") and not i["state"]]
    yield from told_misses(desk.jobs, [(job, words) for job, _, words in missed])
    for job in desk.designs:
        yield "parted", job, any(says_parted(i["what"]) and i["job"] == job for i in items)
    for item in items:
        if item["key"].startswith("electrician:"):
            yield "electrician by", item["job"], iso(item["due"])
        if item["key"].startswith("hold:"):
            yield "held place", item["job"], iso(item["due"])
        if item["kind"] == "order":
            material = item["key"].split(":")[2]
            yield "order by", f"{item['job']} {material}", iso(item["due"])
            for row in item["order"]:
                if item["job"] in desk.designs:
                    much = f"{amount_words(row['amount'])} {row['unit']}"
                    yield "order amount", f"{item['job']} {row['words']}", much


@teller(
    "office list", "electrician by", "open misses", "order by", "locate open", "order late", "calls", "stale"
)
def office_text(desk: Desk) -> Told:
    """`office list --all` on the terminal."""
    lines = desk.lines("office", "list", "--all")
    yield "stale", "", says_stale("\n".join(lines[:3] + lines[-3:]))
    due, calls, locates, late = None, set(), set(), set()
    missed, said, pressing = [], "", ""
    for line in lines:
        if line and not line.startswith(" "):
            found = days_in(line, desk)
            due = desk.now.date() if line == "today" else found[0] if found else None
        key = re.match(r" +\[([^\]]+)\](.*)", line)
        if not key:
            pressing = line if line.startswith("     late:") else ""
            said = said if pressing else line
            continue
        kind, job, *more = key[1].split(":")
        if is_late(key[1], pressing):
            late.add(job)
        if kind == "order" and due:
            yield "order by", f"{job} {more[0]}", due
        if kind == "electrician" and due:
            yield "electrician by", job, due
        if kind == "missed" and not key[2].strip():
            code, _, words = said.strip(" !").partition(" ")
            missed.append((code, words))
        if kind == "call":
            calls.add(job)
        if f"{kind}:" in LOCATES and "ticked" not in key[2]:
            locates.add(job)
    yield "calls", "", frozenset(calls)
    yield from told_misses(desk.jobs, missed)
    for job in desk.jobs:
        yield "locate open", job, job in locates
        yield "order late", job, job in late
