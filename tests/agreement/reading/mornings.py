"""What is on today: JSON and terminal."""

from __future__ import annotations

import re

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import (
    miss_words,
    misses_in,
    risk_line,
    shown_plan,
    told_entries,
    told_misses,
    told_stale,
    told_worked,
    worked_key,
)
from tests.agreement.reading.office import told_calls, told_orders
from tests.agreement.telling import CENT, Told, iso, teller, work

FACTS = (
    "hindered by",
    "open misses",
    "day hours worked",
    "stint hours",
    "day hours",
    "shown plan",
    "stale",
    "risk",
    "promised",
    "spare days",
)


@teller("today --json", *FACTS, "last day", "calls", "order by", "needed by")
def today_json(desk: Desk) -> Told:
    """`today --json`."""
    data = desk.data("today")
    yield "shown plan", "", (data["plan"], data["published"])
    yield "stale", "", bool(data.get("stale", any("changed since" in s["why"] for s in data["next"])))
    yield from told_misses(desk.jobs, [miss_words(desk, m) for m in data["missed_open"]])
    due = [{**item, "what": item["words"]} for item in data["office"]]
    yield from told_calls(due)
    yield from told_orders(desk, due)
    for row in data["crews"]:
        key = f"{data['day']} {row['crew']}"
        for s in row["work"]:
            piece = f"{key} {work(s['job'], s['phase'], s['part'])}"
            yield "stint hours", piece, s["crew_h"], CENT
            yield "hindered by", piece, s["hindrance"]
        if row["work"]:
            yield "day hours", key, sum(s["crew_h"] for s in row["work"]), CENT
        yield from told_entries((worked_key(done), done["crew_h"]) for done in row["worked"])
    for row in data["promises_at_risk"]:
        yield "promised", row["job"], iso(row["promised"])
        yield "risk", row["job"], row["risk"]
        if row["finish"]:
            yield "spare days", row["job"], row["spare_days"]
            yield "last day", row["job"], iso(row["finish"])


@teller("today", "stale by", *FACTS)
def today_text(desk: Desk) -> Told:
    """`today` on the terminal."""
    lines = desk.lines("today")
    yield "shown plan", "", shown_plan(lines[0])
    yield from told_stale("\n".join(lines))
    yield from told_misses(desk.jobs, misses_in("\n".join(lines)))
    for line in lines:
        yield from risk_line(desk, line)
        crew = next((c for c in desk.crews if re.match(rf"  {re.escape(c)} {{2,}}", line)), None)
        if crew is None:
            continue
        key, total = f"{desk.now.date()} {crew}", 0.0
        stints = re.findall(
            r"([\w-]+) ([a-z ]+?)(?:, (startup))? ([\d.]+)(?: of [\d.]+)? h\b(?! worked)", line
        )
        for job, phase, part, hours in stints:
            yield "stint hours", f"{key} {work(job, phase, part or 1)}", float(hours), CENT
            total += float(hours)
        yield from told_worked(key, line)
        if stints:
            yield "day hours", key, total, CENT
