"""Labor in dollars: the ledger's own hours at the burdened rate; parts add up to the whole."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.domain.firm.money import Labor
from planner.domain.firm.phases import Phase
from planner.domain.hours.budget import budget, summed
from tests.domain.hours.test_ledger import facts, look, worked

#: 24 USD an hour for 1,800 h, as if all paid hours were worked: social security, Medicare, compensation and
#: liability as shares of wages, 0.006 of 7,000 and 0.027 of 9,000 USD of unemployment, 3,000 USD of benefits.
BY_HAND_USD_H = (43_200 * 1.1665 + 42 + 243 + 3_000) / 1_800


def test_the_burdened_rate_is_the_one_reckoned_by_hand() -> None:
    assert Labor(unworked_h_year=0).burdened_usd_h == pytest.approx(BY_HAND_USD_H, abs=0.01)


def test_dollars_are_the_ledgers_hours_times_hands_times_the_rate() -> None:
    seen = look(facts(worked(Phase.DIG, 9.0, 1.0), worked(Phase.SET_FILTERS, 2.0, 0.4)))
    found = budget(seen, 30.0)
    for hours, dollars in zip(seen.jobs, found.jobs, strict=True):
        for phase, account in hours.phases.items():
            told, hands = dollars.phases[phase], hours.people[phase]
            assert told.sold_usd == pytest.approx(account.sold_h * hands * 30)
            assert told.left_usd == pytest.approx(account.left_h * hands * 30)
    begun = found.jobs[0]
    # three people of North, nine hours of digging: 9 x 3 x 30
    assert begun.phases[Phase.DIG].worked_usd == pytest.approx(810)
    assert begun.dollars.end_usd == pytest.approx(begun.dollars.worked_usd + begun.dollars.left_usd)
    assert begun.dollars.worked_usd < begun.likely_usd < begun.safe_usd


def test_logged_hands_count_and_not_the_usual_ones() -> None:
    alone = replace(worked(Phase.DIG, 9.0, 1.0), people=1)
    assert budget(look(facts(alone)), 30.0).jobs[0].phases[Phase.DIG].worked_usd == pytest.approx(270)


def test_phases_crews_and_jobs_add_up_to_the_whole() -> None:
    found = budget(look(facts(worked(Phase.DIG, 9.0, 1.0, "South"))), 41.5)
    whole = found.dollars
    for parts in (found.by_phase().values(), found.by_crew().values(), (j.dollars for j in found.jobs)):
        added = summed(parts)
        for name in ("sold_usd", "now_usd", "worked_usd", "left_usd", "end_usd", "over_usd"):
            assert getattr(added, name) == pytest.approx(getattr(whole, name))
    assert set(found.by_crew()) == {"North", "South"}


def test_a_finished_job_has_no_range_left() -> None:
    seen = look(facts(*(worked(phase, 5.0, 1.0) for phase in Phase if phase is not Phase.VISIT)))
    done = budget(seen, 30.0).jobs[0]
    assert done.dollars.left_usd == 0
    assert done.likely_usd == done.safe_usd == pytest.approx(done.dollars.worked_usd)
