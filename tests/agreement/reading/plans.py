"""Plan versions: `plan show`, `plan list`, `plan why`, `plan diff`."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import gap_key, says_stale, told_stale
from tests.agreement.telling import CENT, Told, clock, day_of, iso, teller, work

#: How a plan's page says that a job of it is done with.
OFF = "counts no more"
FACTS = ("first day", "last day", "crews", "promised", "goes on", "shown plan")


@teller(
    "plan show --json",
    "stale",
    "spare days",
    *FACTS,
    "risk",
    "hindered by",
    "booking hours",
    "plan hours",
    "hours left",
    "stint start",
    "stint end",
    "stint hours",
)
def plan_json(desk: Desk) -> Told:
    """`plan show --json`: the jobs' days and every booking."""
    data = desk.data("plan", "show")
    yield "shown plan", "", (data["number"], data["published_at"] is not None)
    if "stale" in data:
        yield "stale", "", bool(data["stale"])
    today = desk.now.date()
    for row in data["jobs"]:
        yield from _days(desk, row["code"], row)
        yield "hindered by", row["code"], row["hindrance"]
    for job in desk.jobs:
        off = job in {r["code"] for r in data["jobs"] if r["hindrance"].startswith(OFF)}
        ahead = [b for b in data["bookings"] if b["job"] == job and iso(b["end"]) >= today and not off]
        yield "goes on", job, bool(ahead)
        if ahead:
            yield "crews", job, frozenset(c for b in ahead for c in b["crews"])
            whole = sum(b["crew_h"] for b in data["bookings"] if b["job"] == job)
            yield "plan hours", job, whole, CENT
            if desk.begun(job) and not desk.stale:
                yield "hours left", job, whole, CENT
    hurt = {row["code"] for row in data["jobs"] if row["hindrance"]}
    for b in data["bookings"]:
        if iso(b["end"]) < today:
            continue
        yield "booking hours", work(b["job"], b["phase"], b["part"]), b["crew_h"], CENT
        if iso(b["start"]) == iso(b["end"]) and len(b["crews"]) == 1 and b["job"] not in hurt:
            key = f"{iso(b['start'])} {b['crews'][0]} {work(b['job'], b['phase'], b['part'])}"
            yield "stint hours", key, b["crew_h"], CENT
            yield "stint start", key, clock(b["start"])
            yield "stint end", key, clock(b["end"])


def _days(desk: Desk, job: str, row: dict[str, Any]) -> Told:
    first, last, promised = row["first"], row["last"], row["promised"]
    if first and last and iso(str(last)) >= desk.now.date():
        yield "last day", job, iso(str(last))
        yield "first day", job, iso(str(first))
    if promised:
        yield "promised", job, iso(str(promised))
        if int(row["spare_days"]) < 0:
            yield "risk", job, "late"
    if row.get("spare_days") is not None:
        yield "spare days", job, row["spare_days"]


@teller("plan show", "stale by", *FACTS, "stale", "spare days", "risk")
def plan_text(desk: Desk) -> Told:
    """`plan show` on the terminal."""
    yield from told_by_plan_page(desk, desk.lines("plan", "show"))


def told_by_plan_page(desk: Desk, lines: list[str]) -> Told:
    """One plan as a page."""
    head = re.match(r"Plan (\d+), (published|draft)", lines[0])
    assert head, lines[0]
    yield "shown plan", "", (int(head[1]), head[2] == "published")
    yield from told_stale("\n".join(lines))
    there = set()
    for line in lines:
        cells = re.split(r" {2,}", line.strip())
        if cells[0] not in desk.jobs or len(cells) < 5:
            continue
        job, last = cells[0], day_of(cells[3], desk)
        if last < desk.now.date() or OFF in line:
            continue
        there.add(job)
        yield "first day", job, day_of(cells[2], desk)
        yield "last day", job, last
        yield "crews", job, frozenset(re.split(r", ?| > | \+ ", cells[4]))
        if len(cells) > 5 and re.match(r"[A-Z][a-z]{2} [A-Z][a-z]{2} \d", cells[5]):
            yield "promised", job, day_of(cells[5], desk)
        if re.search(r"\blate\b", line, re.IGNORECASE):
            yield "risk", job, "late"
        room = re.search(r"(\d+) working days? (to spare|late)", line)
        if room:
            yield "spare days", job, int(room[1]) * (-1 if room[2] == "late" else 1)
    for job in desk.jobs:
        yield "goes on", job, job in there


