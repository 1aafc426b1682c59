"""Estimates: JSON and terminal."""

from __future__ import annotations

import re

from tests.agreement.desk import Desk
from tests.agreement.telling import CENT, Told, amount, day_of, says_parted, teller

#: An item that stands for a visit -> its words on the pages.
VISITS = {"winter_closings": "closing for winter", "spring_openings": "opening in spring"}


@teller(
    "estimate --json",
    "first crew",
    "edition",
    "quantity",
    "plan hours",
    "hours left",
    "worked hours",
    "visit hours",
)
def estimate_json(desk: Desk) -> Told:
    """`estimate JOB --json`, each open job."""
    for row in (desk.data("estimate", job)[0] for job in desk.open_jobs):
        held = row["plan_holds"]
        if row["job"] in desk.planned:
            if not desk.begun(row["job"]):
                yield "plan hours", row["job"], held["to_go_crew_h"], CENT
            elif not desk.stale:
                yield "hours left", row["job"], held["to_go_crew_h"], CENT
            yield "worked hours", row["job"], held["worked_crew_h"], CENT
        yield "edition", row["job"], row["edition"]
        for visit in row["visits"]:
            yield "visit hours", f"{row['job']} {VISITS[visit['item']]}", visit["labour_h"]["likely"]
        if row["job"] in desk.planned and held["crew_by_plan"]:
            yield "first crew", row["job"], row["crew"]["name"]
        for line in row["quantities"]:
            yield "quantity", f"{row['job']} {line['item']}", line["quantity"], 0.006


@teller("hours --json", "plan hours", "hours left", "worked hours")
def hours_json(desk: Desk) -> Told:
    """`hours --json`: the owner's view of every planned job."""
    for row in desk.data("hours")["jobs"]:
        yield "worked hours", row["job"], row["worked_h"], CENT
        if row["job"] in desk.planned:
            if not desk.begun(row["job"]):
                yield "plan hours", row["job"], row["left_h"], CENT
            elif not desk.stale:
                yield "hours left", row["job"], row["left_h"], CENT


@teller(
    "estimate",
    "first crew",
    "edition",
    "depth below rim",
    "parted",
    "plan hours",
    "hours left",
    "worked hours",
    "visit hours",
    "goes on from",
)
def estimate_text(desk: Desk) -> Told:
    """`estimate JOB` on the terminal, each open job."""
    for job in desk.open_jobs:
        yield from told_by_estimate(desk, job, desk.text("estimate", job))


def told_by_estimate(desk: Desk, job: str, text: str) -> Told:
    """One job's estimate as a page."""
    crew = re.search(r"Crew: (.+?), \d+ people, pace [\d.]+, as plan", text)
    if crew and job in desk.planned:
        yield "first crew", job, crew[1]
    book = re.search(r"Rate book (\S+?)\.", text)
    if book:
        yield "edition", job, book[1]
    start = re.search(r"(?:what is left|whole job) .*? from (\w{3} \w{3} \d+, \d{4})", text)
    if job in desk.planned and start:
        yield "goes on from", job, day_of(start[1], desk)
    if job in desk.planned:
        whole = re.search(r"Plan \d+ \(\w+\) holds ([\d.]+) crew-h", text)
        begun = re.search(r"([\d.]+) h worked and ([\d.]+) crew-h to go", text)
        if begun:
            yield "worked hours", job, float(begun[1]), CENT
            if not desk.stale:
                yield "hours left", job, float(begun[2]), CENT
        if whole:
            yield "plan hours", job, float(whole[1]), CENT
    for words, much in re.findall(r"(closing for winter|opening in spring) ([\d.]+) labour-h", text):
        yield "visit hours", f"{job} {words}", *amount(much)
    deep = re.search(r"depth ([\d.]+) in", text)
    if job in desk.designs:
        yield "parted", job, says_parted(text)
    if deep and job in desk.designs and not says_parted(text):
        yield "depth below rim", f"{job} floor", float(deep[1]), 0.01
