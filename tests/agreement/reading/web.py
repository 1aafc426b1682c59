"""The pages of `planner open`: the same facts as on the terminal, in the office's browser."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from html import unescape
from typing import Any

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import (
    misses_in,
    risk_line,
    shown_plan,
    told_entries,
    told_misses,
    told_parted,
    told_stale,
)
from tests.agreement.reading.designs import told_by_drawing
from tests.agreement.reading.estimates import told_by_estimate
from tests.agreement.reading.locates import told_by_lines
from tests.agreement.reading.office import told_items
from tests.agreement.reading.plans import told_repairs
from tests.agreement.reading.season import told_by_season_page
from tests.agreement.telling import CENT, Told, day_of, flat, iso, says_parted, teller, work

HEAD = ("shown plan", "stale", "open misses")
RISKS = ("risk", "promised", "spare days", "hindered by")
LOCATES = ("locate hour", "locate day")
OFFICE = ("calls", "order by", "needed by", "locate open", "held place", "electrician by")
_STINT = r"(?P<job>[\w-]+) (?P<phase>[a-z ]+?)(?:, (?P<part>startup))? (?P<h>[\d.]+)(?: of [\d.]+)? h"


def paper(html: str) -> str:
    """The text of a page that shows what the terminal would, with its broken lines joined again."""
    found = re.search(r'(?s)<pre class="paper"[^>]*>(.*?)</pre>', html)
    lines: list[str] = []
    for line in unescape(re.sub(r"<[^>]+>", "", found[1] if found else "")).splitlines():
        first = line.split(" ")[0] if not line.startswith(" ") else line.split()[:1]
        word = first if isinstance(first, str) else "".join(first)
        if lines and line.startswith(" ") and len(lines[-1].split("\n")[-1]) + len(word) >= 110:
            lines[-1] += " " + line.strip()
        else:
            lines.append(line)
    return "\n".join(lines)


def items_of(html: str) -> Iterator[dict[str, Any]]:
    """The office's items on a page: each has its key in a hidden field behind its words."""
    seen: set[str] = set()
    parts = re.split(r'name="key" value="([^"]+)"', html)
    for before, key in zip(parts[0::2], parts[1::2], strict=False):
        if key in seen:
            continue
        seen.add(key)
        block = before[max(before.rfind('<div class="item'), before.rfind('<div class="grave')) :]
        due = re.search(r'datetime="([\d-]+)"', block)
        late = re.search(r"late: (.*?)</strong>", block)
        what = flat(re.sub(r"<strong.*?</strong>", " ", block.split("<form")[0])).replace("\n", " ")
        said = {"what": what, "pressing": late[1] if late else "", "state": ""}
        yield {"key": unescape(key), "job": key.split(":")[1], "due": due[1] if due else "", **said}


@teller("web: today", "stale by", *HEAD, *RISKS, *LOCATES, "stint hours", "day hours worked")
def today(desk: Desk) -> Told:
    """The morning."""
    words = flat(desk.web("/"))
    yield "shown plan", "", shown_plan(words)
    yield from told_stale(words.partition("Crews")[0])
    yield from told_misses(desk.jobs, misses_in(words))
    lines, crew, worked = words.splitlines(), "", []
    yield from told_by_lines(desk, lines)
    for line in lines:
        yield from risk_line(desk, line)
        crew = next((c for c in desk.crews if line == c), crew)
        stint, done = re.match(_STINT + r"\b(?! worked)", line), re.match(_STINT + " worked", line)
        if stint and stint["job"] in desk.jobs:
            key = f"{desk.now.date()} {crew} {work(stint['job'], stint['phase'], stint['part'] or 1)}"
            yield "stint hours", key, float(stint["h"]), CENT
        elif done:
            worked.append((f"{desk.now.date()} {crew} {work(done['job'], done['phase'])}", float(done["h"])))
    yield from told_entries(worked)


