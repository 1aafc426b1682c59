"""The board: JSON, CSV, terminal, page; over all weeks of the plan."""

from __future__ import annotations

import csv
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from tests.agreement.desk import Desk
from tests.agreement.telling import CENT, Told, clock, day_of, flat, iso, says_parted, teller, week_of, work

STINTS = (
    "stint hours",
    "plan hours",
    "week hours to go",
    "booking hours",
    "stint machines",
    "day hours",
    "goes on",
    "first day",
    "last day",
    "crews",
)
#: What a screen says of work that lies before its material.
ORDERS = r"waits for [^;]*(not ordered|by its lead here|confirmed for)"
SIGNS = {"!": "late", "~": "tight", "?": "not in the plan", "#": "hindered"}


@dataclass
class Seen:
    """One stint as a screen shows it."""

    day: date
    crew: str
    job: str
    phase: str
    crew_h: float
    machines: tuple[str, ...]
    part: str = "1"
    planned_crew_h: float | None = None

    @property
    def planned_h(self) -> float:
        """The hours that the plan gives it; crew_h may be fewer, when they cannot be worked."""
        return self.crew_h if self.planned_crew_h is None else self.planned_crew_h

    @property
    def key(self) -> str:
        """Day, crew, job, phase."""
        return f"{self.day} {self.crew} {work(self.job, self.phase, self.part)}"


def told_by_stints(
    desk: Desk, seen: Iterable[Seen], worked: Iterable[tuple[str, date, str]] | None = None
) -> Told:
    """Facts that any list of stints over all weeks tells. worked: (job, day, crew) that it tells beside."""
    whole = list(seen)
    held: dict[str, float] = defaultdict(float)
    for row in whole:
        held[work(row.job, row.phase, row.part)] += row.planned_h
    begun = {job for job in desk.jobs if desk.begun(job)}  # their worked days stand no more as planned
    for key, hours in held.items():
        if key.split(" ")[0] not in begun and any(
            row.day >= desk.now.date() for row in whole if work(row.job, row.phase, row.part) == key
        ):
            yield "booking hours", key, hours, CENT
    rows = [row for row in whole if row.day >= desk.now.date()]
    day_h: dict[str, float] = defaultdict(float)
    job_h: dict[str, float] = defaultdict(float)
    for row in rows:
        yield "stint hours", row.key, row.crew_h, CENT
        yield "stint machines", row.key, frozenset(row.machines)
        day_h[f"{row.day} {row.crew}"] += row.crew_h
    for key, hours in day_h.items():
        yield "day hours", key, hours, CENT
    weeks: dict[str, float] = dict.fromkeys(map(week_of, desk.weeks), 0.0)
    for row in whole:
        weeks[week_of(row.day)] += row.crew_h
        job_h[row.job] += row.planned_h
    for monday in desk.weeks:
        if monday > desk.now.date():
            yield "week hours to go", week_of(monday), weeks[week_of(monday)], CENT
    for job, hours in job_h.items():
        if job in desk.planned and job not in begun:
            yield "plan hours", job, hours, CENT
    yield from told_of_jobs(desk, [(r.job, r.day, r.crew) for r in whole], worked)


def told_of_jobs(
    desk: Desk,
    rows: list[tuple[str, date, str]],
    worked: Iterable[tuple[str, date, str]] | None = None,
) -> Told:
    """First and last day, crews, and whether the job goes on, from all its (job, day, crew).

    worked: what was logged; a list that does not tell it tells no first day of a job that is begun.
    """
    today, before = desk.now.date(), list(worked or ())
    begun = {entry["job"] for entry in desk.data("log", "list")} if worked is None else set()
    for job in desk.jobs:
        mine = [(day, crew) for code, day, crew in rows if code == job]
        ahead = [(day, crew) for day, crew in mine if day >= today]
        yield "goes on", job, bool(ahead)
        if ahead:
            if job not in begun:
                yield "first day", job, min([d for d, _ in mine] + [d for j, d, _ in before if j == job])
            yield "last day", job, max(day for day, _ in mine)
            yield "crews", job, frozenset(crew for _, crew in ahead)