@teller("plan list", "shown plan")
def plan_list(desk: Desk) -> Told:
    """`plan list`: the version that was told last, else the newest."""
    row = next(r for r in desk.data("plan", "list") if r["number"] == desk.number)
    yield "shown plan", "", (row["number"], row["published_at"] is not None)


@teller("plan why", "stale by", "shown plan", "stale", "spare days")
def why_text(desk: Desk) -> Told:
    """`plan why`: which plan it speaks of, and each job's room. A stale plan is refused."""
    if refused := desk.refusal("plan", "why"):
        yield from told_stale(refused)
        return
    lines = desk.lines("plan", "why")
    head = re.search(r"[Pp]lan (\d+)(?:[,( ]+(published|draft))?", lines[0])
    assert head, lines[0]
    yield "shown plan", "", (int(head[1]), {"published": True, "draft": False}.get(head[2], "unsaid"))
    yield from told_stale("\n".join(lines[:3]))
    for line in lines[1:]:
        found = re.match(r"(\S+)  .*?(\d+) working days? (to spare|late)", line)
        if found and found[1] in desk.jobs:
            yield "spare days", found[1], int(found[2]) * (-1 if found[3] == "late" else 1)


@teller("plan why --json", "shown plan", "stale", "gap")
def why_json(desk: Desk) -> Told:
    """`plan why --json`."""
    if refused := desk.refusal("plan", "why", "--json"):
        yield "stale", "", says_stale(refused)
        return
    data = desk.data("plan", "why")
    yield "shown plan", "", (data["plan"], data.get("published", "unsaid"))
    yield "stale", "", bool(data.get("stale", False))
    for row in data["jobs"]:
        if row.get("spare_days") is not None:
            yield "spare days", row["job"], row["spare_days"]
        for gap in row["gaps"]:
            yield "gap", gap_key(gap), gap["words"]


@teller("replan --json", "call after", "repair")
def replan_json(desk: Desk) -> Told:
    """`replan --quick --json`: whom to call because of it."""
    if desk.ahead.said is not None:
        for change in desk.ahead.said["changes"]:
            yield "call after", change["job"], change["call"]
        moved = {change["job"] for change in desk.ahead.said["changes"]}
        assert set(desk.ahead.said["moved_inside_next_days"]) <= moved, desk.name
        for number, one in enumerate(desk.ahead.said["repairs"], start=1):
            days, usd = one["crew_days"], f"{one['total_cents'] / 100:,.0f}"
            yield "repair", str(number), (one["customers_to_call"], days, usd, one["words"])


@teller("replan", "repair")
def replan_text(desk: Desk) -> Told:
    """`replan --quick` on the terminal: the repairs by number."""
    rows = re.findall(r"(?m)^ *(\d+)  (.*? to call, .*)$", desk.ahead.text)
    yield from told_repairs((number, row.replace(" (this draft)", "")) for number, row in rows)


def told_repairs(rows: Iterable[tuple[str, str]]) -> Told:
    """Repairs by number, in words: "2 clients to call, 5 crew days change, $12,345: what it moves"."""
    for number, row in rows:
        found = re.fullmatch(r"(\w+) clients? to call, (\w+) crew days? changes?, \$([\d,]+): (.*)", row)
        assert found, row
        calls, days = (0 if word == "no" else int(word) for word in found.groups()[:2])
        yield "repair", number, (calls, days, found[3], found[4])


@teller("plan diff", "call after")
def plan_diff(desk: Desk) -> Told:
    """`plan diff`: the plan that counts against the one made anew."""
    if desk.ahead.said is None:
        return
    old, new = desk.ahead.said["before"], desk.ahead.said["number"]
    for change in desk.ahead.desk.data("plan", "diff", old, new)["changes"]:
        yield "call after", change["job"], change["call"]
    for line in desk.ahead.desk.lines("plan", "diff", old, new):
        found = re.match(
            r"(call|    )  (\S+) .*?: (?:new: )?(?:starts|goes on|water|\S+ comes|other|no longer)", line
        )
        if found and found[2] in desk.jobs:
            yield "call after", found[2], found[1] == "call"
