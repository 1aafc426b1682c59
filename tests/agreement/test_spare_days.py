"""Every screen counts the same working days to spare."""

from __future__ import annotations

from datetime import date

from planner.domain.crew_day.board import promises
from planner.domain.firm.jobs import Job
from planner.domain.standing.roster import Roster
from planner.domain.standing.standing import plan_standing
from planner.domain.standing.view import season_view
from planner.report.wording import spare_words
from planner.schedule.answers.explain import spare_of
from tests.domain.standing.test_standing import CREWS, FIRM, booked, plan
from tests.schedule.tiny import season, work


def test_every_screen_counts_the_same_working_days_to_spare() -> None:
    """Finish Fri 16 April: promised Mon 26 there are Mon to Mon, six working days; promised Sun 18, none;
    promised Thu 15, one late; finished Sunday after a promise on Saturday is late by 1, not by 0."""
    for last, promised, days in ((16, 26, 6), (16, 18, 0), (16, 15, -1), (18, 17, -1), (19, 16, -1)):
        job = Job("A", "Ames", promised=date(2027, 4, promised))
        made = plan(booked("A", 14, last))
        (stands,) = plan_standing(made, Roster(FIRM, {"A": job}, CREWS, {})).jobs
        (told,) = promises(Roster(FIRM, {"A": job}, CREWS, {}), made)
        s = season(work("A", 8.0), jobs=[job], crews=["Heron"], firm=FIRM)
        (bar,) = season_view(s, made).bars
        assert {stands.spare_days, told.spare_days, spare_of(s, made.bookings, "A")} == {days}
        assert bar.late_days == max(0, -days)
        assert stands.late is (days < 0)
    assert [spare_words(n) for n in (3, 1, -2, None)] == [
        "3 working days to spare",
        "1 working day to spare",
        "2 working days late",
        "no promise",
    ]
