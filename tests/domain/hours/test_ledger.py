"""Labour as an owner looks at it: sums that add up, and what goes wrong is found."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from planner.domain.firm.actuals import Log
from planner.domain.firm.jobs import Status
from planner.domain.firm.phases import Phase
from planner.domain.hours.ledger import Account, Ledger, ledger, summed
from planner.domain.season.facts import Facts
from planner.domain.season.job_hours import job_hours
from tests.domain.estimate.ponds import BOOK, EXCAVATOR, FIRM, NORTH, RULES, pond, with_rate

TODAY = date(2027, 4, 9)
SOUTH = replace(NORTH, name="South", size=2)


def facts(*logs: Log, **changed: object) -> Facts:
    jobs = (replace(pond("P-1"), status=Status.UNDER_WAY), replace(pond("P-2"), status=Status.SOLD))
    made = Facts(FIRM, RULES, jobs, (NORTH, SOUTH), (EXCAVATOR,), BOOK, tuple(logs))
    return replace(made, **changed)  # type: ignore[arg-type]


def worked(phase: Phase, hours: float, share: float, crew: str = "North", day: int = 6) -> Log:
    return Log(date(2027, 4, day), crew, "P-1", phase, hours, share, done=share >= 1)


def look(found: Facts) -> Ledger:
    return ledger(found, found.jobs, None, TODAY)


def test_left_is_what_every_other_screen_counts() -> None:
    found = facts(worked(Phase.DIG, 9.0, 1.0), worked(Phase.SET_FILTERS, 2.0, 0.4))
    seen = look(found)
    for row in seen.jobs:
        job = next(j for j in found.jobs if j.code == row.job)
        held = job_hours(found, job, None, "North")
        assert row.account.left_h == held.to_go_h
        assert row.account.worked_h == held.worked_h
        assert row.account.end_h == held.whole_h


def test_phases_and_crews_add_up_to_the_whole() -> None:
    seen = look(facts(worked(Phase.DIG, 9.0, 1.0, "South"), worked(Phase.SET_FILTERS, 2.0, 0.4)))
    whole = seen.account
    for parts in (seen.by_phase().values(), seen.by_crew().values(), (j.account for j in seen.jobs)):
        added = summed(parts)
        for name in ("sold_h", "now_h", "worked_h", "left_h", "end_h"):
            assert getattr(added, name) == pytest.approx(getattr(whole, name))
    assert set(seen.by_crew()) == {"North", "South"}
    assert seen.by_crew()["South"].worked_h == 9.0


def test_what_was_sold_stays_when_the_book_moves_on() -> None:
    """The newest edition takes 20 h to place a ton of waterfall stone: only `now` follows."""
    before = look(facts())
    newer = with_rate("waterfall.set", 20.0)
    told = dict.fromkeys(("P-1", "P-2"), BOOK)
    after = look(facts(rates=newer, told_by=told))
    assert after.account.sold_h == before.account.sold_h == before.account.now_h
    assert after.account.now_h > before.account.now_h + 10
    assert after.account.left_h == before.account.left_h


def test_a_job_that_goes_wrong_is_found_while_phases_are_left() -> None:
    calm = look(facts(worked(Phase.DIG, 6.0, 1.0)))
    assert calm.wrong() == [] and calm.jobs[0].begun
    sold = calm.jobs[0].phases[Phase.DIG].sold_h
    slow = look(facts(worked(Phase.DIG, 1.5 * sold, 0.5)))
    assert [j.job for j in slow.wrong()] == ["P-1"]
    assert slow.jobs[0].wrong == (Phase.DIG,)
    assert slow.jobs[0].within[Phase.DIG] == 0.0, "its hours are spent already"
    assert slow.jobs[0].chance < 0.5 < calm.jobs[0].chance


def test_set_up_and_driving_are_hours_of_their_own() -> None:
    """Two days on site of 0.75 h each; 2 x unknown miles at the firm's speed each day."""
    found = facts(worked(Phase.DIG, 7.0, 0.6, day=6), worked(Phase.DIG, 3.0, 1.0, day=7))
    row = look(found).jobs[0].worked
    assert (row.site_days, row.setup_h) == (2, 1.5)
    assert row.driving_h == pytest.approx(2 * 2 * FIRM.unknown_site_mi / FIRM.road_mph)
    assert row.phase_setup_h == pytest.approx(
        BOOK.value("dig.setup") * BOOK.value("occupied") / NORTH.size, rel=0.2
    )


def test_an_account_tells_what_is_over() -> None:
    both = Account(10.0, 11.0, 4.0, 8.0).plus(Account(5.0, 5.0, 0.0, 5.0))
    assert (both.end_h, both.over_h) == (17.0, 2.0)
