"""The season at a glance: bars, ISO weeks, load against capacity, added up by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from planner.domain.estimate.remaining import going_factor
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.plan import Booking, Cost, Plan, PlanState
from planner.domain.season.season import Mode, Season, Work
from planner.domain.standing.view import season_view


def at(month: int, day: int, hour: float = 7) -> datetime:
    return datetime(2027, month, day) + timedelta(hours=hour)


def row(code: str, start: datetime, end: datetime, *crews: str) -> Booking:
    return Booking(WorkKey(code, Phase.DIG), crews, start, end, 8.0)


def season_of(*rows: Booking) -> Season:
    return Season(
        firm=Firm(),
        jobs={b.job: Job(b.job, "client", promised=date(2027, 5, 7)) for b in rows},
        crews={
            "Heron": Crew("Heron", "Ada"),
            "Otter": Crew("Otter", "Bo", days_off=(DayRange(date(2027, 5, 6), date(2027, 5, 7)),)),
        },
        machines={},
        works={b.key: Work(b.key, (Mode(b.crews, 480.0),)) for b in rows},
        now=at(5, 3, 6),
        last_day=date(2027, 5, 21),
    )


def plan_of(*rows: Booking) -> Plan:
    return Plan(rows, Cost(), PlanState.FEASIBLE, at(5, 3), number=4)


def test_bars_and_weeks() -> None:
    # P-1: Wednesday to Tuesday, 5 shifts of Heron; P-2: Monday noon to Monday evening, both crews.
    rows = (
        row("P-1", at(5, 5), at(5, 11, 15.5), "Heron"),
        row("P-2", at(5, 3, 11.5), at(5, 3, 15.5), "Otter", "Heron"),
    )
    season = season_of(*rows)
    view = season_view(
        replace(season, published={rows[0].key: replace(rows[0], end=at(5, 10))}), plan_of(*rows)
    )
    assert [(b.job, b.crew, b.first, b.finish, b.late_days) for b in view.bars] == [
        ("P-2", "Otter", date(2027, 5, 3), date(2027, 5, 3), 0),
        ("P-1", "Heron", date(2027, 5, 5), date(2027, 5, 11), 2),
    ]
    assert view.crews["Heron"][0].told == date(2027, 5, 10)
    first, second, third = view.weeks
    assert (first.year, first.week, first.monday) == (2027, 18, date(2027, 5, 3))
    assert first.booked_h == pytest.approx(3 * 8 + 2 * 4)
    assert first.capacity_h == pytest.approx(5 * 8 + 3 * 8)
    assert second.booked_h == pytest.approx(2 * 8)
    assert (first.starts, second.starts, second.water_in) == (("P-1", "P-2"), (), ("P-1",))
    assert third.load == 0.0


def test_a_logged_day_counts_once_and_only_what_is_left_is_to_go() -> None:
    """27 h planned, 9 h logged on Monday: 9 worked and 18 to go are 27, not 9 on top of a whole day.

    The plan: Heron from Monday to Thursday 10:00, 3 x 8 + 3 h. Monday's planned 8 h give way to its 9 h.
    """
    told = row("P-1", at(5, 3), at(5, 6, 10), "Heron")
    season = season_of(told)
    before = season_view(season, plan_of(told)).weeks[0]
    assert (before.worked_h, before.to_go_h) == (0.0, pytest.approx(27.0))
    monday = Log(date(2027, 5, 3), "Heron", "P-1", Phase.DIG, 9.0, share_done=0.3)
    worked = Booking(told.key, ("Heron",), at(5, 3), at(5, 3, 15.5), 9.0, begun=True)
    after = season_view(replace(season, done=(worked,)), plan_of(told), [monday]).weeks[0]
    assert (after.worked_h, after.to_go_h) == (9.0, pytest.approx(19.0))
    assert after.booked_h == pytest.approx(28.0)


def test_weeks_are_iso_weeks_over_new_year() -> None:
    # 2026 has 53 ISO weeks: Monday 28 December 2026 begins 2026-W53 (ISO 8601, derived from the calendar).
    late = row("P-1", datetime(2026, 12, 28, 7), datetime(2027, 1, 4, 15, 30), "Heron")
    season = replace(season_of(late), now=datetime(2026, 12, 28, 6), last_day=date(2027, 1, 8))
    weeks = season_view(season, plan_of(late)).weeks
    assert [(w.year, w.week) for w in weeks] == [(2026, 53), (2027, 1)]


def test_done_work_starts_the_bar() -> None:
    rows = (row("P-1", at(5, 5), at(5, 6, 15.5), "Heron"),)
    done = Booking(WorkKey("P-1", Phase.SET_FILTERS), ("Otter",), at(4, 28), at(4, 28, 15.5), 8.0)
    logged = Log(date(2027, 4, 28), "Otter", "P-1", Phase.SET_FILTERS, 8.0, done=True)
    view = season_view(replace(season_of(*rows), done=(done,)), plan_of(*rows), [logged])
    (bar,) = view.bars
    assert (bar.crew, bar.first, bar.begun) == ("Otter", date(2027, 4, 28), True)
    assert view.weeks[0].booked_h == pytest.approx(8.0)


@pytest.mark.parametrize(
    ("planned", "spent", "share", "factor"),
    [
        (20, 10, 0.5, 1.0),  # on plan
        (20, 20, 0.5, 1.5),  # half done took the whole plan: half the weight says twice as long
        (20, 5, 0.5, 0.75),
        (20, 0, 0.0, 1.0),  # nothing known yet
        (20, 19, 0.95, 1.0),
        (20, 400, 0.9, 3.0),  # kept in bounds
        (20, 0, 1.0, 1 / 3),
        (0, 5, 0.5, 1.0),
    ],
)
def test_rest_is_corrected_by_how_it_goes(planned: float, spent: float, share: float, factor: float) -> None:
    assert going_factor(planned, spent, share) == pytest.approx(factor)
