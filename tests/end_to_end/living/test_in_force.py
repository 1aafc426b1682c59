"""What still stands of the published plan, as typed: every screen tells the same, and which plan it shows."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.end_to_end.living.conftest import Run

WEEKS = ("2027-W14", "2027-W15", "2027-W16", "2027-W17")


def booked(run: Run) -> set[str]:
    """Jobs on any board."""
    return {s["job"] for week in WEEKS for s in run("board", "--week", week, "--json").data["stints"]}


def stale(run: Run) -> dict[str, list[str]]:
    """What each screen says of the plan's age."""
    screens = {
        "board": ("board", "--json"),
        "today": ("today", "--json"),
        "season": ("season", "--json"),
        "chance": ("chance", "show", "--seasons", 10, "--json"),
        "plan": ("plan", "show", "--json"),
    }
    found = {name: run(*words).data["stale"] for name, words in screens.items()}
    found["sheet"] = run("sheet", "all", "--json").data[0]["stale"]
    return found


def test_a_phone_number_makes_no_plan_stale(planned: Run) -> None:
    assert planned("job", "change", "P-01", "--phone", "555-0100", "--notes", "rings at noon").code == 0
    assert set(map(tuple, stale(planned).values())) == {()}
    assert "stale" not in planned("office", "list").out


def test_every_screen_names_the_same_change(planned: Run, tmp_path: Path) -> None:
    assert planned("job", "cancel", "P-03", "--even-so").code == 0
    said = stale(planned)
    assert set(map(tuple, said.values())) == {("P-03 is cancelled",)}, said
    words = "stale: since it was made P-03 is cancelled"
    pages = [planned(*page).out for page in (("board",), ("season",), ("today",))]
    pages += [planned("chance", "show", "--seasons", 10).out, planned("plan", "show").out]
    pages += [planned("office", "list").out, planned("calendar", "--out", tmp_path / "c.ics").err]
    pages.append(planned("plan", "why").err)
    assert [words in " ".join(page.split()) for page in pages] == [True] * len(pages)
    lead = " ".join(planned("sheet", "Heron").out.split())
    assert "changed since" in lead and "stale" not in lead, "a lead reads no word of the office's"


def test_a_cancelled_job_is_off_every_screen(planned: Run) -> None:
    code = "P-01"
    assert code in booked(planned)
    assert planned("job", "cancel", code, "--even-so").code == 0
    assert code not in booked(planned)
    season = planned("season", "--json").data
    assert code not in {bar["job"] for bars in season["crews"].values() for bar in bars}
    sheets = planned("sheet", "all", "--week", "--json").data
    assert code not in {task["job"] for sheet in sheets for task in sheet["tasks"]}
    events = planned("calendar", "--json").data
    assert not [e for e in events if code in e["title"] and e["status"] != "CANCELLED"]


def test_what_was_asked_and_ordered_for_a_cancelled_job_is_taken_back(unlocated: Run) -> None:
    listed = unlocated("office", "list", "--all", "--json").data
    asked = [i["key"] for i in listed if i["job"] == "P-01" and i["key"].split(":")[0] in {"locate", "order"}]
    assert len(asked) > 1
    assert unlocated("office", "tick", *asked).code == 0
    assert unlocated("job", "cancel", "P-01", "--even-so").code == 0
    after = unlocated("office", "list", "--all", "--json").data
    assert {i["key"] for i in after if i["kind"] == "take back"} == {f"back:{key}" for key in asked}
    assert {i["job"] for i in after if i["kind"] == "take back"} == {"P-01"}
    assert unlocated("office", "tick", f"back:{asked[0]}").code == 0


def test_a_rental_that_nothing_needs_is_taken_back(planned: Run) -> None:
    assert planned("machine", "change", "excavator", "--rented").code == 0
    rented = [i["key"] for i in planned("office", "list", "--all", "--json").data if i["kind"] == "rental"]
    assert rented and planned("office", "tick", *rented).code == 0
    assert not [i for i in planned("office", "list", "--all", "--json").data if i["kind"] == "take back"]
    for n in range(1, 6):
        assert planned("job", "cancel", f"P-{n:02}", "--even-so").code == 0
    items = planned("office", "list", "--all", "--json").data
    back = [i["key"] for i in items if i["kind"] == "take back" and "delivery" not in i["key"]]
    assert back == [f"back:{key}" for key in rented]


def test_a_sold_job_that_no_plan_holds_is_in_the_season(planned: Run) -> None:
    words = ("job", "add", "P-50", "Late Comer", "--status", "sold", "--promised", "2027-06-01")
    assert planned(*words, "-q", "dig_machine_cy=9").code == 0
    season = planned("season", "--json").data
    assert [row["job"] for row in season["unplanned"]] == ["P-50"]
    assert "P-50 Late Comer: promised Tue Jun 1, not in the plan" in planned("season").out
    assert "P-50" in planned("season", "--csv").out
    assert {p["job"] for p in planned("board", "--json").data["promises"]} >= {"P-50"}
    assert planned("chance", "show", "--seasons", 10, "--json").data["not_played"] == {
        "P-50": "not in the plan"
    }