def gap_key(row: Mapping[str, Any]) -> str:
    """Day, crew and the work that the hours lead to."""
    return f"{row['day']} {row['crew']} {work(row['job'], row['phase'], str(row['part']))}"


@teller(
    "board --json",
    "open misses",
    *STINTS,
    "stint start",
    "stint end",
    "risk",
    "promised",
    "spare days",
    "shown plan",
    "stale",
    "parted",
    "day hours worked",
    "order late",
    "visit late",
    "hindered by",
    "goes on from",
    "gap",
    "towed by",
)
def board_json(desk: Desk) -> Told:
    """All weeks of `board --json`."""
    seen, worked = [], []
    waits: dict[str, bool] = {}
    unvisited: dict[str, bool] = {}
    for monday in desk.weeks:
        data = desk.data("board", "--week", monday)
        worked += [(e["job"], iso(e["day"]), e["crew"]) for e in data["worked"]]
        yield "shown plan", "", (data["plan"], data["published"])
        yield "stale", "", bool(data.get("stale", False))
        yield from told_parted({row["job"] for row in data["stints"]}, data["parted"])
        yield from told_entries((worked_key(row), row["crew_h"]) for row in data["worked"])
        for row in data["stints"]:
            stint = Seen(
                iso(row["day"]),
                row["crew"],
                row["job"],
                row["phase"],
                row["crew_h"],
                tuple(row["machines"]),
                str(row["part"]),
                row.get("planned_crew_h"),
            )
            seen.append(stint)
            if stint.day >= desk.now.date():
                yield "stint start", stint.key, clock(row["start"])
                yield "stint end", stint.key, clock(row["end"])
                late = re.search(ORDERS, row["hindrance"]) is not None
                waits[stint.job] = waits.get(stint.job, False) or late
                missed = "(did not come" in row["hindrance"]
                unvisited[stint.job] = unvisited.get(stint.job, False) or missed
                yield "hindered by", stint.key, row["hindrance"]
                yield "towed by", stint.key, frozenset(row["towed"])
        for row in data["gaps"]:
            if row["job"]:
                yield "gap", gap_key(row), row["words"]
        if monday == desk.this_monday:
            yield from told_misses(desk.jobs, [miss_words(desk, m) for m in data["missed_open"]])
        for row in data["promises"]:
            yield "promised", row["job"], iso(row["promised"])
            yield "risk", row["job"], row["risk"]
            if row["hindrance"]:
                yield "hindered by", row["job"], row["hindrance"]
            if row["spare_working_days"] is not None:
                yield "spare days", row["job"], row["spare_working_days"]
            if row["planned"]:
                yield "last day", row["job"], iso(row["planned"])
    for job, late in waits.items():
        yield "order late", job, late
    for job, late in unvisited.items():
        yield "visit late", job, late
    yield from told_by_stints(desk, seen, worked)
    for job in desk.open_jobs:
        ahead = [stint.day for stint in seen if stint.job == job and stint.day >= desk.now.date()]
        if ahead:
            yield "goes on from", job, min(ahead)


@teller("board --csv", *STINTS, "stint start", "stint end")
def board_csv(desk: Desk) -> Told:
    """All weeks of `board --csv`."""
    seen = []
    for monday in desk.weeks:
        for row in csv.DictReader(desk.lines("board", "--week", monday, "--csv")):
            machines = tuple(filter(None, row["machines"].split("; ")))
            stint = Seen(
                iso(row["day"]),
                row["crew"],
                row["job"],
                row["phase"],
                float(row["crew_h"]),
                machines,
                row["part"],
                float(row["planned_crew_h"]) if row.get("planned_crew_h") else None,
            )
            seen.append(stint)
            if stint.day >= desk.now.date():
                yield "stint start", stint.key, clock(row["start"])
                yield "stint end", stint.key, clock(row["end"])
    yield from told_by_stints(desk, seen)


_HOURS = re.compile(
    r"(?P<phase>[a-z ]+?)(?:, (?P<part>startup))? (?P<h>[\d.,]+)(?: of (?P<planned>[\d.,]+))? h$"
)


