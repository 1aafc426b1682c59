"""Nine late inquiries on a full season: each gets a comfortable day, or a proof that there is none."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from statistics import fmean

import pytest

from planner.domain.dates import long_day
from planner.domain.firm.records import Hold
from planner.domain.forecast.outlook import kept_chance
from planner.domain.season.facts import season_of
from planner.domain.season.promise import Offer, taken_in
from planner.errors import NoPlanFits
from planner.flow.forecast.playing import basis_of, played
from planner.flow.season.plans import make_plan, publish
from planner.flow.season.promise import offer
from planner.flow.stored.facts import load_facts
from planner.report.season.promise import advice
from planner.store.engine import Store

from .conftest import MORNING, season_db

SIZES = (0.6, 0.8, 1.0, 1.2, 0.7, 0.9, 1.1, 0.5, 1.0)


@pytest.fixture
def full(tmp_path: Path) -> str:
    """14 jobs for one crew, promised as they come: its season is sold until the end of May."""
    location = str(tmp_path / "full.sqlite3")
    season_db(location, jobs=14, crews=1)
    made = make_plan(location, MORNING, seconds=60, steps=0)
    publish(location, made.plan.number, MORNING, "test")
    return location


def _sold(location: str, found: Offer, size: float) -> None:
    """The inquiry sold at the day that was offered, as a held place until next year."""
    with Store(location).writing(who="test") as book:
        like = next(job for job in book.jobs() if job.code == "P-90")
        lines = tuple(
            replace(line, quantity=line.quantity * size)
            if line.item not in {"hose_gpm", "filter_boxes", "connections"}
            else line
            for line in like.lines
        )
        book.save_job(replace(like, code=found.job, lines=lines))
        book.save_hold(Hold(found.job, date(2027, 12, 31), found.start, found.percentile_day, found.crew, ""))


def test_each_of_nine_late_inquiries_gets_a_day_that_is_kept(full: str) -> None:
    offers = []
    for n, size in enumerate(SIZES):
        found = offer(full, MORNING, f"Q-{n}", like="P-90", size=size)
        assert found.in_season and found.percentile == 90
        assert found.earliest <= found.percentile_day
        _sold(full, found, size)
        offers.append(found)
    assert len({o.percentile_day for o in offers}) > 1
    # all nine sold at their days, played anew in other luck than the offers were made from
    facts = load_facts(full)
    for found in offers:
        job = next(j for j in facts.jobs if j.code == found.job)
        facts = taken_in(facts, job, found.waits, found.percentile_day)
    season, basis = season_of(facts, MORNING), basis_of(full, facts, MORNING.date())
    draws = played(facts, season, offers[-1].plan.bookings, basis, seasons=400, seed=77)
    kept = {o.job: kept_chance(season, draws, o.job) for o in offers}
    told = [chance or 0.0 for chance in kept.values()]
    assert fmean(told) >= 0.85 and min(told) >= 0.75, kept


def test_where_the_season_is_over_it_is_proven(full: str) -> None:
    # 14 jobs take the one crew until the end of May; a season that ends on April 9 has five working days
    with Store(full).writing(who="test") as book:
        book.save_firm(replace(book.firm(), season_last=date(2027, 4, 9)))
    with pytest.raises(NoPlanFits):
        offer(full, MORNING, "Q-1", like="P-90")


def test_a_day_beyond_the_season_is_not_offered(full: str) -> None:
    found = offer(full, MORNING, "Q-1", like="P-90")
    late = replace(found, in_season=False, earlier=())
    assert long_day(found.percentile_day) in advice(found)
    assert "not even before others" in advice(late) and "promise next season" in advice(late)
