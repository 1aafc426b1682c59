"""Work and the material that it uses: a two-job season reasoned beside it, and the words on every screen."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job, Line
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import TICKED, OfficeMark
from planner.domain.standing.order_gates import OrderFile, with_order_gates
from planner.store.shipped.leads import lead_times
from tests.schedule.test_rules import SOON, booked, plan
from tests.schedule.tiny import at, season, work


def test_the_liner_that_is_here_is_laid_first() -> None:
    # Monday 5 April, two liners of 8 h, one crew. Q's is in the yard: laid on Monday. Nobody ordered P's: ten
    # working days after Monday is Monday 19 April. In any other order Q would wait too.
    # Waiting: Q 0 days, P 14 days at 10 USD.
    file = OrderFile(
        lead_times(), {"here:Q:liner": OfficeMark("here:Q:liner", TICKED)}, date(2027, 4, 5), Firm(country="")
    )
    jobs = [
        with_order_gates(
            file, Job(c, c, lines=(Line("liner_ft2", 400.0),), latitude_deg=41.0, longitude_deg=-74.0)
        )
        for c in ("P", "Q")
    ]
    works = [work(job.code, 8.0, Phase.LINER, opens=job.release(Phase.LINER)) for job in jobs]
    found = plan(season(*works, jobs=jobs, weights=SOON))
    starts = {code: booked(found, code, Phase.LINER).start for code in ("P", "Q")}
    assert starts == {"Q": at(5, "07:00"), "P": at(19, "07:00")}
    assert found.cost.total_cents == 14000


def typed(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> tuple[str, str]:
    assert main(list(words)) == code, (words, capsys.readouterr())
    got = capsys.readouterr()
    return " ".join(got.out.split()), " ".join(got.err.split())


def test_every_screen_says_what_is_waited_for(
    new_season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.setenv("COLUMNS", "300")
    for line in (
        "crew add Red --skills excavator,stonework,plumbing",
        "machine add excavator excavator",
        "job add P1 Reed -q liner_ft2=400 -q boulder_small_ton=2",
        "plan make --seconds 0",
        "plan publish",
    ):
        typed(capsys, *line.split())
    # nobody ordered: ten working days after Monday 5 April is Monday 19 April
    shown = json.loads(typed(capsys, "plan", "show", "1", "--json")[0])["data"]["bookings"]
    assert min(b["start"] for b in shown) == "2027-04-19T07:00:00"
    waits = "liner and underlayment not ordered (10 working days of lead)"
    assert waits in typed(capsys, "plan", "why", "P1")[0]
    assert waits in typed(capsys, "job", "show", "P1")[0]
    assert f"not ticked off by the office: {waits}" in typed(capsys, "sheet", "Red", "2027-04-19")[0]
    # two days later still nobody has: the plan can't be kept, and board, season and office say so
    monkeypatch.setenv("PLANNER_NOW", "2027-04-07T06:45")
    assert f"waits for {waits}" in typed(capsys, "board", "--week", "2027-04-19", "--json")[0]
    assert f"waits for {waits}" in typed(capsys, "season")[0]
    sheet = typed(capsys, "sheet", "Red", "2027-04-19")[0]
    assert sheet.count(waits) == 2, "liner and the rock on it are told, once each"
    assert "planner job change" not in sheet, "no command of the office on a crew's paper"
    assert f"waits for {waits}" in typed(capsys, "plan", "show", "1")[0]
    assert "10 working days of lead are no longer left" in typed(capsys, "office", "list", "--all")[0]
    # the supplier says Wednesday 21 April; the dig of that plan is then too early, and a re-plan moves it
    assert (
        "confirmed for Wed Apr 21"
        in typed(capsys, "office", "arrives", "P1", "liner", "--on", "2027-04-21")[1]
    )
    assert "too late for Mon Apr 19" in typed(capsys, "office", "list", "--all")[0]
    out, _ = typed(capsys, "replan", "--quick")
    assert "waits for liner and underlayment confirmed for Wed Apr 21" in out
    # all is here: the board is silent
    assert "liner and underlayment for P1: here" in typed(capsys, "office", "here", "P1")[1]
    typed(capsys, "plan", "publish")
    assert "waits for" not in typed(capsys, "board", "--week", "2027-04-19", "--json")[0]
    fault = typed(capsys, "office", "here", "P1", "pump", code=2)[1]
    assert "the orders of P1 are liner, stone" in fault


def test_what_did_not_come_on_its_day_holds_the_work_until_it_is_ticked_off(
    new_season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.setenv("COLUMNS", "300")
    for line in (
        "crew add Red --skills excavator,stonework,plumbing",
        "job add P1 Reed -q liner_ft2=400",
        "job add P2 Hale -q liner_ft2=400",
        "job gate P2 material 2027-04-06 --phase liner",
        "office arrives P1 liner --on 2027-04-06",
        "plan make --seconds 0",
        "plan publish",
    ):
        typed(capsys, *line.split())
    shown = json.loads(typed(capsys, "plan", "show", "--json")[0])["data"]["bookings"]
    assert min(b["start"] for b in shown) == "2027-04-06T07:00:00"
    # Wednesday, and nobody ticked either off: both wait for Thursday at the earliest, and all screens say so
    monkeypatch.setenv("PLANNER_NOW", "2027-04-07T06:45")
    late = (
        "liner and underlayment confirmed for Tue Apr 6, did not come: the next working day at the earliest"
    )
    entered = "material arrival (did not come Tue Apr 6: the next working day at the earliest)"
    board = typed(capsys, "board", "--json")[0]
    assert f"waits for {late} until Thu Apr 8" in board and f"waits for {entered} until Thu Apr 8" in board
    assert late in typed(capsys, "job", "show", "P1")[0]
    assert "did not come Tue Apr 6" in typed(capsys, "job", "show", "P2")[0]
    office = typed(capsys, "office", "list", "--all")[0]
    assert "did not come" in office and "too late for Tue Apr 6: re-plan, or tick it off" in office
    typed(capsys, "replan", "--quick")
    typed(capsys, "plan", "publish")
    shown = json.loads(typed(capsys, "plan", "show", "--json")[0])["data"]["bookings"]
    assert min(b["start"] for b in shown) == "2027-04-08T07:00:00"
    assert late in typed(capsys, "plan", "why", "P1")[0]
    assert f"not ticked off by the office: {late}" in typed(capsys, "sheet", "Red", "2027-04-08")[0]
    # it lies there after all: the tick makes the plan stale, and the next one lays the liner at once
    typed(capsys, "office", "here", "P1", "liner")
    stale = "stale: since it was made liner and underlayment of P1: here; act before the work of Thu Apr 8"
    for screen in ("board", "season", "office list", "today", "plan show"):
        assert stale in typed(capsys, *screen.split())[0], screen
    typed(capsys, "plan", "make", "--seconds", "0", "--even-if", "told")
    shown = json.loads(typed(capsys, "plan", "show", "--draft", "--json")[0])["data"]["bookings"]
    assert min(b["start"] for b in shown if b["job"] == "P1").startswith("2027-04-07")


def test_a_plan_made_even_if_material_lacks_says_so_everywhere(
    new_season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.setenv("COLUMNS", "300")
    for line in (
        "crew add Red --skills excavator,stonework,plumbing",
        "job add P1 Reed -q liner_ft2=400",
        "plan make --seconds 0 --even-if material --note hurry",
        "plan publish",
    ):
        typed(capsys, *line.split())
    # 400 ft2 of liner are laid on this very Monday, although nobody has ordered them
    shown = json.loads(typed(capsys, "plan", "show", "1", "--json")[0])["data"]
    assert shown["bookings"][0]["start"] == "2027-04-05T07:00:00"
    assert shown["note"] == "even if material: hurry"
    assert "even if material" in typed(capsys, "history", "list")[0]
    waits = "waits for liner and underlayment not ordered (10 working days of lead)"
    assert waits in typed(capsys, "board", "--json")[0]
    assert f"Cannot go as planned: {waits}" in typed(capsys, "sheet", "Red", "2027-04-05")[0]
    fault = typed(capsys, "plan", "make", "--even-if", "rain", code=2)[1]
    assert "--even-if" in fault and "locate" in fault