@teller(
    "board",
    "stale by",
    *STINTS,
    "hindered by",
    "open misses",
    "risk",
    "promised",
    "spare days",
    "shown plan",
    "stale",
    "parted",
)
def board_text(desk: Desk) -> Told:
    """All weeks of the terminal's grid."""
    seen: list[Seen] = []
    machines = {words for name, _, said, *_ in board_json(desk) if name == "stint machines" for words in said}
    for monday in desk.weeks:
        lines = desk.lines("board", "--week", monday)
        yield "shown plan", "", shown_plan(lines[0])
        yield from told_stale("\n".join(lines))
        here = list(_grid(desk, lines, machines))
        seen += here
        yield from told_parted({stint.job for stint in here}, [" ".join(map(str.strip, lines))])
        if monday == desk.this_monday:
            yield from told_misses(desk.jobs, misses_in("\n".join(lines)))
        for line in lines:
            yield from risk_line(desk, line)
    yield from told_by_stints(desk, seen)


def _grid(desk: Desk, lines: list[str], machines: set[str]) -> Iterator[Seen]:
    """The stints of a grid of cells parted by bars. machines: how they are called."""
    days: list[date] = []
    crew, jobs = "", defaultdict(str)
    last: dict[int, Seen] = {}
    for line in lines:
        if line.startswith(("├", "┌", "└")):
            yield from last.values()
            last, jobs = {}, defaultdict(str)
        if not line.startswith("│"):
            continue
        head, *cells = [c[1:].rstrip() if c[:1] == " " else c.rstrip() for c in line.split("│")[1:-1]]
        if not days:
            days = [day_of(cell, desk) for cell in cells]
            continue
        if head.strip() and not jobs:
            crew = head.split("(")[0].strip()
        for n, whole in enumerate(cells):
            cell = whole
            known = re.match(r"[!~?#+*]*(" + "|".join(map(re.escape, desk.jobs)) + r")\b ?", cell)
            if known:
                jobs[n] = known[1]
                cell = whole[known.end() :]
            timed = _HOURS.match(cell.strip())
            if timed:
                if n in last:
                    yield last[n]
                phase, part, planned = timed["phase"].strip(), timed["part"] or "1", timed["planned"]
                held = float(planned) if planned else None
                last[n] = Seen(days[n], crew, jobs[n], phase, float(timed["h"]), (), part, held)
            elif n in last and cell.strip() in machines:
                last[n].machines = (*last[n].machines, cell.strip())


@teller("board page", "stale by", *STINTS, "open misses", "shown plan", "stale", "parted", "day hours worked")
def board_page(desk: Desk) -> Told:
    """All weeks of the board's page."""
    seen = []
    for monday in desk.weeks:
        html = desk.page("board", "--week", monday)
        words = flat(html)
        yield "shown plan", "", shown_plan(words)
        yield from told_stale(words)
        if monday == desk.this_monday:
            yield from told_misses(desk.jobs, misses_in(words))
        heads = re.findall(r'<th scope="col">(.*?)</th>', html)[1:]
        days = [day_of(head, desk) for head in heads]
        for row in re.findall(r'(?s)<tr><th scope="row">(.*?)</tr>', html):
            crew = re.split(r"<", row)[0].strip()
            for day, cell in zip(days, re.findall(r"(?s)<td\b[^>]*>(.*?)</td>", row), strict=True):
                here = [
                    s for part in re.split(r'<div class="stint', cell)[1:] if (s := _box(day, crew, part))
                ]
                seen += here
                yield from told_parted({stint.job for stint in here}, words.splitlines())
                done = " ".join(re.findall(r'<div class="worked">(.*?)</div>', cell))
                yield from told_worked(f"{day} {crew}", done)
    yield from told_by_stints(desk, seen)


