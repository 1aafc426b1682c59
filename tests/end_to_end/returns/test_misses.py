"""Hold points: when they are due, what counts as signed, and how a miss stays first until it is settled."""

from dataclasses import replace
from datetime import date, datetime

import pytest

from planner.cli.main import main
from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.crew_day.misses import checked_lines, misses_of, note_lines, own_note, signed_of
from planner.domain.crew_day.returned import ReturnedSheet, ReturnedTask, Tick, encode
from planner.domain.firm.phases import Phase
from planner.domain.office.items import Kind
from planner.errors import BadInput
from planner.flow.crew_day.sheet import crew_sheets
from planner.flow.hours.logs import list_logs
from planner.flow.hours.returns import log_returns, open_returns
from planner.flow.office.office import office_items, settle
from planner.store.engine import Store

MONDAY, TUESDAY = date(2027, 4, 5), date(2027, 4, 6)


@pytest.fixture
def dig(roster, plan, lists):
    return day_sheet(roster, plan, "North", MONDAY, lists).tasks[0].ready.lines


def missed(lines, signed=(), **said) -> list[str]:
    return [m.key for m in misses_of(ReturnedTask("P-014", Phase.DIG, 1, **said), lines, signed)]


def test_a_hold_at_the_start_is_missed_from_the_first_hour(dig):
    assert missed(dig) == []
    assert missed(dig, crew_h=0.5) == ["locate"]
    assert missed(dig, crew_h=0.5, ticks=frozenset({"locate"})) == []


def test_a_later_hold_is_due_when_work_went_past_it_or_the_phase_is_full(dig):
    started = frozenset({"locate", "benchmark"})
    assert missed(dig, crew_h=6, ticks=started, share_done=0.7) == []
    assert missed(dig, crew_h=6, ticks=started, share_done=1.0) == ["rim-level"]
    assert missed(dig, crew_h=6, ticks=started, done=True) == ["rim-level"]
    assert missed(dig, ticks=frozenset({"benchmark"})) == ["locate"]
    assert missed(dig, values={"benchmark": 24.0}) == ["locate"]


def test_a_tick_without_its_number_is_no_signature(dig):
    ticks = frozenset({"locate", "rim-level"})
    assert missed(dig, ticks=ticks, crew_h=6, done=True) == ["rim-level"]
    assert missed(dig, ticks=ticks, crew_h=6, done=True, values={"rim-level": 0.25}) == []


def test_what_was_signed_on_an_earlier_day_is_not_asked_again(dig):
    assert missed(dig, signed={"locate", "rim-level"}, crew_h=2, done=True) == []


@pytest.fixture
def bad_monday(stored, monkeypatch) -> str:
    """Monday's return: six hours of digging, nobody walked the marks. Returns the miss's key."""
    monkeypatch.setenv("PLANNER_DB", stored)
    monkeypatch.setenv("PLANNER_NOW", "2027-04-06T06:45")
    sheet = crew_sheets(stored, "North", [MONDAY])[0]
    task = ReturnedTask("P-014", Phase.DIG, 1, 6.0, 3, 0.6, asked=sheet.tasks[0].ready.lines)
    text = encode(ReturnedSheet("North", MONDAY, sheet.plan_number, sheet.mark, "Ana", (task,)))
    log_returns(stored, "office", open_returns(stored, text, TUESDAY))
    (miss,) = list_logs(stored)[1]
    return miss.key


SCREENS = ("today", "office list", "log list", "board", "sheet North", "sheet South 2027-04-12")


def first_lines(screen: str, capsys) -> str:
    """The first lines of a screen, as many as a head takes."""
    assert main(screen.split()) == 0
    return " ".join(" ".join(capsys.readouterr().out.splitlines()[:7]).split())


@pytest.mark.parametrize("screen", SCREENS)
def test_a_miss_stands_first_on_every_screen_until_a_word_settles_it(bad_monday, stored, screen, capsys):
    words = "P-014 dig, North, Mon Apr 5: hold point not signed: Walk the utility marks"
    assert words in first_lines(screen, capsys)
    assert main(["office", "settle", bad_monday, "walked with the foreman, photos filed"]) == 0
    capsys.readouterr()
    told = first_lines(screen, capsys)
    if screen == "log list":
        assert "settled: walked with the foreman" in told and "still open" not in told
    else:
        assert words not in told


@pytest.mark.parametrize("screen", SCREENS[:-1])
def test_data_tell_the_open_miss_by_one_key(bad_monday, screen, capsys):
    assert main([*screen.split(), "--json"]) == 0
    assert f'"{bad_monday}"' in capsys.readouterr().out


def test_the_answer_to_the_next_return_tells_what_is_still_open(bad_monday, stored, capsys, tmp_path):
    sheet = crew_sheets(stored, "North", [TUESDAY])[0]
    task = ReturnedTask("P-014", Phase.DIG, 1, 1.0, 3, 0.7, asked=sheet.tasks[0].ready.lines)
    path = tmp_path / "day.txt"
    path.write_text(encode(ReturnedSheet("North", TUESDAY, 1, sheet.mark, "Ana", (task,))))
    assert main(["return", str(path), "--dry-run"]) == 0
    assert "still open: MISSED P-014 dig, North, Mon Apr 5" in capsys.readouterr().out.splitlines()[1]


def test_a_miss_is_neither_ticked_nor_snoozed(bad_monday, capsys):
    for command in (["tick", bad_monday], ["snooze", bad_monday, "--until", "2027-05-01"]):
        assert main(["office", *command]) == 1
        assert "planner office settle" in capsys.readouterr().err


