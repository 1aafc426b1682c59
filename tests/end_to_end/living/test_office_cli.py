"""The office's list as typed: list, tick, snooze, take back, export."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

from .conftest import Run


def keys(run: Run, *words: str, at: str = "2027-04-05T06:45") -> list[str]:
    return [item["key"] for item in run("office", "list", "--json", *words, at=at).data]


def test_the_list_needs_a_plan(run: Run) -> None:
    typed = run("office", "list")
    assert (typed.code, "no plan yet" in typed.err) == (1, True)


def test_tick_snooze_and_back(unlocated: Run) -> None:
    before = keys(unlocated, "--days", "30")
    assert "locate:P-05" in before
    assert "deposit:P-02:dig" in before
    assert unlocated("office", "tick", "locate:P-05").code == 0
    assert "locate:P-05" not in keys(unlocated, "--days", "30")
    assert unlocated("office", "untick", "locate:P-05").code == 0
    assert keys(unlocated, "--days", "30") == before

    assert unlocated("office", "snooze", "deposit:P-02", "--until", "2027-04-08").code == 0
    assert "deposit:P-02:dig" not in keys(unlocated, "--days", "30")
    assert "deposit:P-02:dig" in keys(unlocated, "--days", "30", at="2027-04-08T06:45")


def test_keys_that_do_not_fit(unlocated: Run) -> None:
    assert "write more of the key" in unlocated("office", "tick", "order").err
    assert unlocated("office", "tick", "locate:P-77").code == 2
    assert unlocated("office", "untick", "locate:P-05").code == 1
    assert unlocated("office", "snooze", "locate:P-05", "--until", "2027-04-05").code == 2
    assert unlocated("office", "list", "--days", "-1").code == 2


def test_export_is_safe_for_a_spreadsheet(planned: Run, tmp_path: Path) -> None:
    planned("job", "change", "P-05", "--client", "=cmd|' /C calc'!A0")
    file = tmp_path / "office.csv"
    assert planned("office", "export", str(file), "--all").code == 0
    rows = list(csv.DictReader(file.read_text("utf-8").splitlines()))
    assert {"due", "kind", "job", "what", "key"} <= rows[0].keys()
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row.values())
    assert planned("office", "export", str(tmp_path / "no" / "such.csv")).code == 2


def test_locate_rule_of_a_state(run: Run) -> None:
    typed = run("office", "locate", "--asked", "2026-05-18T10:00")
    assert "Ohio: notice 2 full working days" in typed.out
    assert "clears Wed May 20 23:59" in typed.out
    assert "last checked Wed Nov 25, 2026" in typed.out
    assert "one-call center" in typed.out
    assert "not any state's law" in run("office", "locate", "ZZ").out
    assert run("office", "locate", "--asked", "soon").code == 2


def test_a_firms_own_rule_wins(run: Run, tmp_path: Path) -> None:
    own = tmp_path / "locates.toml"
    own.write_text(
        '[[rule]]\nstate = "OH"\nwords = "Ohio, by our ticket"\nnotice = 4\nnotice_unit = "full days"\n'
        'source = "our own"\nas_of = "2027"\nseen = "weak"\n'
    )
    assert "Ohio, by our ticket: notice 4 full working days" in run("office", "locate").out
    own.write_text("[[rule]]\nstate = 3")
    typed = run("office", "locate")
    assert typed.code == 2


def dug_today(run: Run) -> str:
    """The job that the published plan digs on Monday 5 April, the morning of the tests."""
    found = run("office", "list", "--json", "--all").data
    return next(i["job"] for i in found if i["kind"] == "utility locate" and "Mon Apr 5" in i["what"])


def test_every_screen_that_shows_the_dig_says_that_it_has_no_locate(unlocated: Run) -> None:
    job = dug_today(unlocated)
    said = "no locate on file: asked now it clears Wed Apr 7 23:59, too late for the dig on Mon Apr 5"
    screens = (
        ("board",), ("today",), ("season",), ("plan", "show"), ("plan", "why", job), ("job", "show", job),
        ("sheet", "all", "2027-04-05"),
    )  # fmt: skip
    for words in screens:
        typed = unlocated(*words)
        assert said in " ".join(typed.out.split()), words
    told = unlocated("plan", "publish", "1").err
    assert said in " ".join(told.split())
    for words in (("board",), ("season",), ("plan", "show"), ("plan", "why", job)):
        locates = unlocated(*words, "--json").data["locates"]
        assert said in {entry["words"] for entry in locates if entry["job"] == job}, words


def test_a_new_plan_puts_no_dig_before_a_locate_asked_now_would_be_clear(unlocated: Run) -> None:
    # Monday 5 April, Ohio: Tuesday and Wednesday are the notice, so nobody digs before Thursday the 8th.
    dug_today(unlocated)
    board = " ".join(unlocated("board").out.split())
    assert "waits for utility locate (none asked: reckoned as if asked now) until Thu Apr 8" in board
    again = unlocated("replan", "--quick")
    assert again.code == 0 and "utility locate" in again.out
    digs = [b for b in unlocated("plan", "show", "--draft", "--json").data["bookings"] if b["phase"] == "dig"]
    soonest = min(digs, key=lambda b: b["start"])
    assert soonest["start"] == "2027-04-08T07:00:00"
    why = " ".join(unlocated("plan", "why", "--draft", soonest["job"]).out.split())
    assert "utility locate (none asked: reckoned as if asked now)" in why


def test_office_sheet_gate_and_plan_go_by_the_same_ticks(unlocated: Run) -> None:
    job = dug_today(unlocated)
    unlocated("office", "tick", f"locate:{job}")
    assert "gate utility locate, dig not before Thu Apr 8, 2027 (open): asked Mon Apr 5" in " ".join(
        unlocated("job", "show", job).out.split()
    )
    sheet = " ".join(unlocated("sheet", "all", "2027-04-05").out.split())
    assert "locate asked Mon Apr 5 clears Wed Apr 7 23:59: too late for the dig on Mon Apr 5" in sheet
    assert f"cleared:{job}:2027-04-05" in keys(unlocated)
    # the next plan keeps to that day, and the office and the sheet agree again
    unlocated("replan", "--quick")
    unlocated("plan", "publish")
    digs = [b for b in unlocated("plan", "show", "--json").data["bookings"] if b["job"] == job]
    assert min(b["start"] for b in digs if b["phase"] == "dig") >= "2027-04-08"
    unlocated("office", "tick", f"cleared:{job}")
    # its box seats wait for boxes until after the fortnight that a ticket of no stated life is trusted
    left = {e["state"] for e in unlocated("season", "--json").data["locates"] if e["job"] == job}
    assert left <= {"life not stated"}
    assert "(met): asked Mon Apr 5" in unlocated("job", "show", job).out


def test_the_foot_names_the_last_day_of_what_is_listed(planned: Run) -> None:
    for words, days in ((("--days", "3"), True), (("--all", "--days", "3"), False)):
        items = planned("office", "list", "--json", *words).data
        foot = planned("office", "list", *words).out.strip().splitlines()[-1]
        last = max(date.fromisoformat(item["due"]) for item in items)
        assert foot.startswith(f"{len(items)} items, ")
        assert days == ("up to Thu Apr 8" in foot)
        assert days or f"the last due {last:%a} {last:%b} {last.day}" in foot


def test_replan_office_and_today_agree_on_who_is_called(planned: Run) -> None:
    planned("lost", "sick", "Heron", "2027-04-05", "--until", "2027-04-09")
    made = planned("replan", "--quick", "--json").data
    planned("plan", "publish")
    wanted = {change["job"] for change in made["changes"] if change["call"]}
    calls = [item for item in planned("office", "list", "--json").data if item["kind"] == "call"]
    assert wanted and {item["job"] for item in calls} == wanted
    assert {item["due"] for item in calls} == {"2027-04-05"}
    today = planned("today", "--json").data["office"]
    assert {item["job"] for item in today if item["kind"] == "call"} == wanted
