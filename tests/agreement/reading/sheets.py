"""Day sheets: JSON, terminal, page; each crew, the first weeks from today."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import miss_words, misses_in, says_stale, shown_plan, told_misses
from tests.agreement.telling import (
    CENT,
    ITEM_OF,
    Told,
    both_depths,
    clock,
    day_of,
    flat,
    iso,
    measured,
    says_parted,
    teller,
    work,
)

#: So many weeks of sheets are read, from this week on.
WEEKS = 2


def sheet_weeks(desk: Desk) -> Iterator[tuple[str, Any]]:
    """Each crew with each of the weeks that are read."""
    ahead = [monday for monday in desk.weeks if (monday - desk.now.date()).days > -7][:WEEKS]
    for crew in desk.crews:
        for monday in ahead:
            yield crew, monday


LEVELS = ("depth below rim", "depth below water", "left for the shovel")


@teller(
    "sheet --json",
    *("stint hours", "stint start", "stint end", "stint machines", "day hours", "shown plan", "stale"),
    *("towed by", "quantity", "locate open", "parted", "open misses", "hindered by", "gap", *LEVELS),
)
def sheet_json(desk: Desk) -> Told:
    """Each day of `sheet CREW --week --json`."""
    for crew, monday in sheet_weeks(desk):
        for sheet in desk.data("sheet", crew, monday, "--week"):
            day = iso(sheet["day"])
            if day < desk.now.date():
                continue
            yield "shown plan", "", (sheet["plan"], sheet["published"])
            yield "stale", "", bool(sheet.get("stale", False))
            sites = {task["job"] for task in sheet["tasks"]}
            yield from told_misses(sites, [miss_words(desk, m) for m in sheet["missed_open"]])
            if sheet["tasks"]:
                yield "day hours", f"{day} {crew}", sheet["crew_h"], CENT
            for task in sheet["tasks"]:
                yield from _task(desk, f"{day} {crew}", task)


def _task(desk: Desk, when: str, task: dict[str, Any]) -> Told:
    key = f"{when} {work(task['job'], task['phase'], task['part'])}"
    yield "stint hours", key, task["crew_h"], CENT
    stops = (re.match(r"Cannot go as planned: (.*)\. Ask the office\.", line) for line in task["open_gates"])
    yield "hindered by", key, next((found[1] for found in stops if found), "")
    if task["pause"]:
        yield "gap", key, task["pause"].removesuffix(": ask the office")
    yield "stint start", key, clock(task["start"])
    yield "stint end", key, clock(task["end"])
    yield "stint machines", key, frozenset(m.partition(":")[0] for m in task["machines"])
    yield "towed by", key, frozenset(task["towed"])
    if task["phase"] == "dig" and task["part"] == 1:
        yield "locate open", task["job"], "locate" in task["locate"]
    if task["job"] in desk.designs:
        yield "parted", task["job"], any(map(says_parted, task["open_gates"]))
    for row in task["quantities"]:
        if row["what"] in ITEM_OF:
            yield "quantity", f"{task['job']} {ITEM_OF[row['what']]}", *rounded(row["amount"])
    for line in task["steps"]:
        yield from levels_in(task["job"], line["text"])


_LEVELS = (
    (r"(?:Shelf|Step) (\d+) of \d+: cut to (.*?), wall plumb", "shelf {}"),
    (r"(Floor): dig to (.*?), falling", "floor"),
    (r"(Skimmer): .* box then stands (.*?)\.", "skimmer seat"),
    (r"(Skimmer): dig to (.*?);", "skimmer dig"),
    (r"(Waterfall box): .* it then stands (.*?)\.", "waterfall box seat"),
    (r"(Waterfall box): dig to (.*?);", "waterfall box dig"),
)


def levels_in(job: str, text: str) -> Told:
    """Depths that a step of the sheet tells."""
    for pattern, name in _LEVELS:
        found = re.match(pattern, text)
        if found:
            yield from both_depths(f"{job} {name.format(found[1])}", found[2])
    trim = re.search(r"[Ss]top the machine ([\d.]+ \w+) (?:short of|above) ", text)
    if trim:
        yield "left for the shovel", job, *measured(trim[1])


def rounded(much: str) -> tuple[float, float]:
    """A quantity as the sheet rounds it."""
    return measured(much)


_TITLE = re.compile(
    r"^(?:\d+\. )?(?P<start>\d+:\d\d) to (?P<end>\d+:\d\d) +(?P<job>\S+) (?P<phase>[a-z ]+?)"
    r"(?:, (?P<part>startup))?(?: · | {2,})(?P<h>[\d.]+)(?: of [\d.]+)? h"
)
TITLED = (
    "parted",
    "open misses",
    "stint hours",
    "stint start",
    "stint end",
    "day hours",
    "shown plan",
    "stale",
)


@teller("sheet", *TITLED, "locate open", "quantity", *LEVELS)
def sheet_text(desk: Desk) -> Told:
    """Each day of `sheet CREW --week` on the terminal."""
    for crew, monday in sheet_weeks(desk):
        yield from _days(desk, crew, desk.text("sheet", crew, monday, "--week"))


@teller("sheet page", *TITLED, "locate open", "quantity", *LEVELS)
def sheet_page(desk: Desk) -> Told:
    """Each day of the page for phone and paper."""
    for crew, monday in sheet_weeks(desk):
        html = desk.page("sheet", crew, monday, "--week")
        body = re.sub(r"(?s)<nav.*?</nav>", "", html)
        yield from _days(desk, crew, flat(body))


def _days(desk: Desk, crew: str, text: str) -> Told:
    """The sheets of one text, each from its head "Red: Tue Apr 6, 2027" on."""
    heads = list(re.finditer(rf"(?m)^{re.escape(crew)}(?:: | · )(\w{{3}} \w{{3}} \d+, \d{{4}})$", text))
    ends = [h.start() for h in heads[1:]] + [len(text)]
    for head, end in zip(heads, ends, strict=True):
        day, words = day_of(head[1], desk), text[head.end() : end]
        if day >= desk.now.date():
            yield from _day(desk, f"{day} {crew}", words)


def _day(desk: Desk, when: str, words: str) -> Told:
    yield "shown plan", "", shown_plan(words)
    yield "stale", "", says_stale(words.partition("Next: ")[0])
    planned = re.search(r"([\d.,]+) h planned", words)
    job, digs, sites = "", {}, set()
    for line in map(str.strip, words.splitlines()):
        title = _TITLE.match(line)
        if title:
            job, phase, part = title["job"], title["phase"].strip(), title["part"] or "1"
            key = f"{when} {work(job, phase, part)}"
            sites.add(job)
            yield "stint hours", key, float(title["h"]), CENT
            yield "stint start", key, clock(title["start"])
            yield "stint end", key, clock(title["end"])
            if phase == "dig" and part == "1":
                digs[job] = False
        elif job in digs and line.startswith(("! ", "Careful: ")) and "locate" in line:
            digs[job] = True
        elif line.startswith("whole phase: "):
            for what, much in re.findall(r"([a-z][a-z0-9 ,-]*?) ([\d.,]+(?: [\w/]+)?)(?:;|$)", line[13:]):
                if what.strip() in ITEM_OF:
                    yield "quantity", f"{job} {ITEM_OF[what.strip()]}", *rounded(much)
        elif job:
            yield from levels_in(job, re.sub(r"^(\[ \] )?(HOLD )?", "", line))
    yield from told_misses(sites, misses_in(words))
    for code in sites & set(desk.designs):
        yield "parted", code, any(says_parted(x) and f"{code}: " in x for x in words.splitlines())
    for code, open_ in digs.items():
        yield "locate open", code, open_
    if planned and job:
        yield "day hours", when, float(planned[1]), CENT