def test_settling_asks_for_a_word_and_can_be_taken_back(bad_monday, stored, capsys):
    assert main(["office", "settle", bad_monday, "  "]) == 2
    assert main(["office", "settle", "missed:P-099", "seen"]) == 2
    settle(stored, "missed:", "seen", "office")
    with Store(stored).reading() as book:
        newest = book.changes()[0]
        assert (newest.who, newest.noun) == ("office", "office") and "seen" in newest.after
    assert main(["office", "untick", bad_monday]) == 0
    capsys.readouterr()
    assert "Walk the utility marks" in first_lines("today", capsys)


def test_a_settled_miss_stays_settled_when_the_return_is_corrected(bad_monday, stored):
    settle(stored, bad_monday, "walked with the foreman", "office")
    sheet = crew_sheets(stored, "North", [MONDAY])[0]
    lines = sheet.tasks[0].ready.lines
    task = ReturnedTask("P-014", Phase.DIG, 1, 6.5, 3, 0.6, asked=lines)
    back = ReturnedSheet("North", MONDAY, sheet.plan_number, sheet.mark, "Ana", (task,))
    log_returns(stored, "office", open_returns(stored, encode(back), TUESDAY))
    ((log,), (miss,)) = list_logs(stored)
    assert (log.crew_h, miss.settled) == (6.5, "walked with the foreman")
    ticked = replace(back, tasks=(replace(task, ticks=frozenset({"locate"})),))
    log_returns(stored, "office", open_returns(stored, encode(ticked), TUESDAY))
    assert list_logs(stored)[1] == []


def test_a_hold_point_passed_over_is_a_miss_with_its_reason(dig):
    said = {"crew_h": 3, "passed": {"locate": "ticket in\nthe truck"}, "ticks": frozenset({"benchmark"})}
    (miss,) = misses_of(ReturnedTask("P-014", Phase.DIG, 1, **said), dig)
    assert miss.text.startswith("hold point passed over (ticket in the truck): Walk the utility marks")
    ticked = {**said, "ticks": frozenset({"locate"})}
    assert signed_of(ReturnedTask("P-014", Phase.DIG, 1, **ticked), dig) == []


def test_a_hold_point_told_as_not_reached_is_missed_when_the_work_went_past_it(dig):
    assert missed(dig, later=frozenset({"locate"}), crew_h=2) == ["locate"]
    assert missed(dig, later=frozenset({"rim-level"}), ticks=frozenset({"locate"}), crew_h=2) == []


def test_ticks_are_kept_in_the_order_in_which_they_were_made():
    order = (Tick("locate", 425, "Bo"), Tick("benchmark", 460))
    assert note_lines([], [], order) == ["TICKED 7:05 locate (Bo), 7:40 benchmark"]
    assert checked_lines("TICKED 7:05 locate (Bo), 7:40 benchmark") == [
        "ticked: 7:05 locate (Bo), 7:40 benchmark"
    ]
    assert own_note("gate code\nTICKED 7:05 locate") == "gate code"
    long = note_lines([], [], [Tick("a" * 80, 425)] * 200)[0]
    assert len(long) < 2_000 and "more" in long


@pytest.fixture
def noted(stored, monkeypatch) -> str:
    """Monday's return with a note for the office; the key of its item."""
    monkeypatch.setenv("PLANNER_DB", stored)
    monkeypatch.setenv("PLANNER_NOW", "2027-04-06T06:45")
    sheet = crew_sheets(stored, "North", [MONDAY])[0]
    ticks = frozenset({"locate"})
    task = ReturnedTask("P-014", Phase.DIG, 1, 6.0, 3, 0.6, note="client asks: a light?", ticks=ticks)
    back = ReturnedSheet(
        "North", MONDAY, 1, sheet.mark, "Ana", (replace(task, asked=sheet.tasks[0].ready.lines),)
    )
    log_returns(stored, "office", open_returns(stored, encode(back), TUESDAY))
    (item,) = (i for i in office_items(stored, datetime(2027, 4, 6, 7)) if i.kind is Kind.NOTE)
    return item.key


def test_a_leads_note_is_an_item_that_somebody_ticks(noted, capsys):
    assert main(["today"]) == 0
    assert 'P-014 dig, North, Mon Apr 5: "client asks: a light?"' in " ".join(capsys.readouterr().out.split())
    assert main(["office", "tick", noted]) == 0
    capsys.readouterr()
    assert main(["office", "list"]) == 0
    assert "client asks" not in capsys.readouterr().out
    assert main(["office", "list", "--all"]) == 0
    assert "client asks" in capsys.readouterr().out


def test_the_next_sheet_shows_what_was_signed_before(noted, stored):
    lines = {d: crew_sheets(stored, "North", [d])[0].tasks[0].signed for d in (MONDAY, TUESDAY)}
    assert lines == {MONDAY: frozenset(), TUESDAY: frozenset({"locate"})}


def test_codes_read_off_the_phone_are_joined_in_any_order_and_judged_by_the_sheet(stored):
    sheet = crew_sheets(stored, "North", [MONDAY])[0]
    task = ReturnedTask("P-014", Phase.DIG, 1, 6.0, 3, 0.6, values={"shelf-1": 9.0}, asked=None)
    text = encode(ReturnedSheet("North", MONDAY, 1, sheet.mark, "Ana", (task,)))
    _, body, check = text.split("-")
    pieces = [f"DAYPART-{n + 1}-3-{check}-{body[60 * n : 60 * n + 60 if n < 2 else None]}." for n in range(3)]
    (arrival,) = open_returns(stored, "\n".join(reversed(pieces)), MONDAY)
    assert [m.key for m in arrival.reading.misses] == ["locate", "shelf-1"]
    with pytest.raises(BadInput, match="read code 2 of 3"):
        open_returns(stored, pieces[0] + pieces[2], MONDAY)
