"""A visit, a deposit or a permit whose day passed without a tick: a season reasoned, and what screens say."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job, Line
from planner.domain.firm.phases import Phase
from planner.domain.standing.order_gates import OrderFile
from planner.domain.standing.trade_gates import with_trade_gates
from planner.store.shipped.leads import lead_times
from tests.schedule.test_rules import SOON, booked, plan
from tests.schedule.tiny import at, season, work


def test_the_job_whose_deposit_is_in_goes_first() -> None:
    # Monday 5 April, two digs of 8 h, one crew. Both deposits were expected on Friday; Q's is ticked off, P's
    # is not and may come on Tuesday at the earliest. So Q on Monday, P on Tuesday: P waits 1 day at 10 USD.
    # The other way round Q could not begin before Wednesday: 3 days of waiting.
    file = OrderFile(lead_times(), {}, date(2027, 4, 5), Firm(country=""))
    jobs = [
        with_trade_gates(
            file,
            Job(
                code,
                code,
                lines=(Line("dig_machine_cy", 20.0),),
                latitude_deg=41.0,
                longitude_deg=-74.0,
                gates=(Gate(GateKind.DEPOSIT, date(2027, 4, 2), met=code == "Q"),),
            ),
        )
        for code in ("P", "Q")
    ]
    works = [work(job.code, 8.0, opens=job.release(Phase.DIG)) for job in jobs]
    found = plan(season(*works, jobs=jobs, weights=SOON))
    starts = {code: booked(found, code, Phase.DIG).start for code in ("P", "Q")}
    assert starts == {"Q": at(5, "07:00"), "P": at(6, "07:00")}
    assert found.cost.total_cents == 1000


def typed(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> tuple[str, str]:
    assert main(list(words)) == code, (words, capsys.readouterr())
    got = capsys.readouterr()
    return " ".join(got.out.split()), " ".join(got.err.split())


def test_every_screen_says_who_did_not_come_until_it_is_ticked_off(
    new_season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.setenv("COLUMNS", "300")
    for line in (
        "crew add Red --skills excavator,stonework,plumbing",
        "job add P1 Reed --promised 2027-04-12 -q fill_gal=900 -q hose_gpm=10 -q edge_ft=40",
        "job gate P1 electrician 2027-04-06",
        "job add P2 Hale -q edge_ft=40",
        "job gate P2 deposit 2027-04-06",
        "plan make --seconds 0",
        "plan publish",
    ):
        typed(capsys, *line.split())
    starts = [b["start"] for b in json.loads(typed(capsys, "plan", "show", "--json")[0])["data"]["bookings"]]
    assert max(starts).startswith("2027-04-06")
    # Wednesday, and nobody ticked him off: ten working days after 7 April is Wednesday 21 April
    monkeypatch.setenv("PLANNER_NOW", "2027-04-07T06:45")
    why = "electrician (did not come Tue Apr 6: as if asked anew today)"
    assert f"waits for {why} until Wed Apr 21" in typed(capsys, "board", "--json")[0]
    checked = typed(capsys, "db", "check")[0]
    assert "published plan 1: P1 cannot go as planned: planned up to Tue Apr 6" in checked
    assert "did not come Tue Apr 6: as if asked anew today" in typed(capsys, "job", "show", "P1")[0]
    office = typed(capsys, "office", "list", "--all")[0]
    assert "as if asked anew today; too late for Tue Apr 6, re-plan, or tick it off" in office
    typed(capsys, "replan", "--quick")
    typed(capsys, "plan", "publish")
    shown = json.loads(typed(capsys, "plan", "show", "--json")[0])["data"]["bookings"]
    assert max(b["start"] for b in shown) == "2027-04-21T07:00:00"
    money = "deposit (did not come Tue Apr 6: the next working day at the earliest)"
    assert money in typed(capsys, "plan", "why", "P2")[0]
    assert f"not ticked off by the office: {why}" in typed(capsys, "sheet", "Red", "2027-04-21")[0]
    # the electrician can't be left aside: nobody plans a pump's start without him
    fault = typed(capsys, "plan", "make", "--even-if", "electrician", code=2)[1]
    assert "--even-if" in fault
    # he was there after all: the tick makes the plan stale, and the next one starts the pump at once
    typed(capsys, "job", "gate", "P1", "electrician", "2027-04-06", "--met")
    assert "stale: since it was made P1 is changed (electrician ticked off)" in typed(capsys, "board")[0]
    typed(capsys, "plan", "make", "--seconds", "0", "--even-if", "told")
    shown = json.loads(typed(capsys, "plan", "show", "--draft", "--json")[0])["data"]["bookings"]
    assert max(b["start"] for b in shown) < "2027-04-09"
