"""Chances and promises: the seasons played, and what is offered and held."""

from __future__ import annotations

import re

from tests.agreement.desk import Desk
from tests.agreement.reading.boards import shown_plan, told_stale
from tests.agreement.telling import Told, day_of, iso, teller

PLAYED = ("chance", "show", "--seasons", "20")


@teller("chance --json", "hindered by", "promised", "last day", "goes on", "shown plan")
def chance_json(desk: Desk) -> Told:
    """`chance show --json`. With nothing left to play it refuses; a job may be left out for a reason."""
    if refused := desk.refusal(*PLAYED, "--json"):
        if "(" not in refused:
            yield from (("goes on", job, False) for job in desk.jobs)
        return
    data = desk.data(*PLAYED)
    there = {row["job"] for row in data["jobs"] if iso(row["planned"]) >= desk.now.date()}
    yield "shown plan", "", (data["plan"], desk.shown["published_at"] is not None)
    for job in desk.jobs:
        if not data["not_played"].get(job, "").startswith("no "):
            yield "goes on", job, job in there
    for job, why in data["not_played"].items():
        if why.startswith("no "):
            rows = [r for r in desk.data("plan", "show")["jobs"] if r["code"] == job]
            (hurt,) = (row["hindrance"] for row in rows)
            yield "hindered by", job, hurt.partition(": ")[0] + f": {why}" if why in hurt else why
    for row in data["jobs"]:
        yield "last day", row["job"], iso(row["planned"])
        if row["promised"]:
            yield "promised", row["job"], iso(row["promised"])


@teller("chance", "stale by", "promised", "last day", "shown plan", "stale")
def chance_text(desk: Desk) -> Told:
    """`chance show` on the terminal."""
    if desk.refusal(*PLAYED):
        return
    lines = desk.lines(*PLAYED)
    yield "shown plan", "", shown_plan(lines[0])
    yield from told_stale("\n".join(lines))
    for line in lines:
        cells = re.split(r" {2,}", line.strip())
        if cells[0] in desk.jobs and len(cells) >= 5:
            yield "last day", cells[0], day_of(cells[2], desk)
            if cells[1] != "-":
                yield "promised", cells[0], day_of(cells[1], desk)


@teller("promise list --json", "held place")
def promise_list(desk: Desk) -> Told:
    """`promise list --json`."""
    for row in desk.data("promise", "list"):
        yield "held place", row["job"], iso(row["until"])


@teller("promise list", "held place")
def promise_list_text(desk: Desk) -> Told:
    """`promise list` on the terminal."""
    for line in desk.lines("promise", "list"):
        found = re.match(r"(\S+): .* held until (\w{3} \w{3} \d+)", line)
        if found:
            yield "held place", found[1], day_of(found[2], desk)
