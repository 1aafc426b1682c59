"""Estimates: JSON and terminal."""

from __future__ import annotations

import re

from tests.agreement.desk import Desk
from tests.agreement.telling import Told, teller


@teller("estimate --json", "first crew", "edition", "quantity")
def estimate_json(desk: Desk) -> Told:
    """`estimate --json`: every open job."""
    for row in desk.data("estimate"):
        if row["job"] not in desk.open_jobs:
            continue
        yield "edition", row["job"], row["edition"]
        if row["job"] in desk.planned:
            yield "first crew", row["job"], row["crew"]["name"]
        for line in row["quantities"]:
            yield "quantity", f"{row['job']} {line['item']}", line["quantity"], 0.006


@teller("estimate", "first crew", "edition", "depth below rim")
def estimate_text(desk: Desk) -> Told:
    """`estimate JOB` on the terminal, each open job."""
    for job in desk.open_jobs:
        text = desk.text("estimate", job)
        crew = re.search(r"Crew: (.+?), \d+ people", text)
        if crew and job in desk.planned:
            yield "first crew", job, crew[1]
        book = re.search(r"Rate book (\S+?)\.", text)
        if book:
            yield "edition", job, book[1]
        deep = re.search(r"depth ([\d.]+) in", text)
        if deep and job in desk.designs:
            yield "depth below rim", f"{job} floor", float(deep[1]), 0.01
