"""Homes broken on purpose: the agreement test must see each, and say which screen stands alone.

Each break is one line of a screen's own home, as a careless change would make it.
"""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from planner.domain.firm.actuals import Log
from planner.domain.standing.told import News
from tests.agreement.facts import Fact, agree, disagreements
from tests.agreement.seasons import Shelf
from tests.agreement.telling import all_facts


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    return Shelf(tmp_path_factory.mktemp("broken"))


def _a_day_later(bar: Callable[..., Any]) -> Callable[..., Any]:
    """The season's line draws each finish a day late."""

    def drawn(*given: Any) -> Any:
        right = bar(*given)
        return replace(right, finish=right.finish + timedelta(days=1))

    return drawn


def _an_hour_more(words: Callable[[float], str]) -> Callable[[float], str]:
    """The sheet's head adds an hour to the day."""
    return lambda crew_h: words(crew_h + 1)


def _an_inch_less(words: Callable[..., str]) -> Callable[..., str]:
    """The drawing writes each level an inch higher than the design has it."""
    return lambda levels, level, units: words(
        levels, replace(level, below_rim_in=level.below_rim_in - 1), units
    )


def _an_hour_late(words: Callable[..., str]) -> Callable[..., str]:
    """The office's list has each moment an hour later."""
    return lambda moment: words(moment + timedelta(hours=1))


def _nobody(news: Callable[..., News]) -> Callable[..., News]:
    """A re-plan calls nobody."""
    return lambda *told, **more: replace(news(*told, **more), new=False, moved=False, late=False)


def _due_later(rows: Callable[..., list[dict[str, Any]]]) -> Callable[..., list[dict[str, Any]]]:
    """The list as data gives each item a day more."""
    return lambda items: [{**row, "due": row["due"] + timedelta(days=1)} for row in rows(items)]


def _half_done(words: Callable[[Log], str]) -> Callable[[Log], str]:
    """The page of logged hours halves what is done."""
    return lambda entry: words(replace(entry, share_done=(entry.share_done or 0.0) / 2))


#: The home that is broken, how, the fact that then disagrees, who stands alone, and a season that shows it.
BREAKS = {
    "the hour of a locate": (
        "planner.domain.office.locates.moment_words",
        _an_hour_late,
        "locate hour",
        {"office list --json", "office list", "office export", "web: calls and dates"},
        "locate asked",
    ),
    "the calls of a re-plan": (
        "planner.domain.standing.changes.news",
        _nobody,
        "call after",
        {"replan --json", "plan diff"},
        "crew gone for good",
    ),
    "the day to order by": (
        "planner.report.office.office.office_data",
        _due_later,
        "order by",
        {"office list --json"},
        "clocks go forward",
    ),
    "what came back": (
        "planner.report.hours.logs.entry_words",
        _half_done,
        "share done",
        {"log list", "web: hours"},
        "walk of the marks missed",
    ),
    "the season's line": (
        "planner.domain.standing.view._bar",
        _a_day_later,
        "last day",
        {"season --json", "season --csv", "season page", "web: season"},
        "published",
    ),
    "the drawing's marks": (
        "planner.report.design.section_view.depth_words",
        _an_inch_less,
        "depth below rim",
        {"drawing", "web: design"},
        "published",
    ),
    "the sheet's head": (
        "planner.report.crew_day.sheet.hours",
        _an_hour_more,
        "day hours",
        {"sheet", "sheet page"},
        "published",
    ),
}


@pytest.mark.parametrize("home", BREAKS)
def test_a_broken_home_is_seen_and_named(home: str, shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    place, wrap, fact, alone, season = BREAKS[home]
    desk = shelf.desk(season).again()
    module, _, name = place.rpartition(".")
    monkeypatch.setattr(place, wrap(getattr(importlib.import_module(module), name)))
    seen = disagreements([f for f in all_facts(desk) if f.name == fact], season)
    assert seen
    for line in seen:
        camps = line.partition(f"{fact} of ")[2].partition(": ")[2].split("; ")
        assert alone in [set(re.split(r" says? ", camp)[0].split(" & ")) for camp in camps], line


def test_numbers_agree_within_their_printed_digits() -> None:
    assert agree(Fact("day hours", "k", 2.5, "a"), Fact("day hours", "k", 2.46, "b", 0.05))
    assert not agree(Fact("day hours", "k", 2.5, "a"), Fact("day hours", "k", 2.4, "b", 0.05))
    assert not agree(Fact("stale", "", True, "a"), Fact("stale", "", False, "b"))


def test_a_disagreement_is_one_line_that_names_season_fact_and_tellers() -> None:
    facts = [
        Fact("depth below rim", "L08 floor", 24.0, "sheet"),
        Fact("depth below rim", "L08 floor", 21.0, "drawing"),
        Fact("depth below rim", "L08 shelf 1", 10.0, "drawing"),
    ]
    assert disagreements(facts, "X") == [
        "season X: depth below rim of L08 floor: sheet says 24 in; drawing says 21 in"
    ]
