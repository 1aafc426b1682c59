"""Promise, chance, what-if and the season's line as typed."""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from dateutil import parser

import planner.schedule.answers.repair as repair_door
import planner.schedule.solve as solve_door
from planner.domain.season.plan import Plan
from planner.domain.season.season import Season

from .conftest import Run


def day(text: str) -> date:
    return date.fromisoformat(text)


# ---- promise --------------------------------------------------------------------------------------------


def test_a_promise_hurts_nobody_and_stores_nothing(planned: Run) -> None:
    plans = planned("plan", "list", "--json").data
    typed = planned("promise", "ask", "P-90", "--json")
    assert typed.code == 0, typed.err
    offer = typed.data
    assert day(offer["start"]) <= day(offer["earliest"]) <= day(offer["percentile_day"])
    assert all(day(e["finish"]) < day(offer["earliest"]) for e in offer["earlier"])
    assert all(e["hurts"] or e["kept_change"] < 0 for e in offer["earlier"])
    assert planned("plan", "list", "--json").data == plans
    assert "P-90 Asks: promise" in planned("promise", "ask", "P-90").out
    assert planned("promise", "ask", "P-90", "--json").data == offer  # seeded


def test_a_size_like_a_past_job_needs_no_stored_inquiry(planned: Run) -> None:
    small = planned("promise", "ask", "NEW-1", "--like", "P-01", "--size", "0.5", "--json").data
    large = planned("promise", "ask", "NEW-1", "--like", "P-01", "--size", "4", "--json").data
    assert day(large["earliest"]) > day(small["earliest"])


def test_a_held_place_is_kept_from_others(planned: Run) -> None:
    alone = planned("promise", "ask", "NEW-1", "--like", "P-01", "--size", "2", "--json").data
    assert planned("promise", "hold", "P-90", "--until", "2027-04-15").code == 0
    (held,) = planned("promise", "list", "--json").data
    assert (held["job"], held["until"]) == ("P-90", "2027-04-15")
    behind = planned("promise", "ask", "NEW-1", "--like", "P-01", "--size", "2", "--json").data
    assert day(behind["earliest"]) >= day(alone["earliest"])
    keys = [i["key"] for i in planned("office", "list", "--days", "30", "--json").data]
    assert "hold:P-90:2027-04-15" in keys
    assert planned("promise", "drop", "P-90").code == 0
    assert planned("promise", "ask", "NEW-1", "--like", "P-01", "--size", "2", "--json").data == alone


def test_an_inquiry_waits_for_its_locate_and_its_orders(planned: Run) -> None:
    """Asked on Monday 5 April at 6:45 in Ohio: no dig before the locate's notice, no boxes before their lead.

    Ten working days of lead (the shipped lead times) from Monday 5 April are Monday 19 April.
    """
    offer = planned("promise", "ask", "P-90", "--json").data
    rows = sorted(offer["waits"], key=lambda w: str(w["opens"]))
    waits = {(w["kind"], w["phase"]): day(w["opens"]) for w in rows}  # of several orders the latest
    assert day("2027-04-07") <= waits["utility locate", "dig"] <= day("2027-04-08")
    assert waits["material arrival", "set_filters"] == day("2027-04-19")
    assert day(offer["earliest"]) > day("2027-04-19")
    begins = waits["earliest start", "dig"]  # so that no hole lies open while the boxes are on their way
    assert day("2027-04-08") <= begins <= day("2027-04-19")
    assert begins <= day(offer["start"])
    page = " ".join(planned("promise", "ask", "P-90").out.split())
    assert "utility locate (asked today)" in page and "weather" in page and "sick people" in page
    planned("job", "gate", "P-90", "utility locate", "2027-04-06", "--met")
    known = planned("promise", "ask", "P-90", "--json").data["waits"]
    assert all(w["kind"] != "utility locate" for w in known), "a locate on file stands instead"