@pytest.mark.parametrize(("noun", "name"), [("crew", "Heron"), ("machine", "excavator")])
def test_what_the_published_plan_books_is_not_removed_by_the_way(planned: Run, noun: str, name: str) -> None:
    refused = planned(noun, "remove", name, "--yes")
    assert (refused.code, refused.err.count("\n")) == (1, 1)
    assert "published plan 1" in refused.err and "--even-so" in refused.err
    assert set(map(tuple, stale(planned).values())) == {()}
    before = booked(planned)
    assert planned(noun, "remove", name, "--yes", "--even-so").code == 0
    assert booked(planned) == before
    risk = {p["job"]: p for p in planned("board", "--json").data["promises"]}
    season = planned("season", "--json").data
    bars = {bar["job"]: bar["hindrance"] for bars in season["crews"].values() for bar in bars}
    told = {p["job"]: p["hindrance"] for p in planned("today", "--json").data["promises_at_risk"]}
    plan = {j["code"]: j["hindrance"] for j in planned("plan", "show", "--json").data["jobs"]}
    hurt = {job for job, why in bars.items() if why}
    assert hurt and all(f"no {noun}" in bars[job] for job in hurt)
    for other in ({j: p["hindrance"] for j, p in risk.items()}, told, plan):
        assert {job: other[job] for job in hurt} == {job: bars[job] for job in hurt}


@pytest.mark.parametrize(("noun", "name"), [("crew", "Heron"), ("machine", "excavator")])
def test_no_command_stumbles_over_what_is_gone(planned: Run, noun: str, name: str) -> None:
    assert planned(noun, "remove", name, "--yes", "--even-so").code == 0
    checked = planned("db", "check")
    assert checked.code == 1 and name in checked.out + checked.err
    chance = planned("chance", "show", "--seasons", 10)
    assert chance.code in {0, 1} and ("gone" in chance.out + chance.err)
    for words in (
        ("plan", "diff", 1, 1),
        ("office", "list", "--all"),
        ("season",),
        ("season", "--csv"),
        ("calendar",),
        ("replan", "--quick"),
        ("promise", "ask", "P-90"),
        ("what-if", "--saturdays"),
        ("sheet", "all", "--week"),
        ("today",),
    ):
        answer = planned(*words)
        assert answer.code in {0, 1, 3, 4} and "Traceback" not in answer.err, (words, answer)


def test_a_crew_that_is_off_has_its_work_shown_without_a_crew(planned: Run) -> None:
    before = booked(planned)
    row = next(r for r in planned("today", "--json").data["crews"] if r["work"])
    crew, job = row["crew"], row["work"][0]["job"]
    assert planned("lost", "sick", crew, "2027-04-05", "--until", "2027-05-28").code == 0
    assert booked(planned) == before
    mine = [s for s in planned("board", "--json").data["stints"] if s["crew"] == crew]
    assert mine and {(s["crew_h"], s["hindrance"][:7]) for s in mine} == {(0.0, "no crew")}
    assert "none at risk" not in planned("board").out
    assert job in {p["job"] for p in planned("today", "--json").data["promises_at_risk"]}
    sheet = planned("sheet", crew).out
    assert f"Cannot go as planned: no crew: {crew} is off" in " ".join(sheet.split())


def test_publishing_and_going_back_have_one_lock(planned: Run) -> None:
    assert planned("plan", "make", "--steps", 300).code == 0
    assert planned("plan", "publish").code == 0
    assert planned("job", "change", "P-01", "--soil", "clay").code == 0
    doors = [planned("plan", "publish", 1), planned("plan", "back")]
    assert [door.code for door in doors] == [1, 1]
    assert doors[0].err == doors[1].err
    assert "P-01 is changed (soil)" in doors[0].err
    assert planned("plan", "back", "--even-so").code == 0
    assert planned("plan", "show", "--json").data["number"] == 1


def test_without_a_number_the_published_plan_is_shown(planned: Run) -> None:
    assert planned("plan", "make", "--steps", 300, "--seed", 9).code == 0
    assert planned("plan", "show").out.startswith("Plan 1, published")
    assert planned("plan", "show", "--draft").out.startswith("Plan 2, draft")
    assert planned("plan", "why").out.startswith("Plan 1, published")
    assert planned("plan", "why", "--draft").out.startswith("Plan 2, draft")
    assert planned("plan", "why", "--plan", 2).out.startswith("Plan 2, draft")
