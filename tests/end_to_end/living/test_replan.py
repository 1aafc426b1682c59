"""Re-plan as typed: a draft, changes in words, nothing published, stale plans refused, breaches none."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from planner.domain.firm.actuals import Log
from planner.domain.season.breaches import breaches
from planner.domain.season.facts import season_of
from planner.domain.season.plan import Plan
from planner.domain.season.season import Season
from planner.domain.standing.stints import stints
from planner.flow.season.replan import replan
from planner.flow.stored.facts import load_facts
from planner.flow.stored.roster import read_in_force
from planner.store.engine import Store

from .conftest import Run


def newest_breaches() -> list[str]:
    location, now = os.environ["PLANNER_DB"], datetime.fromisoformat(os.environ["PLANNER_NOW"])
    with Store(location).reading() as book:
        plan = book.plan()
    return [b.text for b in breaches(season_of(load_facts(location), now), plan.bookings)]


def published(run: Run) -> int:
    heads = [h for h in run("plan", "list", "--json").data if h["published_at"]]
    return int(heads[0]["number"])


def test_there_must_be_a_plan(run: Run) -> None:
    typed = run("replan", "--quick")
    assert (typed.code, "no plan yet" in typed.err) == (1, True)


def test_a_rain_day_is_repaired_and_told(planned: Run) -> None:
    planned("lost", "rain", "2027-04-06")
    typed = planned("replan", "--quick", "--json", at="2027-04-06T06:00")
    assert typed.code == 0, typed.err
    told = typed.data
    assert told["state"] == "order kept"
    assert told["repaired_cents"] == told["total_cents"]
    assert told["least_disturbing"]["customers_to_call"] <= told["customers_to_call"]
    assert told["disturbs"]["customers_to_call"] == told["customers_to_call"]
    assert told["jobs"] == len(told["changes"]) > 0
    assert told["customers_to_call"] == sum(c["call"] for c in told["changes"])
    assert "rain on Tue Apr 6" in {c["why"] for c in told["changes"]}
    assert newest_breaches() == []
    fewest = planned("replan", "--fewest-calls", "--json", at="2027-04-06T06:00").data
    assert fewest["disturbs"] == fewest["least_disturbing"] == told["least_disturbing"]
    assert newest_breaches() == []
    # a draft only: crews still go by the first plan until it is published
    assert published(planned) == 1
    page = planned("replan", "--quick", at="2027-04-06T06:00")
    assert "because: rain on Tue Apr 6" in page.out
    assert planned("plan", "publish", at="2027-04-06T06:01").code == 0
    assert published(planned) == 4


def test_improving_is_never_worse_than_the_order_kept(planned: Run) -> None:
    planned("lost", "sick", "Otter", "2027-04-06", "--until", "2027-04-09")
    told = planned("replan", "--seconds", "0.1", "--json").data
    assert told["repaired_cents"] is None or told["total_cents"] <= told["repaired_cents"]
    assert newest_breaches() == []


def test_short_hands_broken_machines_and_waits_are_obeyed(planned: Run) -> None:
    planned("lost", "short", "Heron", "2027-04-06", "--people", "1")
    planned("lost", "machine", "excavator", "2027-04-07")
    planned("lost", "delivery", "P-03", "--phase", "rock", "--arrives", "2027-04-16")
    planned("lost", "inspection", "P-02", "--phase", "fill", "--again", "2027-04-14")
    planned("lost", "rain", "2027-04-08", "--region", "north")
    for words in (("--quick",), ("--seconds", "0.1")):
        assert planned("replan", *words).code == 0
        assert newest_breaches() == []


def test_progress_is_fact_and_the_rest_goes_on(planned: Run) -> None:
    bookings = planned("plan", "show", "--json").data["bookings"]
    first = min(bookings, key=lambda b: b["start"])
    words = (first["job"], first["phase"], first["crews"][0])
    planned("log", "add", *words, "8", "--share", "50", at="2027-04-05T16:00")
    told = planned("replan", "--quick", "--json", at="2027-04-06T06:00").data
    assert newest_breaches() == []
    mine = [
        b for b in planned("plan", "show", "--draft", "--json").data["bookings"] if b["job"] == first["job"]
    ]
    rest = min(mine, key=lambda b: b["start"])
    assert (rest["phase"], rest["crews"][0], rest["start"]) == (*words[1:], "2027-04-06T07:00:00")
    change = next(c for c in told["changes"] if c["job"] == first["job"])
    assert change["begun"]


def test_a_morning_after_a_day_that_went_as_planned_moves_nothing(
    planned: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    location, day, morning = os.environ["PLANNER_DB"], date(2027, 4, 5), datetime(2027, 4, 6, 6, 45)
    with Store(location).reading() as book:
        roster, plan = read_in_force(book, location, day)
    rows = [s for crew in roster.crews for s in stints(roster, plan, crew, day) if s.crew == s.booking.lead]
    assert rows
    with Store(location).writing(who="test") as book:
        for row in rows:
            mine = [b for b in plan.bookings if b.key[:2] == row.key[:2]]
            done = all(b.end.date() <= day for b in mine)
            share = None if done else row.crew_h / sum(b.crew_h for b in mine)
            book.save_log(Log(day, row.crew, *row.key[:2], row.crew_h, share, done))
    monkeypatch.setenv("PLANNER_NOW", morning.isoformat())
    anew = replan(location, morning, seconds=0)
    assert (anew.found, anew.plan.cost.cents["moved"], anew.disturbs.calls) == ((), 0, 0)


def test_a_plan_is_stale_once_somebody_logged(planned: Run) -> None:
    planned("replan", "--quick")
    planned("log", "add", "P-01", "dig", "Heron", "1")
    typed = planned("plan", "publish")
    assert (typed.code, "stale" in typed.err) == (1, True)
    assert published(planned) == 1
    planned("replan", "--quick")
    assert planned("plan", "publish").code == 0


def test_a_new_job_is_taken_in_without_hurting_a_promise(planned: Run) -> None:
    planned("job", "change", "P-90", "--status", "sold", "--promised", "2027-05-20")
    before = planned("plan", "show", "--json").data
    told = planned("replan", "--quick", "--json").data
    assert "P-90" in {c["job"] for c in told["changes"]}
    assert planned("plan", "show", "--draft", "--json").data["kept"] >= before["kept"]
    assert newest_breaches() == []


def test_bad_options(planned: Run) -> None:
    assert planned("replan", "--seconds", "0").code == 2
    assert planned("replan", "--seconds", "nan").code == 2
    assert planned("replan", "--seed", "-1").code == 2


def test_two_versions_side_by_side(planned: Run) -> None:
    assert planned("plan", "diff", "--json").data["jobs"] == 0
    planned("lost", "rain", "2027-04-06")
    told = planned("replan", "--quick", "--json").data
    shown = planned("plan", "diff", "--json").data
    assert (shown["old"], shown["new"]) == (1, 2)
    assert shown["changes"] == told["changes"]
    back = planned("plan", "diff", "2", "1", "--json").data
    assert {c["job"] for c in back["changes"]} == {c["job"] for c in shown["changes"]}
    assert "because: rain on Tue Apr 6" in planned("plan", "diff", "--crews").out
    assert planned("plan", "diff", "1", "9").code == 2


def test_going_back_to_the_plan_before(planned: Run) -> None:
    planned("lost", "rain", "2027-04-06")
    planned("replan", "--quick")
    planned("plan", "publish", at="2027-04-05T07:00")
    assert published(planned) == 2
    assert planned("plan", "back", at="2027-04-05T08:00").code == 1
    assert planned("plan", "back", "--even-so", at="2027-04-05T08:00").code == 0
    heads = planned("plan", "list", "--json").data
    assert max((h["published_at"], h["number"]) for h in heads if h["published_at"])[1] == 1


def test_no_published_plan_to_compare_with(run: Run) -> None:
    assert run("plan", "diff").code == 1


def test_slack_makes_the_search_aim_before_the_promise(planned: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    from planner.schedule import solve as room

    aims: list[dict[str, date | None]] = []
    real = room.solve

    def seen(season: Season, **options: object) -> Plan:
        aims.append({code: job.promised for code, job in season.jobs.items()})
        return real(season, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(room, "solve", seen)
    for days in ("0", "3"):
        assert planned("replan", "--seconds", "0.2", "--slack", days).code == 0
    plain, early = aims
    assert any(plain.values())
    assert early == {code: day and day - timedelta(days=3) for code, day in plain.items()}


def test_after_a_day_as_planned_nothing_moves_and_nothing_is_paid(planned: Run) -> None:
    """Every crew does on Monday what the plan said: on Tuesday the order kept has no change, $0 moved."""
    evening, morning = "2027-04-05T18:00", "2027-04-06T06:45"
    stints = [s for s in planned("board", "--json").data["stints"] if s["day"] == "2027-04-05"]
    booked = {(b["job"], b["phase"]): b for b in planned("plan", "show", "--json").data["bookings"]}
    for s in stints:
        whole = booked[s["job"], s["phase"]]["crew_h"]
        done = ("--done",) if s["crew_h"] >= whole else ("--share", round(100 * s["crew_h"] / whole, 1))
        words = (s["job"], s["phase"], s["crew"], s["crew_h"], "--day", "2027-04-05", *done)
        assert planned("log", "add", *words, at=evening).code == 0
    told = planned("replan", "--quick", "--json", at=morning).data
    assert [c for c in told["changes"] if c["begun"]] == []
    assert not any("keep other promises" in c["why"] for c in told["changes"])
    assert planned("plan", "show", "--json", at=morning).data["cost_cents"]["moved"] == 0


def test_an_excavator_that_is_sold_leaves_the_choice_free(planned: Run) -> None:
    """The published plan names a unit that is gone: the others take its work."""
    assert planned("machine", "change", "excavator", "--units", "3").code == 0
    with Store(os.environ["PLANNER_DB"]).writing() as book:
        plan = book.plan()
        moved = tuple(
            replace(b, machines=tuple(u._replace(unit=3) for u in b.machines)) for b in plan.bookings
        )
        assert any(b.machines for b in moved)
        book.publish(book.save_plan(replace(plan, number=0, bookings=moved, published_at=None)), plan.made_at)
    assert planned("machine", "change", "excavator", "--units", "1").code == 0
    for line in (["replan", "--quick"], ["replan", "--seconds", "0.1"], ["promise", "ask", "P-3"]):
        typed = planned(*line)
        assert typed.code in (0, 1, 2), (line, typed.err)
        assert "Traceback" not in typed.err
    assert planned("replan", "--quick").code == 0
    assert newest_breaches() == []
