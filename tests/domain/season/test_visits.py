"""A visit's work: its hours, who may do it, and when it waits; installs learn nothing from it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.visits import DayPart, VisitKind
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.season import Work
from tests.domain.estimate.ponds import BOOK, RULES

CREWS = (Crew("quick", "a", size=3, pace=1.3), Crew("alone", "b", size=1, pace=0.8))
V = WorkKey("V", Phase.VISIT)
LEAK = Job("V", "v", visit=VisitKind.LEAK_SEARCH)


def works(job: Job) -> dict[WorkKey, Work]:
    facts = Facts(Firm(country=""), RULES, (job,), CREWS, (), BOOK)
    return dict(season_of(facts, datetime(2027, 4, 5, 6)).works)


def hours_of(job: Job) -> dict[str, float]:
    (work,) = works(job).values()
    assert work.key == V and work.one_day and not work.after
    return {mode.crews[0]: mode.work_min / 60 for mode in work.modes}


def test_promised_hours_are_booked_as_promised_whoever_comes() -> None:
    assert hours_of(replace(LEAK, on_site_h=3.0)) == {"quick": 3.0, "alone": 3.0}


def test_two_hands_keep_a_crew_of_one_at_home() -> None:
    assert hours_of(replace(LEAK, on_site_h=3.0, hands=2)) == {"quick": 3.0}


def test_hours_of_the_book_are_safe_ones_and_two_hands_halve_them() -> None:
    """The row's likely 4 labour-hours of one hand; at 80 % more, and never more than the day's 8."""
    alone, pair = hours_of(LEAK)["quick"], hours_of(replace(LEAK, hands=2))["quick"]
    assert 4.0 < alone <= 8.0
    assert pair < alone


@pytest.mark.parametrize(("part", "most_h"), [(DayPart.MORNING, 4.5), (DayPart.AFTERNOON, 3.5)])
def test_no_visit_is_longer_than_its_part_of_the_day(part: DayPart, most_h: float) -> None:
    # a clean-out of one hand: 8 labour-hours likely; the morning ends at 12:00 after 4.5 paid hours
    job = replace(LEAK, visit=VisitKind.CLEAN_OUT, day_part=part)
    assert set(hours_of(job).values()) == {most_h}


def test_a_visit_of_a_later_season_waits_for_its_own() -> None:
    last = Firm(country="").season_last
    soon, later = (
        replace(LEAK, gates=(Gate(GateKind.START, opens, Phase.VISIT),))
        for opens in (last, date(last.year + 1, 4, 5))
    )
    assert set(works(soon)) == {V} and works(later) == {}