@teller("web: calls and dates", "stale by", *HEAD, *LOCATES, *OFFICE)
def office(desk: Desk) -> Told:
    """Every open item of the office, over all its pages."""
    rows, page = [], 1
    while True:
        html = desk.web(f"/office?page={page}")
        words = flat(html)
        if page == 1:
            yield "shown plan", "", shown_plan(words)
            yield from told_stale(words.partition(" item")[0])
        rows += list(items_of(html))
        if f"page={page + 1}" not in html:
            break
        page += 1
    for name, key, *said in told_items(desk, rows):
        if name in (*LOCATES, *OFFICE):
            yield (name, key, *said)
    known = {"missed"}
    missed = [
        re.sub(r"^\w{3} \w{3} \d+(?: overdue)? ", "", r["what"])
        for r in rows
        if r["key"].split(":")[0] in known
    ]
    pairs = [re.match(r"(\S+) (?:\1 )?(.*)", words) for words in missed]
    yield from told_misses(desk.jobs, [(m[1], m[2]) for m in pairs if m])


@teller("web: week", "stale by", *HEAD, *RISKS, *LOCATES, "stint hours", "parted", "day hours worked")
def week(desk: Desk) -> Told:
    """The board of every week."""
    for monday in desk.weeks:
        html = desk.web(f"/week?day={monday}")
        words = flat(html)
        yield "shown plan", "", shown_plan(words)
        yield from told_stale(words)
        if monday == desk.this_monday:
            yield from told_misses(desk.jobs, misses_in(words))
        yield from told_by_lines(desk, words.splitlines())
        for line in words.splitlines():
            yield from risk_line(desk, line)
        yield from _cells(desk, html, words)


def _cells(desk: Desk, html: str, words: str) -> Told:
    table = html.partition('<table class="board"')[2].partition("</table>")[0]
    heads = re.findall(r'<th scope="col"[^>]*>(.*?)</th>', table)[1:]
    days = [day_of(head, desk) for head in heads]
    jobs: set[str] = set()
    for row in re.findall(r'(?s)<tr><th scope="row"[^>]*>(.*?)</tr>', table):
        crew = flat(row.partition("<")[0]).strip()
        cells = re.findall(r"(?s)<td\b[^>]*>(.*?)</td>", row)
        for day, cell in zip(days, cells, strict=True):
            yield from _cell(desk, jobs, day, crew, flat(cell).splitlines())
    yield from told_parted(jobs, words.splitlines())


def _cell(desk: Desk, jobs: set[str], day: date, crew: str, lines: list[str]) -> Told:
    worked = []
    for line in lines:
        done = re.match(_STINT + " worked", line)
        stint = re.match(_STINT + r"\b(?! worked)", line)
        if done:
            worked.append((f"{day} {crew} {work(done['job'], done['phase'])}", float(done["h"])))
        elif stint and stint["job"] in desk.jobs:
            jobs.add(stint["job"])
            if day >= desk.now.date():
                key = f"{day} {crew} {work(stint['job'], stint['phase'], stint['part'] or 1)}"
                yield "stint hours", key, float(stint["h"]), CENT
    yield from told_entries(worked)


PLAN = ("first day", "last day", "crews", "promised", "spare days", "stale", "hindered by")


@teller("web: plan", "stale by", *PLAN, *LOCATES)
def plan(desk: Desk) -> Told:
    """The plan that counts."""
    html = desk.web("/plan")
    words = flat(html)
    yield from told_stale(words.replace("even if it is stale", ""))
    yield from told_by_lines(desk, words.splitlines())
    for row in re.findall(r'(?s)<tr><th scope="row"><a href="/jobs/.*?</tr>', html):
        cells = [flat(c) for c in re.findall(r"(?s)<t[hd]\b[^>]*>(.*?)</t[hd]>", row)]
        if len(cells) < 7 or cells[0] not in desk.open_jobs:
            continue
        job, last = cells[0], day_of(cells[3], desk)
        if cells[5]:
            yield "promised", job, day_of(cells[5], desk)
        if last < desk.now.date():
            continue
        yield "first day", job, day_of(cells[2], desk)
        yield "last day", job, last
        yield "crews", job, frozenset(re.split(r" > | \+ |, ", cells[4]))
        room = re.match(r"(\d+) working days? (to spare|late)$", cells[6])
        if room:
            yield "spare days", job, int(room[1]) * (-1 if room[2] == "late" else 1)
            yield "hindered by", job, ""
        elif ": " in cells[6]:
            yield "hindered by", job, cells[6]