def test_a_held_place_stands_apart_in_the_season(planned: Run) -> None:
    before = planned("season", "--json").data
    assert planned("promise", "hold", "P-90", "--until", "2027-04-14").code == 0
    after = planned("season", "--json").data
    (held,) = after["held"]
    assert (held["job"], held["until"]) == ("P-90", "2027-04-14")
    assert after["weeks"] == before["weeks"], "not sold: no hours"
    assert all(bar["job"] != "P-90" for bars in after["crews"].values() for bar in bars)
    page = planned("season").out
    assert "held for inquiries, not sold (H)" in page and "HH" in page and "held until Wed Apr 14" in page


def test_empty_weeks_are_told_too(planned: Run) -> None:
    weeks = planned("season", "--json").data["weeks"]
    rows = [
        line for line in planned("season").out.splitlines() if line.startswith("W") and " from" not in line
    ]
    assert any(w["booked_crew_h"] == 0 for w in weeks)
    assert len([r for r in rows if r[1:3].isdigit()]) == len(weeks)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("ask", "P-01"), "it is sold"),
        (("ask", "P-77"), "unknown job"),
        (("ask", "NEW-1", "--like", "P-77"), "unknown job"),
        (("ask", "P-01", "--like", "P-02"), "this code is taken"),
        (("ask", "P-90", "--size", "2"), "--like"),
        (("ask", "NEW-1", "--like", "P-01", "--size", "nan"), "--size"),
        (("hold", "P-90", "--until", "2027-04-05"), "after today"),
        (("hold", "P-90", "--until", "2027-05-20"), "when the place begins"),
    ],
)
def test_promises_that_make_no_sense(planned: Run, words: tuple[str, ...], says: str) -> None:
    typed = planned("promise", *words)
    assert (typed.code, says in typed.err) == (2, True), typed.err


def test_no_hold_to_drop(planned: Run) -> None:
    assert planned("promise", "drop", "P-90").code == 1


# ---- chance ---------------------------------------------------------------------------------------------


def test_chances_are_seeded_and_name_their_weather(planned: Run) -> None:
    words = ("chance", "show", "--seasons", "60", "--json")
    seen = planned(*words).data
    assert seen == planned(*words).data
    assert seen != planned(*words, "--seed", "2").data
    assert (seen["station"], seen["lost_per_wet_day"], seen["lost_per_wet_day_is_own"]) == (
        "Columbus OH",
        0.5,
        False,
    )
    assert {j["job"] for j in seen["jobs"]} == {f"P-{n:02}" for n in range(1, 6)}
    assert all(0 <= j["kept"] <= 1 for j in seen["jobs"])
    assert seen["expected_kept"] == pytest.approx(sum(j["kept"] for j in seen["jobs"]))
    page = planned("chance", "show", "--seasons", "60").out
    assert "1991-2020" in page
    assert "to be calibrated" in page


def test_more_rain_never_helps(planned: Run) -> None:
    dry = planned("chance", "show", "--seasons", "60", "--per-wet-day", "0", "--json").data
    wet = planned("chance", "show", "--seasons", "60", "--per-wet-day", "1", "--json").data
    assert wet["expected_kept"] <= dry["expected_kept"]
    assert day(wet["percentile_finish"]) > day(dry["percentile_finish"])
    assert [m["weather_days"] for m in dry["months"]] == [0.0] * len(dry["months"])


def test_an_own_station(planned: Run, tmp_path: Path) -> None:
    file = tmp_path / "gauge.csv"
    rows = [("month", "wet_days"), *((n, 0) for n in range(1, 13))]
    with file.open("w", newline="") as out:
        csv.writer(out).writerows(rows)
    assert planned("chance", "station", str(file)).code == 0
    assert planned("chance", "show", "--seasons", "20", "--json").data["station"] == "own station"
    assert planned("chance", "station", "--json").data[0]["key"] == "own"
    file.write_text("month,wet_days\n1,99\n")
    typed = planned("chance", "station", str(file))
    assert (typed.code, len(typed.err.splitlines())) == (2, 1)
    assert planned("chance", "station", str(tmp_path / "none.csv")).code == 2
    file.write_bytes(b"\xff\xfe\x00")
    assert planned("chance", "station", str(file)).code == 2


