"""The hours of a day that are no work stand with their reason; a day that is taken away begins with that."""

import io
from dataclasses import replace
from datetime import date, datetime

import pytest
from rich.console import Console

from planner.domain.crew_day.board import board
from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.crew_day.instead import ASK
from planner.domain.crew_day.pauses import gaps_before
from planner.domain.firm.crews import Person
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import Moved
from planner.domain.season.plan import MachineUse
from planner.domain.standing.locate_standing import LocateStanding, LocateState
from planner.report.crew_day.board import gap_lines
from planner.report.crew_day.sheet import print_sheet, sheet_data
from planner.report.pages import sheet_page
from planner.store.shipped.rules import phase_rules
from tests.report.conftest import at, booking

MONDAY = date(2027, 4, 5)


def drawn(sheet) -> str:
    out = io.StringIO()
    print_sheet(sheet, Console(file=out, width=100, markup=False, highlight=False, emoji=False))
    return " ".join(out.getvalue().split())


@pytest.fixture
def wet(roster):
    """The same season, with Monday lost to rain since the plan was made."""
    rain = LostTime(LostKind.RAIN, DayRange(MONDAY, MONDAY), id=7)
    return replace(roster, lost=(rain,), known=roster, moved=(Moved("lost", "7", "rain Mon Apr 5"),))


def test_the_drive_the_break_the_cure_and_the_hose_are_named(roster, plan, lists):
    jobs = {
        **roster.jobs,
        "P-015": replace(roster.jobs["P-015"], latitude_deg=40.05, longitude_deg=-83.0),
    }
    bookings = (
        booking("P-015", Phase.DIG, "South", at(13, 7), at(13, 9), 2),
        booking("P-014", Phase.PLUMBING, "South", at(12, 7), at(12, 10, 30), 3.5),
        booking("P-014", Phase.FILL, "South", at(13, 10, 30), at(13, 12), 1),
        booking("P-014", Phase.FILL, "South", at(13, 14), at(13, 15), 1, part=2),
    )
    roster, plan = replace(roster, jobs=jobs), replace(plan, bookings=bookings)
    made = day_sheet(roster, plan, "South", date(2027, 4, 13), lists, rules=phase_rules())
    # 0.09 degrees of latitude are 6.2 mi (69.1 mi a degree); by road 1.3 times that, at 35 mph: 14 min.
    assert [t.pause for t in made.tasks] == [
        "",
        "9:00 to 10:30: drive to P-014, about 14 min; "
        "wait, 24 h after the plumbing: sealant and foam cure before water",
        "12:00 to 14:00: the water runs by itself",
    ]
    assert [t.meal for t in made.tasks] == ["", "break 11:00 to 11:30", ""]
    assert made.idle == "15:00 to 15:30: nothing planned. Ask the office."
    for text in (drawn(made), sheet_page([made])):
        assert all(
            words in text for words in (made.tasks[1].pause, made.tasks[1].meal, made.idle, made.setup)
        )
    assert sheet_data(made)["idle"] == made.idle and sheet_data(made)["tasks"][2]["pause"]


def test_set_up_is_named_with_its_minutes_and_not_on_a_day_without_work(roster, plan, lists):
    firm = replace(roster.firm, daily_setup_h=0.5)
    made = day_sheet(replace(roster, firm=firm), plan, "North", MONDAY, lists, rules=phase_rules())
    assert made.setup == "set-up and clean-up in it, 30 min of a full day" and made.setup in drawn(made)
    free = day_sheet(roster, plan, "North", date(2027, 4, 12), lists, rules=phase_rules())
    assert (free.setup, free.idle, free.tasks) == ("", "", ())


def test_the_day_after_a_cure_begins_late_and_the_day_before_it_ends_early(roster, plan, lists):
    bookings = (
        booking("P-014", Phase.PLUMBING, "South", at(12, 7), at(12, 9), 2),
        booking("P-014", Phase.FILL, "South", at(13, 9), at(13, 11), 2),
    )
    plan = replace(plan, bookings=bookings)
    monday, tuesday = (
        day_sheet(roster, plan, "South", date(2027, 4, d), lists, rules=phase_rules()) for d in (12, 13)
    )
    assert monday.idle == (
        "9:00 to 15:30: nothing planned, fill waits 24 h: sealant and foam cure before water. Ask the office."
    )
    assert tuesday.tasks[0].pause == (
        "7:00 to 9:00: wait, 24 h after the plumbing: sealant and foam cure before water"
    )


