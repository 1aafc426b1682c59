"""Setting the stage of a rehearsal: an invented firm and its jobs, typed in; the comparisons; the table."""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from .rehearsal import Script, Site, Told, Type, play_alone, play_by_hand, play_season

#: One pond of usual size; a job is this times its own size.
BASE = {
    "dig_machine_cy": 14.0,
    "filter_boxes": 2,
    "box_dig_cy": 1.0,
    "liner_ft2": 520.0,
    "boulder_medium_ton": 6.0,
    "gravel_ton": 3.0,
    "pipe_ft": 45.0,
    "connections": 6,
    "sealed_joints": 2,
    "fill_gal": 3200.0,
    "hose_gpm": 11.0,
    "edge_ft": 60.0,
}
SKILLS = "excavator,stonework,plumbing"
WHOLE = {"filter_boxes", "connections", "sealed_joints"}


def rain_record(monday: date, weeks: int, seed: int) -> frozenset[date]:
    """A fixed weather record: about one working day in eight is lost."""
    random_ = random.Random(f"rain {seed}")
    days = (monday + timedelta(days=n) for n in range(7 * weeks))
    return frozenset(d for d in days if d.weekday() < 5 and random_.random() < 0.125)


@dataclass
class Stage:
    """What was typed in before the season: promises, gates, hose hours, the first plan's bookings."""

    promised: dict[str, date]
    gates: dict[str, date]
    hose_h: dict[str, float]


def set_stage(run: Type, script: Script) -> Stage:
    """Type the firm, crews, machines and jobs in on the Monday at four."""
    at = f"{script.monday}T04:00"

    def typed(*words: Any) -> None:
        assert run(*words, at=at).code == 0, words

    typed("db", "create")
    typed(
        "firm",
        "set",
        "--name",
        "Rehearsal firm (invented)",
        "--state",
        "OH",
        "--weight",
        f"late_day={script.late_day_usd}",
    )
    for crew in script.crews:
        typed("crew", "add", crew, "--lead", f"lead of {crew}", "--size", 3, "--skills", SKILLS)
    typed("machine", "add", "excavator", "mini excavator", "--units", script.machines)
    stage = Stage({}, {}, {})
    sizes = random.Random(f"sizes {script.seed}")
    for n in range(script.jobs):
        code, size = f"P-{n + 1:03}", sizes.uniform(0.6, 1.5)
        amounts = {item: _amount(item, each * size) for item, each in BASE.items()} | {"hose_gpm": 11.0}
        words = [word for item, much in amounts.items() for word in ("-q", f"{item}={much}")]
        due = script.monday + timedelta(days=round(10 + script.promise_every_days * (n + 1)))
        typed("job", "add", code, f"Client {n + 1} (invented)", "--status", "sold", "--promised", due, *words)
        typed("job", "gate", code, "utility locate", script.monday, "--met")
        typed("office", "here", code)
        stage.promised[code] = due
        stage.hose_h[code] = amounts["fill_gal"] / 11.0 / 60
        if n % 4 == 3:
            stage.gates[code] = script.monday + timedelta(days=round(script.promise_every_days * n * 0.6))
            typed("job", "gate", code, "deposit", stage.gates[code])
    return stage


def _amount(item: str, much: float) -> float:
    return float(max(1, round(much))) if item in WHOLE else round(much, 1)


@dataclass
class Result:
    """The rehearsal and what it is compared with, over the jobs that were there from the start."""

    told: Told
    alone: Told
    by_hand: Told
    jobs: set[str]
    late_day_usd: float

    def table(self) -> str:
        """The comparison as lines of text."""
        rows = [
            ("re-planned every Friday", self.told),
            ("(a) first plan, never re-planned", self.alone),
            ("(b) earliest due date by hand", self.by_hand),
        ]
        asked = set(self.told.promised) - self.jobs
        head = ("kept", "asked", "days late", "drives", "last finish", "cost")
        lines = ["{:34} {:>7} {:>7} {:>10} {:>7} {:>12} {:>9}".format("", *head)]
        for words, told in rows:
            cells = (
                f"{told.kept(self.jobs)}/{len(self.jobs)}",
                f"{told.kept(asked)}/{len(asked)}",
                str(told.days_late(set(told.promised))),
                str(told.site.drives_made if told.site else 0),
                max(told.finished.values(), default=date.min).isoformat(),
                f"${told.price_usd(self.late_day_usd):,.0f}",
            )
            lines.append("{:34} {:>7} {:>7} {:>10} {:>7} {:>12} {:>9}".format(words, *cells))
        covered = f"{self.told.coverage():.0%} of jobs finished by the day reckoned as P80 before the season"
        logged = f"{self.told.logged:g} of {self.told.hours:g} hours worked are logged"
        lines.append(f"{covered}; {logged}; breaches {len(self.told.breaches)}")
        lines.append(f"office items each Friday: {' '.join(map(str, self.told.office))}")
        return "\n".join(lines)


def rehearse(run: Type, script: Script) -> Result:
    """Set the stage, play the season, and play it twice more without the planner's help."""
    stage = set_stage(run, script)
    location = os.environ["PLANNER_DB"]

    def fresh() -> Site:
        return Site(script, dict(stage.gates), dict(stage.hose_h))

    promised = dict(stage.promised)
    told = play_season(run, script, fresh(), promised, judge_of(location))
    first = run("plan", "show", 1, "--json", at=f"{script.monday}T05:00").data["bookings"]
    late = [b for rows in told.late.values() for b in rows]
    left, hand = fresh(), fresh()
    play_alone(script, left, first, told.late)
    play_by_hand(script, hand, [*first, *late], told.promised)
    return Result(told, _outcome(told, left), _outcome(told, hand), set(stage.promised), script.late_day_usd)


def _outcome(told: Told, site: Site) -> Told:
    return Told(told.promised, site.finished, 0.0, 0.0, [], {}, [], 0, site=site)


def judge_of(location: str) -> Callable[[], list[str]]:
    """A judge of the newest plan against the facts of the moment: every breach in words."""
    from planner.domain.season.breaches import breaches
    from planner.domain.season.facts import season_of
    from planner.flow.stored.facts import load_facts
    from planner.store.engine import Store

    def judge() -> list[str]:
        now = datetime.fromisoformat(os.environ["PLANNER_NOW"])
        with Store(location).reading() as book:
            plan = book.plan()
        return [b.text for b in breaches(season_of(load_facts(location), now), plan.bookings)]

    return judge