@pytest.mark.parametrize(
    "words",
    [
        ("--seasons", "1"),
        ("--station", "Atlantis"),
        ("--per-wet-day", "2"),
        ("--carry-over", "1"),
        ("--seed", "-1"),
    ],
)
def test_chances_that_cannot_be_reckoned(planned: Run, words: tuple[str, ...]) -> None:
    assert planned("chance", "show", *words).code == 2


# ---- what if --------------------------------------------------------------------------------------------


def test_what_if_side_by_side_without_touching_the_season(planned: Run) -> None:
    plans = planned("plan", "list", "--json").data
    rent = ("--rent", "excavator=2027-W15..2027-W17", "--rent-usd", "500")
    wanted = ("--crew", "3", "--saturdays", *rent, "--size", "Heron=2")
    typed = planned("what-if", *wanted, "--seconds", "0.05", "--json")
    assert typed.code == 0, typed.err
    rows = typed.data
    assert [r["words"].split(" Mon ")[0] for r in rows] == [
        "as it is",
        "one more crew of 3",
        "one more excavator",
        "Saturdays on",
        "Heron of 2 instead of 3",
    ]
    assert all(r["promised"] == 5 for r in rows)
    assert rows[0]["overtime_h"] == 0
    assert rows[2]["cost_cents"] >= 3 * 50_000
    assert planned("plan", "list", "--json").data == plans


def test_the_next_days_stay_as_told_in_a_what_if_and_in_a_promise(
    planned: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert planned("plan", "publish").code in {0, 1}  # 1: it is published already
    told = {(b["job"], b["phase"], b["part"]): b for b in planned("plan", "show", "--json").data["bookings"]}
    near = {key: b["start"] for key, b in told.items() if b["start"] < "2027-04-07"}  # 2 working days
    assert near
    kept: list[tuple[Season, Plan]] = []

    def seen(season: Season, *args: Any, **more: Any) -> Plan:
        plan: Plan = real(season, *args, **more)
        kept.append((season, plan))
        return plan

    real = solve_door.solve
    monkeypatch.setattr(solve_door, "solve", seen)
    assert planned("what-if", "--crew", "3", "--seconds", "0.05").code == 0
    assert len(kept) == 2
    for season, plan in kept:
        starts = {(b.job, b.phase.value, b.key.part): b.start.isoformat() for b in plan.bookings}
        assert {key: starts[key] for key in near} == near
        assert len(season.frozen) >= len(near)
    place = repair_door.insert
    monkeypatch.setattr(repair_door, "insert", lambda *a: kept.append((a[0], found := place(*a))) or found)
    assert planned("promise", "ask", "P-90").code == 0
    assert len(kept[-1][0].frozen) >= len(near)


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("--crew", "0"),
        ("--rent", "crane=2027-W15"),
        ("--rent", "excavator=W15"),
        ("--rent", "excavator=2027-W20..2027-W15"),
        ("--size", "Nobody=2"),
        ("--size", "Heron=3"),
        ("--size", "Heron"),
        ("--crew", "3", "--seconds", "0"),
    ],
)
def test_what_ifs_that_make_no_sense(planned: Run, words: tuple[str, ...]) -> None:
    assert planned("what-if", *words).code == 2


# ---- season ---------------------------------------------------------------------------------------------


