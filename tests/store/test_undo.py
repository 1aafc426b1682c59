"""The history tells who did what; undo brings back what the last action changed."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime

import pytest

from planner.domain.firm.records import Hold
from planner.errors import PlannerError
from planner.store.books import Book
from planner.store.engine import Store
from planner.store.safekeeping.whole import dump
from tests.store.values import CREW, FIRM, JOB, LOG, LOST, MACHINE, PLAN

DAY = date(2027, 4, 5)


def _filled(book: Book) -> None:
    book.save_firm(FIRM)
    book.save_crew(CREW)
    book.save_machine(MACHINE)
    book.save_rate_book(book.rate_book())
    book.save_job(JOB)
    book.save_design("P-014", "a = 1")
    book.save_hold(Hold("P-014", DAY))
    book.save_log(LOG)
    book.save_lost(LOST)
    book.save_plan(PLAN)
    book.mark_office("item", "done", None, "ada")
    book.save_return("S-1", "North", DAY, "x")


ACTIONS: dict[str, Callable[[Book], object]] = {
    "firm changed": lambda b: b.save_firm(replace(FIRM, paid_h_day=7.0)),
    "crew added": lambda b: b.save_crew(replace(CREW, name="South", people=())),
    "crew changed": lambda b: b.save_crew(replace(CREW, size=2, days_off=())),
    "crew removed": lambda b: b.remove_crew("North"),
    "machine changed": lambda b: b.save_machine(replace(MACHINE, units=5)),
    "machine removed": lambda b: b.remove_machine("excavator"),
    "job added": lambda b: b.save_job(replace(JOB, code="P-2")),
    "job changed": lambda b: b.save_job(replace(JOB, lines=(), gates=(), needs={}, pins=())),
    "job estimated": lambda b: b.save_job(JOB, edition=b.rate_book().edition),
    "design changed": lambda b: b.save_design("P-014", "a = 2"),
    "design removed": lambda b: b.save_design("P-014", None),
    "hold changed": lambda b: b.save_hold(Hold("P-014", DAY, note="longer")),
    "hold removed": lambda b: b.remove_hold("P-014"),
    "log added": lambda b: b.save_log(LOG),
    "log removed": lambda b: b.remove_log(1),
    "lost added": lambda b: b.save_lost(LOST),
    "lost removed": lambda b: b.remove_lost(1),
    "plan added": lambda b: b.save_plan(PLAN),
    "plan published": lambda b: b.publish(1, datetime(2027, 4, 2, 7)),
    "office snoozed": lambda b: b.mark_office("item", "snoozed", DAY, "ben"),
    "office cleared": lambda b: b.mark_office("item", "", None, "ben"),
    "return added": lambda b: b.save_return("S-2", "North", DAY),
    "return changed": lambda b: b.save_return("S-1", "North", DAY, "y"),
    "rates added": lambda b: b.save_rate_book(replace(b.rate_book(), edition="next")),
}


def _state(book: Book) -> dict[str, object]:
    """All that is stored, save the history, the counters and how often jobs were saved."""
    found = dump(book)
    del found["history"], found["counters"]
    for job in found["jobs"]:
        del job["revision"]
    return found


@pytest.mark.parametrize("name", ACTIONS)
def test_undo_brings_back_what_was(store: Store, name: str) -> None:
    with store.writing("ada") as book:
        _filled(book)
    with store.reading() as book:
        before = _state(book)
    with store.writing("ada") as book:
        ACTIONS[name](book)
    with store.reading() as book:
        assert _state(book) != before
    with store.writing("ben") as book:
        book.undo()
    with store.reading() as book:
        assert _state(book) == before
        newest = book.changes(limit=1)[0]
        assert (newest.who, newest.undoes is not None) == ("ben", True)


def test_several_changes_of_one_action_go_back_together(store: Store) -> None:
    with store.writing("ada") as book:
        _filled(book)
    with store.writing("ben") as book:
        book.undo()
    with store.reading() as book:
        assert (book.jobs(), book.crews(), book.logs(), book.plans()) == ([], [], [], [])


def test_undo_steps_back_further_each_time(store: Store) -> None:
    for size in (2, 3, 4):
        with store.writing() as book:
            book.save_crew(replace(CREW, size=size))
    sizes = []
    for _ in range(2):
        with store.writing() as book:
            book.undo()
            sizes.append(book.crew("North").size)
    assert sizes == [3, 2]


def test_nothing_to_undo_is_said(store: Store) -> None:
    with pytest.raises(PlannerError, match="nothing to take back"), store.writing() as book:
        book.undo()


def test_the_history_holds_before_and_after(store: Store) -> None:
    with store.writing("ada") as book:
        book.save_crew(CREW)
    with store.writing("ben") as book:
        book.save_crew(replace(CREW, size=2))
    with store.reading() as book:
        change = book.changes(noun="crew", key="North")[0]
    assert (change.who, change.verb, change.at) == ("ben", "changed", datetime(2027, 4, 1, 6, 45))
    assert change.before is not None and json.loads(change.before)["size"] == 4
    assert change.after is not None and json.loads(change.after)["size"] == 2


def test_old_drafts_are_thinned_for_good_and_no_plan_that_was_ever_told(store: Store) -> None:
    made = [datetime(2027, 3, 1 + n, 7) for n in range(12)]
    with store.writing() as book:
        book.save_crew(CREW)
        book.save_machine(MACHINE)
        book.save_job(JOB)
        numbers = [book.save_plan(replace(PLAN, made_at=at, published_at=None)) for at in made]
    with store.writing() as book:
        book.publish(numbers[1], datetime(2027, 3, 2, 8))
    with store.writing() as book:
        book.publish(numbers[3], datetime(2027, 3, 4, 8))
    with store.writing() as book:
        book.undo()  # told, then taken back: somebody may hold its sheet
    with store.writing() as book:
        gone = book.thin(3, made[7])
    assert gone == [numbers[n] for n in (0, 2, 4, 5, 6)]
    with store.reading() as book:
        left = [head.number for head in book.plans()]
        assert left == [n for n in numbers if n not in gone]
        assert book.plan(numbers[1]).bookings == PLAN.bookings
        assert (book.changes(limit=1)[0].noun, book.changes(limit=1)[0].verb) == ("thinned", "gone")
    with store.writing() as book:
        assert book.thin(3, made[7]) == []
        assert all(change.noun != "thinned" for change in book.last_action())
        while book.last_action():
            book.undo()
        assert book.plans() == [] and book.jobs() == []
