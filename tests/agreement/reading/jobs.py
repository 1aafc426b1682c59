"""The job's own record: list and show."""

from __future__ import annotations

import re

from tests.agreement.desk import Desk
from tests.agreement.telling import Told, amount, iso, says_parted, teller


@teller("job list --json", "promised", "status", "quantity")
def job_list(desk: Desk) -> Told:
    """`job list --json`."""
    for code, row in desk.jobs.items():
        yield "status", code, row["status"]
        if row["promised"]:
            yield "promised", code, iso(row["promised"])
        for line in row["lines"]:
            yield "quantity", f"{code} {line['item']}", line["quantity"], 0.006


@teller("job show", "promised", "status", "worked hours", "edition", "depth below rim", "quantity", "parted")
def job_show(desk: Desk) -> Told:
    """`job show JOB` on the terminal."""
    for code in desk.jobs:
        text = desk.text("job", "show", code)
        rows = dict(re.findall(r"(?m)^(\w+) {2,}(.*?) *$", text))
        yield "status", code, rows["status"]
        if rows.get("promised", "-") not in ("-", ""):
            yield "promised", code, iso(rows["promised"])
        worked = re.search(r"hours logged: ([\d.,]+) crew-hours", text)
        if worked:
            yield "worked hours", code, *amount(worked[1])
        book = re.search(r"rate book ([\w-]*\w)", text)
        if code in desk.open_jobs and code in desk.planned:
            yield "edition", code, book[1] if book else "none yet"
        parted = says_parted(text)
        if code in desk.designs:
            yield "parted", code, parted
        deep = re.match(r"([\d.]+)", rows.get("depth_in", ""))
        if deep and code in desk.designs and not parted:
            yield "depth below rim", f"{code} floor", float(deep[1]), 0.01
        for item, much in re.findall(r"(?m)^[a-z ]+? {2,}(\w+) +([\d.,]+) ", text):
            if item in desk.items(code):
                yield "quantity", f"{code} {item}", *amount(much)
