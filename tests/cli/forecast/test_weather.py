"""A forecast's file taken in: what today, sheet, office and chances say by it; what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from tests.cli.conftest import Run

WET = """date,rain_chance,rain_in,low_f,high_f,wind_mph
2027-04-05,10,0.05,41,60,8
2027-04-12,90,1.2,35,47,26
2027-04-13,20,0.1,40,62,8
"""
TAKE = ("weather", "take", "w.csv", "--place", "Columbus, OH", "--made", "today")


@pytest.fixture
def wet(run: Run) -> Run:
    Path("w.csv").write_text(WET, "utf-8")
    code, out, err = run(*TAKE)
    assert code == 0, err
    assert "Mon Apr 12  rain 90 %, 1.2 in; 35 to 47 F; wind 26 mph; day lost 83 %; frost" in out
    return run


def test_today_the_office_and_the_sheet_say_what_rain_may_take(wet: Run) -> None:
    today = wet("today")[1]
    assert (
        "Weather: rain 10 %, 0.05 in; 41 to 60 F; wind 8 mph (forecast of Mon Apr 5 for Columbus, OH)"
        in today
    )
    assert "! Mon Apr 12: rain may take the day, 83 % likely" in today
    assert "planner lost rain 2027-04-12" in today
    office = wet("office", "list")[1]
    assert "Mon Apr 12 may be lost to rain, 83 % likely" in office
    assert "! Rain may take the day, 83 % likely" in wet("sheet", "North", "2027-04-12")[1]
    assert "Rain may take" not in wet("sheet", "North", "2027-04-13")[1]
    seen = json.loads(wet("today", "--json")[1])["data"]["weather"]
    assert seen["rain_may_take"][0]["day"] == "2027-04-12"


def test_a_day_called_off_is_told_no_more(wet: Run) -> None:
    assert wet("lost", "rain", "2027-04-12")[0] == 0
    assert "may be lost to rain" not in wet("office", "list")[1]
    assert "planner replan" in wet("today")[1]


def test_a_promise_counts_the_days_that_rain_may_take(run: Run) -> None:
    booked = json.loads(run("plan", "show", "--json")[1])["data"]["bookings"]
    finish = max(b["end"] for b in booked if b["job"] == "P-2")[:10]
    promised = np.busday_offset(finish, 2).astype(str)
    assert run("job", "change", "P-2", "--promised", str(promised))[0] == 0
    assert json.loads(run("board", "--json")[1])["data"]["promises"] == []
    rows = "\n".join(f"2027-04-{d:02},100,3,41,60,8" for d in range(5, 16))
    Path("w.csv").write_text(f"date,rain_chance,rain_in,low_f,high_f,wind_mph\n{rows}\n", "utf-8")
    assert run(*TAKE)[0] == 0
    (risk,) = json.loads(run("board", "--json")[1])["data"]["promises"]
    assert (risk["job"], risk["risk"], risk["spare_working_days"]) == ("P-2", "tight", 2)
    assert risk["rain_days"] > 2.9
    assert "2 working days to spare, rain may take 3.0 of its days" in run("today")[1]


def test_the_chances_go_by_it_and_without_it_by_the_climate(wet: Run) -> None:
    ask = ("chance", "show", "--seasons", "50", "--json")
    assert json.loads(wet(*ask)[1])["data"]["forecast"] == "forecast of Mon Apr 5 for Columbus, OH"
    assert wet("weather", "drop")[0] == 0
    assert json.loads(wet(*ask)[1])["data"]["forecast"] == ""
    assert wet("weather", "drop")[0] == 1
    assert "No forecast is kept" in wet("weather", "show")[1]


@pytest.mark.parametrize(
    ("text", "options", "says"),
    [
        (WET, ("--place", "Erie, PA", "--made", "today"), "the firm is in OH"),
        (WET, ("--place", "Columbus, OH", "--made", "2027-03-29"), "7 days ago"),
        (WET, ("--place", "Columbus, OH", "--made", "2027-04-08"), "after today"),
        (WET, ("--place", "Columbus, OH"), "--made"),
        (WET, ("--made", "today"), "--place"),
        (WET.replace("90,", "wet,"), TAKE[3:], "w.csv line 3: rain_chance"),
        (WET.replace("rain_chance", "chance"), TAKE[3:], "rain_chance"),
        (WET.replace("04-12", "04-05"), TAKE[3:], "write each day once"),
        ("date,rain_chance,low_f,high_f\n", TAKE[3:], "no day"),
    ],
)
def test_a_wrong_forecast_is_one_line_and_the_kept_one_stays(
    wet: Run, text: str, options: tuple[str, ...], says: str
) -> None:
    kept = Path("forecast.csv").read_bytes()
    Path("w.csv").write_text(text, "utf-8")
    code, out, err = wet("weather", "take", "w.csv", *options)
    assert (code, out) == (2, "") and says in err and err.count("\n") == 1, err
    assert Path("forecast.csv").read_bytes() == kept


def test_an_old_forecast_is_told_and_not_used(wet: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PLANNER_NOW", "2027-04-12T06:45")
    assert "the kept forecast is not used, it was made on Mon Apr 5, 7 days ago" in wet("today")[1]
    assert "may be lost to rain" not in wet("office", "list")[1]