@teller("web: job", "status", "promised", "worked hours", "edition", "parted", *LOCATES)
def job(desk: Desk) -> Told:
    """Each job's own page."""
    for code in desk.jobs:
        html = desk.web(f"/jobs/{code}")
        words = flat(html)
        yield from told_by_lines(desk, words.splitlines())
        promised = re.search(r'name="promised" value="([^"]+)"', html)
        if promised:
            yield "promised", code, iso(promised[1])
        status = re.search(r"Client \d \(invented\), (.+)", words)
        if status:
            yield "status", code, status[1]
        worked = re.search(r"([\d.]+) crew-h logged(?:; told by rates ([\w-]*\w))?", words)
        assert worked, words[:400]
        yield "worked hours", code, float(worked[1]), 0.051
        if code in desk.open_jobs and code in desk.planned and worked[2]:
            yield "edition", code, worked[2]
        if code in desk.designs:
            yield "parted", code, says_parted(words)


@teller(
    "web: price",
    "first crew",
    "edition",
    "plan hours",
    "hours left",
    "goes on from",
    "parted",
    "worked hours",
)
def price(desk: Desk) -> Told:
    """What each job takes."""
    for code in desk.open_jobs:
        text = re.sub(r"\s+", " ", paper(desk.web(f"/jobs/{code}/price")))
        for name, key, *said in told_by_estimate(desk, code, text):
            if name not in ("depth below rim", "visit hours"):
                yield (name, key, *said)


@teller("web: design", "parted", "depth below rim", "depth below water", "quantity")
def design(desk: Desk) -> Told:
    """Each kept design: its page, and its drawing as it is served."""
    for code in desk.designs:
        yield "parted", code, says_parted(flat(desk.web(f"/jobs/{code}/design")).replace("\n", " "))
        sheets = (desk.web(f"/jobs/{code}/drawing.svg?sheet={sheet}") for sheet in (1, 2))
        yield from told_by_drawing(code, "".join(sheets))


@teller("web: hours", "day hours worked", "share done")
def hours(desk: Desk) -> Told:
    """What was logged in the last two weeks."""
    table = re.search(r'(?s)aria-label="Logged hours">(.*?)</table>', desk.web("/hours"))
    shares: dict[str, float] = {}
    worked: list[tuple[str, float]] = []
    for line in flat(table[1]).splitlines() if table else ():
        entry = re.match(
            r"(\S+) ([a-z ]+), (.+), (\w+ \w+ \d+): ([\d.]+) h(?:, (\d+) % done|(, done))?", line
        )
        if entry:
            worked.append(
                (f"{day_of(entry[4], desk)} {entry[3]} {work(entry[1], entry[2])}", float(entry[5]))
            )
            if entry[6] or entry[7]:
                key = work(entry[1], entry[2])
                shares[key] = max(float(entry[6] or 100), shares.get(key, 0.0))
    first = (desk.now - timedelta(days=13)).date()  # of a day that is told in part nothing is compared
    yield from told_entries((key, much) for key, much in worked if iso(key) >= first)
    for key, share in shares.items():
        yield "share done", key, share, 0.51


@teller("web: repairs", "repair")
def repairs(desk: Desk) -> Told:
    """The repairs to choose from."""
    if desk.ahead.said is not None:
        found = re.findall(r"<li><p>(.*?)</p>", desk.web("/plan/repairs"))
        rows = [unescape(re.sub(r"<[^>]+>", "", row)) for row in found]
        yield from told_repairs((str(number), row) for number, row in enumerate(rows, start=1))


@teller("web: season", "stale by", "shown plan", "stale", "first day", "last day", "promised")
def season(desk: Desk) -> Told:
    """The season as it is served."""
    for name, key, *said in told_by_season_page(desk, desk.web("/season")):
        if not name.startswith("week"):
            yield (name, key, *said)
