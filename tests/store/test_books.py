"""What is saved comes back equal; what may not be is refused and leaves nothing behind."""

from dataclasses import MISSING, fields, replace
from datetime import date, datetime
from typing import Any

import pytest

from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Status
from planner.domain.firm.records import CalendarEvent, Hold, OfficeMark
from planner.errors import BadInput, PlannerError
from planner.store.engine import Store
from tests.store.values import CREW, FIRM, JOB, LOG, LOST, MACHINE, PLAN, VISIT


@pytest.mark.parametrize(
    "values",
    [(FIRM,), (JOB, VISIT), (CREW,), (MACHINE,), (LOG,), (LOST,)],
    ids=lambda v: type(v[0]).__name__,
)
def test_no_field_of_the_test_values_is_left_at_its_default(values: tuple[Any, ...]) -> None:
    usual = [f for f in fields(values[0]) if f.default is not MISSING]
    same = [f.name for f in usual if all(getattr(value, f.name) == f.default for value in values)]
    assert same in ([], ["id"], ["guests"])  # a guest is stored with the crew that lends him


def test_a_visit_comes_back_equal(store: Store) -> None:
    with store.writing("ada") as book:
        book.save_job(JOB)
        book.save_job(VISIT)
    with store.reading() as book:
        assert book.job("V-01") == VISIT and book.job("P-014") == JOB


def test_saved_values_come_back_equal(store: Store) -> None:
    with store.writing("ada") as book:
        assert book.firm() == Firm()
        book.save_firm(FIRM)
        book.save_job(JOB)
        book.save_crew(CREW)
        book.save_machine(MACHINE)
        assert (book.save_log(LOG), book.save_log(LOG), book.save_lost(LOST)) == (1, 2, 1)
        assert book.save_plan(PLAN) == 1
    with store.reading() as book:
        assert book.firm() == FIRM
        assert book.jobs() == [JOB] == book.jobs(Status.UNDER_WAY)
        assert book.jobs(Status.SOLD) == []
        assert book.job("P-014") == JOB
        assert book.crews() == [CREW]
        assert book.machines() == [MACHINE]
        assert book.logs() == [replace(LOG, id=1), replace(LOG, id=2)]
        assert book.logs(first=date(2027, 4, 6)) == []
        assert book.lost() == [replace(LOST, id=1)]
        assert book.plan() == replace(PLAN, number=1)
        assert book.published() is None
        assert book.plans()[0].total_cents == 32500


def test_publishing_marks_one_version(store: Store) -> None:
    with store.writing() as book:
        book.save_job(JOB)
        book.save_plan(PLAN)
        book.save_plan(replace(PLAN, note="second"))
        book.publish(1, datetime(2027, 4, 2, 7))
    with store.reading() as book:
        published = book.published()
        assert published is not None
        assert (published.number, published.published_at) == (1, datetime(2027, 4, 2, 7))
        assert book.plan().number == 2


def test_an_error_inside_the_block_leaves_nothing(store: Store) -> None:
    with pytest.raises(RuntimeError), store.writing() as book:
        book.save_job(JOB)
        raise RuntimeError
    with store.reading() as book:
        assert book.jobs() == []
        assert book.changes() == []


def test_unknown_names_are_bad_input(store: Store) -> None:
    with store.reading() as book:
        for ask in (
            lambda: book.job("X"),
            lambda: book.crew("X"),
            lambda: book.machine("x"),
            lambda: book.plan(9),
        ):
            with pytest.raises(BadInput):
                ask()
        with pytest.raises(PlannerError, match="no plan yet"):
            book.plan()


def test_only_changes_are_written(store: Store) -> None:
    with store.writing() as book:
        book.save_job(JOB)
        mark = book.history_mark()
        book.save_job(JOB)
        assert (book.history_mark(), book.job_revision("P-014")) == (mark, 1)
        book.save_job(replace(JOB, notes="moved"))
        assert book.job_revision("P-014") == 2
        assert book.history_mark() > mark


def test_a_job_keeps_the_rate_edition_it_was_estimated_with(store: Store) -> None:
    with store.writing() as book:
        rates = book.rate_book()
        book.save_rate_book(replace(rates, edition="old"))
        book.save_rate_book(replace(rates, edition="new"))
        book.save_job(JOB, edition="old")
        book.save_job(replace(JOB, notes="later"))
        assert book.job_edition("P-014") == "old"
        assert book.rate_book().edition == "new"
        with pytest.raises(PlannerError, match="other numbers"):
            book.save_rate_book(replace(rates, edition="old", note="changed"))
        with pytest.raises(PlannerError, match="stays on record"):
            book.remove_rate_book("old")


def test_a_job_with_hours_or_plans_is_not_removed(store: Store) -> None:
    with store.writing() as book:
        book.save_crew(CREW)
        book.save_job(JOB)
        number = book.save_log(LOG)
        with pytest.raises(PlannerError, match="hours are logged"):
            book.remove_job("P-014")
        book.remove_log(number)
        book.save_plan(PLAN)
        with pytest.raises(PlannerError, match="a plan has booked"):
            book.remove_job("P-014")


def test_numbers_are_never_given_twice(store: Store) -> None:
    with store.writing() as book:
        book.save_crew(CREW)
        book.save_job(JOB)
        assert book.save_log(LOG) == 1
        book.remove_log(1)
        assert book.save_log(LOG) == 2


def test_what_lies_beside_jobs_comes_back(store: Store) -> None:
    day = date(2027, 4, 5)
    hold = Hold("P-014", day, day, day, "North", "by phone")
    with store.writing() as book:
        book.save_job(JOB)
        book.save_design("P-014", "outline = 1\n")
        book.mark_office("locate P-014", "done", day, "ada")
        book.save_hold(hold)
        book.save_return("S-1", "North", day, "abc", "text")
        book.save_calendar_events([CalendarEvent("u1", 0, "d"), CalendarEvent("u1", 3, "e", True)])
    with store.reading() as book:
        assert book.design("P-014") == "outline = 1\n" and book.design("X") is None
        assert book.office_marks() == {
            "locate P-014": OfficeMark("locate P-014", "done", day, "ada", datetime(2027, 4, 1, 6, 45))
        }
        assert book.holds() == [hold]
        assert book.returns() == {"S-1"}
        assert book.calendar_events() == {"u1": CalendarEvent("u1", 3, "e", True)}
    with store.writing() as book:
        book.remove_job("P-014")
        assert (book.designs(), book.holds()) == ({}, [])


def test_two_offices_the_second_is_told(store: Store) -> None:
    with store.writing("ada") as book:
        book.save_job(JOB)
    with store.writing("ada") as book:
        book.save_job(replace(JOB, notes="from ada"), seen=1)
    with (
        pytest.raises(PlannerError, match="changed by ada on Thu Apr 1, 2027 6:45"),
        store.writing("ben") as book,
    ):
        book.save_job(replace(JOB, notes="from ben"), seen=1)
    with store.reading() as book:
        assert book.job("P-014").notes == "from ada"