def _box(day: date, crew: str, html: str) -> Seen | None:
    """One stint of the page."""
    job = re.search(r"<b>[^<]*?([\w-]+)</b>", html)
    timed = re.search(r"</b>\s*([a-z ]+?)(?:, (startup))?\s*<span>([\d.]+)(?: of ([\d.]+))? h</span>", html)
    if not job or not timed:
        return None
    machines = tuple(re.findall(r'<span class="machine">(.*?)</span>', html))
    planned = float(timed[4]) if timed[4] else None
    return Seen(day, crew, job[1], timed[1].strip(), float(timed[3]), machines, timed[2] or "1", planned)


def told_parted(jobs: Iterable[str], lines: Iterable[str]) -> Told:
    """Whether the lines say of each of the jobs that its kept design differs."""
    told = [line for line in lines if says_parted(line)]
    for job in sorted(jobs):
        yield "parted", job, any(f"{job}: " in line for line in told)


def worked_key(row: dict[str, str]) -> str:
    return f"{row['day']} {row['crew']} {work(row['job'], row['phase'])}"


def told_worked(day_crew: str, words: str) -> Told:
    """Each "L02 dig 5 h worked" on a day of a crew; all that the day holds of one phase together."""
    found = re.findall(r"(\S+) ([a-z ]+?) ([\d.]+) h worked", words)
    yield from told_entries((f"{day_crew} {work(job, phase)}", float(hours)) for job, phase, hours in found)


def told_entries(entries: Iterable[tuple[str, float]]) -> Told:
    """Logged hours by their key; two entries of one crew, phase and day are told together."""
    total: dict[str, float] = defaultdict(float)
    for key, hours in entries:
        total[key] += hours
    for key, hours in total.items():
        yield "day hours worked", key, hours, CENT


def risk_line(desk: Desk, line: str) -> Told:
    """One line of "Promised dates at risk": sign, job, promised, planned, days."""
    found = re.match(r"\s*([!~?#]) (\S+) .*?: promised (.+?), (not in the plan|planned .*)", line)
    if not found or found[2] not in desk.jobs:
        return
    job = found[2]
    yield "risk", job, SIGNS[found[1]]
    yield "promised", job, day_of(found[3], desk)
    room = re.search(r"(\d+) working days? (late|to spare)", found[4])
    if room:
        yield "spare days", job, int(room[1]) * (-1 if room[2] == "late" else 1)
    hurt = re.search(r"hindered: (.*)$", found[4])
    if hurt:
        yield "hindered by", job, hurt[1]


def shown_plan(text: str) -> tuple[int, bool]:
    """Number, and whether it is published: from "plan 3, published" or "plan 3, draft"."""
    found = re.search(r"[Pp]lan (\d+)(?:, | \()(published|draft)", text)
    assert found, text[:200]
    return int(found[1]), found[2] == "published"


MISSED = re.compile(r"^\W*(?:MISSED|Missed, still open:) (\S+) (.*)$")


def told_misses(jobs: Iterable[str], rows: Iterable[tuple[str, str]]) -> Told:
    """The open misses of each of the jobs, from (job, words)."""
    told = list(rows)
    for job in jobs:
        yield "open misses", job, frozenset(words for code, words in told if code == job)


def misses_in(text: str) -> list[tuple[str, str]]:
    """Job and words of each line that says a miss: "L02 dig, Red, Mon Apr 5: depth ..."."""
    found = (MISSED.match(line.strip()) for line in text.splitlines())
    return [(f[1].rstrip(","), f[2]) for f in found if f]


def miss_words(desk: Desk, row: dict[str, str]) -> tuple[str, str]:
    """A miss of a JSON answer, worded as the pages do."""
    day = iso(row["day"])
    when = f"{day:%a} {day:%b} {day.day}"
    return row["job"], f"{row['phase'].replace('_', ' ')}, {row['crew']}, {when}: {row['text']}"


def says_stale(text: str) -> bool:
    """Whether a screen says that facts changed since the plan was made."""
    return bool(re.search(r"stale|changed since", text))


def told_stale(text: str) -> Told:
    """Whether a screen says that facts changed since the plan was made; which, and by when to act."""
    yield "stale", "", says_stale(text)
    found = re.search(r"stale: since it was made (.*?); act before the work of (\w{3} \w{3} \d+)", text)
    if found:
        yield "stale by", "", f"{found[1]}; {found[2]}"
