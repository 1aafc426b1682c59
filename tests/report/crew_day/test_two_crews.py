"""Two crews on one job: who brings what, whose quantity, who signs. And days that are shorter than usual."""

import io
from dataclasses import replace
from datetime import date

import pytest
from rich.console import Console

from planner.domain.crew_day.board import board
from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.firm.actuals import Log
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase
from planner.flow.hours.logs import log_hours
from planner.report.crew_day.board import board_data, print_board
from planner.report.crew_day.sheet import print_sheet, sheet_data
from planner.report.pages import board_page, sheet_page
from tests.report.conftest import EXCAVATOR

MONDAY = date(2027, 4, 5)


@pytest.fixture
def pair(roster, plan, lists):
    """Monday's sheets of North, which leads the dig with the excavator, and of South, which helps."""
    dig = replace(plan.bookings[0], crews=("North", "South"), machines=EXCAVATOR)
    shared = replace(plan, bookings=(dig, *plan.bookings[1:-1]))
    return tuple(day_sheet(roster, shared, crew, MONDAY, lists) for crew in ("North", "South"))


def drawn(print_it, made) -> str:
    out = io.StringIO()
    print_it(made, Console(file=out, width=100, markup=False, highlight=False, emoji=False))
    return " ".join(out.getvalue().split())


def test_one_crew_brings_the_machine_and_the_material(pair):
    lead, helper = pair
    assert [trip.comes_from for trip in lead.tasks[0].stint.trips] == ["yard"]
    assert helper.tasks[0].stint.trips == () and helper.load == ()
    assert "bring it from the yard" not in drawn(print_sheet, helper) + sheet_page([helper])
    assert "North leads, brings machine and material" in drawn(print_sheet, helper)
    assert "North leads, brings machine and material" in sheet_page([helper])


def test_each_is_told_that_the_other_comes(pair):
    lead, _ = pair
    assert "South (2 people, lead Bo) helps; you lead" in drawn(print_sheet, lead)
    assert [sheet_data(s)["tasks"][0]["with"] for s in pair] == [["South"], ["North"]]


def test_the_quantity_is_shared_by_hands_and_the_machines_goes_to_the_lead(pair):
    # 1.5 cy by hand, three hands of five and two of five; 18.5 cy by machine with the crew that brings it.
    mine, theirs = ({q.words: q for q in s.tasks[0].quantities} for s in pair)
    assert (mine["bank dug by hand"].own, theirs["bank dug by hand"].own) == ("0.9 cy", "0.6 cy")
    assert mine["bank dug by machine"].own == "" and "bank dug by machine" not in theirs
    assert [s.tasks[0].share for s in pair] == [0.6, 0.4]
    assert "whole phase, both crews" in drawn(print_sheet, pair[0])


def test_holds_and_measures_stand_on_the_leads_list_alone(pair):
    lead, helper = pair
    assert [line.key for line in lead.tasks[0].holds] == ["locate", "rim-level"]
    assert helper.tasks[0].holds == () and not [n for n in helper.tasks[0].ready.lines if n.wanted]
    assert "signs the hold points" in drawn(print_sheet, helper)
    assert {"clean"} <= {n.key for n in helper.tasks[0].ready.lines}


def test_a_crew_alone_has_no_other(roster, plan, lists):
    (dig,) = day_sheet(roster, plan, "North", MONDAY, lists).tasks
    assert (dig.beside, dig.share) == ((), 1.0) and not any(q.own for q in dig.quantities)


def test_a_half_day_and_a_crew_short_of_hands_show_on_board_and_sheet(roster, plan, lists):
    short = LostTime(LostKind.CREW_SHORT, DayRange(date(2027, 4, 6), date(2027, 4, 6)), "South", people=1)
    roster = replace(roster, firm=replace(roster.firm, half_days=(MONDAY,)), lost=(short,))
    made = board(roster, plan, MONDAY)
    told = {(e["crew"], e["day"]): e["why"] for e in board_data(made)["short_days"]}
    assert told["North", "2027-04-05"] == "half day, until 11:00"
    assert told["South", "2027-04-06"] == "1 person short, until 11:00"
    assert ("North", "2027-04-06") not in told
    assert "(half day," in drawn(print_board, made) and "half day, until 11:00" in board_page(made)
    sheet = day_sheet(roster, plan, "North", MONDAY, lists)
    for page in (drawn(print_sheet, sheet), sheet_page([sheet])):
        assert "Short day: half day, until 11:00." in page
    assert sheet_data(sheet)["short_day"] == "half day, until 11:00"
    assert day_sheet(roster, plan, "North", date(2027, 4, 6), lists).short == ""


def test_logged_hours_of_a_shared_phase_stand_beside_the_hours_of_both(stored):
    def planned_h(crew: str) -> float:
        entry = Log(date(2027, 4, 7), crew, "P-014", Phase.LINER, 1.0)
        return log_hours(stored, entry, today=date(2027, 4, 8), who="office").planned_h

    # The plan books North and River on the liner together; South is on no booking of it.
    assert planned_h("North") == planned_h("River") < planned_h("South")