def test_what_else_a_day_waits_for_is_named(roster, plan, lists):
    """The hour of a locate, the office's pin, the other crew, the machine, the crew on the phase before."""
    clear = datetime(2027, 4, 12, 9)
    locate = LocateStanding("P-014", "", LocateState.CLEAR, clear, clear, date(2027, 4, 5), clear, MONDAY)
    digger = (MachineUse("excavator", 1),)
    dig = booking("P-014", Phase.DIG, "South", at(12, 9), at(12, 15, 30), 6)
    elsewhere = booking("P-015", Phase.DIG, "North", at(12, 7), at(12, 9), 2)
    cases = (
        ((dig,), "wait, the utility locate clears 9:00"),
        ((replace(dig, pinned=True), elsewhere), "wait, the office pinned it to 9:00"),
        (
            (replace(dig, crews=("South", "North")), elsewhere),
            "wait, North is on P-015 until 9:00",
        ),
        (
            (replace(dig, machines=digger), replace(elsewhere, machines=digger)),
            f"wait, the {roster.machine_words('excavator', 1)} is on P-015 until 9:00",
        ),
        (
            (
                booking("P-014", Phase.LINER, "South", at(12, 9), at(12, 15, 30), 6),
                booking("P-014", Phase.DIG, "North", at(12, 7), at(12, 9), 2),
            ),
            "wait, North is on its dig until 9:00",
        ),
        ((dig, elsewhere), "nothing planned"),
    )
    for n, (bookings, words) in enumerate(cases):
        told = replace(roster, locates={"P-014": locate} if n == 0 else {})
        own = replace(plan, bookings=bookings)
        found = gaps_before(told, own, phase_rules(), "P-014")
        mine = [gap.words for crew, _, gap in found if crew == "South"]
        assert mine == [f"7:00 to 9:00: {words}"]
        # the same words stand on the sheet and on the board
        sheet = day_sheet(told, own, "South", date(2027, 4, 12), lists, rules=phase_rules())
        assert sheet.tasks[0].pause.removesuffix(": ask the office") == mine[0]
        week = board(told, own, date(2027, 4, 12), rules=phase_rules())
        assert f"  Mon Apr 12 South {mine[0]}" in gap_lines(week)


def test_a_rain_day_begins_with_the_word_that_there_is_no_work(wet, plan, lists):
    made = day_sheet(wet, plan, "North", MONDAY, lists, rules=phase_rules())
    assert made.taken == "rain" and made.crew_h == 0
    for text in (drawn(made), sheet_page([made])):
        low = text.lower()
        order = [
            low.index(w) for w in ("no work today: rain.", "what may be done", "if the office sends you")
        ]
        assert order == sorted(order) and "if it rains</h2>" not in low and "planned," not in low
        assert all(low.count(line.lower()) == 1 for line in made.rain[:2])
    assert (
        "North: Mon Apr 5, 2027 lead Ana, 3 people (plan 4, published, other things changed since) No work"
        in drawn(made)
    )


def test_a_lead_reads_what_changed_only_where_it_touches_the_day(roster, plan, lists):
    moved = (Moved("job", "P-015", "P-015 is changed (quantities)"), Moved("log", "P-014", "hours of P-014"))
    roster = replace(roster, moved=moved)
    north, south = (day_sheet(roster, plan, crew, MONDAY, lists) for crew in ("North", "South"))
    assert north.changed == () and "(plan 4, published, other things changed since)" in drawn(north)
    asked = "Some things changed since this plan was made: P-015 is changed (quantities). Ask the office"
    assert asked in drawn(south) and asked in sheet_page([south]) and asked not in sheet_page([north])
    assert "stale" not in drawn(south) + drawn(north)


def test_a_clear_locate_says_when_it_was_asked_and_how_long_it_holds(roster, plan, lists):
    dig, dies = datetime(2027, 4, 5, 7), datetime(2027, 4, 19, 23, 59)
    clear = LocateStanding(
        "P-014", "", LocateState.CLEAR, dig, dig, date(2027, 3, 29), dig, MONDAY, dies=dies, cleared=True
    )
    made = day_sheet(replace(roster, locates={"P-014": clear}), plan, "North", MONDAY, lists)
    words = (
        "Utility locate asked Mon Mar 29, every owner has answered; the ticket holds until Mon Apr 19 23:59."
    )
    assert made.tasks[0].cleared == words and words in drawn(made) and words in sheet_page([made])
    assert day_sheet(roster, plan, "North", MONDAY, lists).tasks[0].cleared == ""


def test_a_day_without_an_operator_says_so_and_what_may_be_done(roster, plan, lists):
    """29 CFR 1926.20(b)(4): only who is qualified by training or experience runs a machine (from memory)."""
    ada = Person("Ana", frozenset({"excavator"}), away=(DayRange(MONDAY, MONDAY),))
    crews = {
        name: {**roster.crews, "North": replace(roster.crews["North"], people=(person,))}
        for name, person in (("now", ada), ("before", replace(ada, away=())))
    }
    gone = replace(roster, crews=crews["now"], known=replace(roster, crews=crews["before"]))
    made = day_sheet(gone, plan, "North", MONDAY, lists, rules=phase_rules())
    assert "no operator: nobody with North may run the mini excavator (Ana is away)" in made.taken
    for text in (drawn(made), sheet_page([made])):
        assert "mini excavator stays parked, bucket down, key out" in text
        assert not any(line in text for line in made.rain), "it does not rain"
    assert sheet_data(made)["may_be_done_instead"] == list(made.instead)
    shut = replace(roster, jobs={**roster.jobs, "P-014": replace(roster.jobs["P-014"], blackouts=ada.away)})
    closed = day_sheet(replace(shut, known=roster), plan, "North", MONDAY, lists, rules=phase_rules())
    assert closed.taken and closed.instead == ASK