def test_the_season_line(planned: Run, tmp_path: Path) -> None:
    shown = planned("season", "--json").data
    bars = [bar for row in shown["crews"].values() for bar in row]
    assert {b["job"] for b in bars} == {f"P-{n:02}" for n in range(1, 6)}
    booked = planned("plan", "show", "--json").data["bookings"]
    total = sum(b["crew_h"] for b in booked)
    assert sum(w["booked_crew_h"] for w in shown["weeks"]) == pytest.approx(total, abs=0.1)
    for width in ("80", "100", "140"):
        page = planned("season").out
        assert "S start, # work" in " ".join(page.split()), width
    planned("job", "change", "P-01", "--client", "<script>alert(1)</script>")
    file = tmp_path / "season.html"
    assert planned("season", "--page", str(file)).code == 0
    html = file.read_text("utf-8")
    assert "<script>alert" not in html
    assert "&lt;script&gt;" in html
    assert "http" not in html.replace("http-equiv", "")
    key, bars = html.count('viewBox="0 0 26 18"'), html.count('class="work"') + html.count('class="late"')
    assert key >= 2, "the key shows a planned bar in its own color"
    assert bars - 1 == 5, "a bar a job, beside the one of the key"


def test_the_season_needs_a_plan(run: Run) -> None:
    assert run("season").code == 1
    assert run("chance", "show").code == 1


def test_the_season_as_csv_says_what_the_json_says(planned: Run) -> None:
    rows = list(csv.DictReader(io.StringIO(planned("season", "--csv").out)))
    told = planned("season", "--json").data
    bars = {bar["job"]: (crew, bar) for crew, mine in told["crews"].items() for bar in mine}
    assert len(rows) == len(bars) > 0
    for row in rows:
        crew, bar = bars[row["job"]]
        days = [parser.parse(row[name]).date().isoformat() for name in ("first_day", "water_in")]
        assert (row["crew"], *days) == (crew, bar["first"], bar["finish"])
        assert (parser.parse(row["promised"]).date() if row["promised"] else "") == (
            date.fromisoformat(bar["promised"]) if bar["promised"] else ""
        )
        assert int(row["late_days"]) == bar["late_days"]
    assert planned("season", "--csv", "--json").code == 2


def test_the_board_keeps_what_was_worked_and_season_counts_it_once(planned: Run) -> None:
    """Monday is worked, a new plan begins on Tuesday: Monday stands on the board, and the weeks agree."""
    evening, morning = "2027-04-05T18:00", "2027-04-06T06:45"
    stints = [s for s in planned("board", "--json").data["stints"] if s["day"] == "2027-04-05"]
    for s in stints:
        words = (s["job"], s["phase"], s["crew"], s["crew_h"] + 0.5, "--day", "2027-04-05", "--done")
        assert planned("log", "add", *words, at=evening).code == 0
    logged = sum(s["crew_h"] + 0.5 for s in stints)
    for now in (evening, morning):
        board = planned("board", "--json", at=now).data
        assert sum(e["crew_h"] for e in board["worked"]) == pytest.approx(logged)
        assert not [s for s in board["stints"] if s["day"] == "2027-04-05"], "worked in place of planned"
        week = planned("season", "--json", at=now).data["weeks"][0]
        assert week["worked_crew_h"] == pytest.approx(logged)
        assert week["to_go_crew_h"] == pytest.approx(sum(s["crew_h"] for s in board["stints"]))
        assert "worked" in planned("board", at=now).out
        planned("replan", "--quick", at=morning)
        planned("plan", "publish", at=morning)


def test_chance_plays_no_job_whose_planned_days_are_past(planned: Run) -> None:
    """What nobody logged is not work from now on: season and board hold nothing for it, nor does chance."""
    rows = planned("plan", "show", "--json").data["jobs"]
    first = min(rows, key=lambda row: row["last"])
    later = f"{max(row['last'] for row in rows)[:10]}T06:45"
    told = planned("chance", "show", "--json", "--seasons", "20", at=later).data
    assert first["code"] not in {row["job"] for row in told["jobs"]}
    assert "not logged as done" in told["not_played"][first["code"]]
