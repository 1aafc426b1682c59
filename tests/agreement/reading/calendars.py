"""Calendars: the firm's as JSON, the crews' as the file itself."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

from tests.agreement.desk import Desk
from tests.agreement.telling import Told, iso, teller, work

#: How the title of somebody from outside ends.
COMES = " comes"
_TITLE = re.compile(r"(\S+) ([a-z ]+?)(?:, (startup))?(?:, day \d+ of \d+)?(?: \(([^()]+)\))?(?:, day .*)?$")


@teller("calendar --json", "first day", "last day", "goes on")
def calendar_json(desk: Desk) -> Told:
    """`calendar --json`: the whole firm's, all-day."""
    days: dict[str, list[date]] = {}
    for event in desk.data("calendar", "--all-day"):
        title = _TITLE.match(event["title"])
        outside = event["title"].endswith(COMES)
        if event["status"] == "CANCELLED" or outside or not title or title[1] not in desk.jobs:
            continue
        days.setdefault(title[1], []).extend([iso(event["start"]), iso(event["end"]) - timedelta(days=1)])
    for job in desk.jobs:
        yield "goes on", job, max(days.get(job, [date.min])) >= desk.now.date()
        if job in days and max(days[job]) >= desk.now.date():
            yield "last day", job, max(days[job])
            yield "first day", job, min(days[job])


@teller("crew calendar file", "stint start", "stint end", "crews", "stint machines", "towed by")
def crew_calendar(desk: Desk) -> Told:
    """`calendar --crew`, the file: hours day by day."""
    crews: dict[str, set[str]] = {}
    for crew in desk.crews:
        text = re.sub(r"\r?\n ", "", desk.text("calendar", "--crew", crew))
        for block in re.findall(r"(?s)BEGIN:VEVENT(.*?)END:VEVENT", text):
            rows = dict(re.findall(r"(?m)^(\w+)(?:;[^:\n]*)?:(.*?)\r?$", block))
            if rows["SUMMARY"].endswith(COMES):
                continue
            title = _TITLE.match(rows["SUMMARY"].replace("\\", ""))
            start, end = (datetime.strptime(rows[k][:15], "%Y%m%dT%H%M%S") for k in ("DTSTART", "DTEND"))
            if not title or rows["STATUS"] == "CANCELLED" or start.date() < desk.now.date():
                continue
            key = f"{start.date()} {crew} {work(title[1], title[2], title[3] or 1)}"
            crews.setdefault(title[1], set()).add(crew)
            yield "stint start", key, start.time()
            yield "stint end", key, end.time()
            machines = re.search(r"Machines: (.*?)(?:\\n|$)", rows.get("DESCRIPTION", ""))
            yield "stint machines", key, frozenset(machines[1].split("\\, ") if machines else ())
            towed = re.search(r"Towed: (.*?)(?:\\n|$)", rows.get("DESCRIPTION", ""))
            yield "towed by", key, frozenset(towed[1].split("\\, ") if towed else ())
    for job, names in crews.items():
        yield "crews", job, frozenset(names)
