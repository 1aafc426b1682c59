"""A second season, different from the demo's, typed in only through CSV files: it plans and prints.

An invented metric firm on the other coast: four long days a week, one crew without a machine driver.
"""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.domain.firm.calendar import is_working_day
from planner.domain.season.breaches import breaches
from planner.domain.season.cost import plan_cost
from planner.domain.season.facts import season_of
from planner.flow.stored.facts import load_facts
from planner.store.engine import Store

NOW = "2028-05-01T06:30"
CREWS = """\
name,lead,size,skills,pace
Basalt,Noor,4,excavator stonework plumbing,1
Cedar,Lou,2,stonework plumbing,0.9
"""
MACHINES = """\
key,words,units,move_cost_usd,move_h,bucket_ft3,mass_t
excavator,small excavator,1,200,1,1.2,1.2
"""
JOBS = """\
code,client,address,status,promised,access,soil,carry_ft,region,dig_machine_cy,dig_hand_cy,filter_boxes,\
liner_ft2,boulder_medium_ton,gravel_ton,pipe_ft,connections,sealed_joints,fill_gal,hose_gpm,edge_ft
N1,"Ō'Neil; [bold]",1 Tide Road,sold,2028-06-01,machine,sand,40,coast,12,2,2,480,5,2.5,40,6,2,3000,12,60
N2,Ramos,2 Tide Road,sold,2028-06-08,hand only,loam,90,coast,,6,2,300,2,1.2,30,6,2,1500,10,45
N3,Sorell 🐟,3 Ridge Way,sold,2028-06-15,narrow gate,clay,120,hills,,9,2,360,3,1.5,35,6,2,2000,9,50
N4,Tan,4 Ridge Way,sold,,machine,stony clay,60,hills,15,3,2,560,7,3,45,8,2,3800,11,70
N5,"=1+2",5 Ridge Way,inquiry,,machine,loam,60,hills,8,2,2,400,3,2,30,6,2,2000,11,50
"""
DAYS_OFF = """\
of,name,first,last,units,why
firm,,2028-05-09,2028-05-09,,stocktaking
crew,Cedar,2028-05-15,2028-05-18,,course
machine,excavator,2028-05-11,2028-05-11,1,service
job,N1,2028-05-16,2028-05-17,,garden party
"""
GATES = """\
job,kind,opens,phase,met,note
N1,utility locate,2028-05-08,dig,no,
N3,material arrival,2028-05-22,liner,no,
"""


@pytest.fixture
def season(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """The database, all files imported."""
    location = str(tmp_path / "second.sqlite3")
    monkeypatch.setenv("PLANNER_DB", location)
    monkeypatch.setenv("PLANNER_NOW", NOW)
    monkeypatch.setenv("COLUMNS", "100")
    assert main(["db", "create"]) == 0
    settings = ("--name", "Tidewater North (invented)", "--state", "OR", "--time-zone", "America/Los_Angeles")
    hours = (
        "--weekdays",
        "mon-thu",
        "--paid-hours",
        "10",
        "--season-first",
        "2028-03-01",
        "--units",
        "metric",
    )
    assert main(["firm", "set", *settings, *hours, "--season-last", "2028-10-31"]) == 0
    for kind, text in (
        ("crews", CREWS),
        ("machines", MACHINES),
        ("jobs", JOBS),
        ("gates", GATES),
        ("days-off", DAYS_OFF),
    ):
        path = tmp_path / f"{kind}.csv"
        path.write_text(text, "utf-8")
        assert main(["import", kind, str(path)]) == 0, kind
    return location


def test_it_plans_without_a_breach(season: str, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert main(["plan", "make", "--seconds", "2", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["data"]
    with Store(season).reading() as book:
        plan = book.plan()
    here = season_of(load_facts(season), datetime.fromisoformat(NOW))
    assert breaches(here, plan.bookings) == []
    assert plan_cost(here, plan.bookings).total_cents == told["total_cents"]
    assert {b.job for b in plan.bookings} == {"N1", "N2", "N3", "N4"}
    days = {b.start.date() for b in plan.bookings} | {b.end.date() for b in plan.bookings}
    assert all(is_working_day(here.firm, day) and day.weekday() < 4 for day in days)
    by_hand = [b for b in plan.bookings if b.job in {"N2", "N3"} and b.phase == "dig"]
    assert by_hand
    assert not any(b.machines for b in by_hand)


def test_it_prints(season: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "make", "--seconds", "1"]) == 0
    capsys.readouterr()
    for words in (
        ["board", "--week", "2028-W19"],
        ["estimate"],
        ["sheet", "Basalt", "2028-05-08"],
        ["today"],
        ["job", "show", "N1"],
    ):
        assert main(words) == 0, words
    page = capsys.readouterr().out
    assert "Week of Mon May 8" in page
    assert "Ō'Neil; [bold]" in page
    assert "Sorell 🐟" in page
    assert "m3" in page  # a metric firm sees metric
    assert " cy" not in page


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [("promised", "2028-02-30", "2028-02-30"), ("soil", "mud", "mud"), ("liner_ft2", "-5", "-5")],
)
def test_a_bad_row_changes_nothing(
    season: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], column: str, value: str, said: str
) -> None:
    rows = [
        f"code,client,status,dig_hand_cy,{column}",
        "N8,Good,sold,3," + {"promised": "2028-06-01", "soil": "loam", "liner_ft2": "9"}[column],
        f"N9,Bad,sold,3,{value}",
    ]
    path = tmp_path / "bad.csv"
    path.write_text("\n".join(rows), "utf-8")
    before = Path(season).read_bytes()
    capsys.readouterr()
    assert main(["import", "jobs", str(path)]) == 2
    err = capsys.readouterr().err
    assert "line 3" in err
    assert said in err
    assert Path(season).read_bytes() == before
