"""What is saved comes back equal; what may not be is refused and leaves nothing behind."""

from dataclasses import MISSING, fields, replace
from datetime import date, datetime

import pytest
from tests.store.values import CREW, FIRM, JOB, LOG, LOST, MACHINE, PLAN

from planner.domain.firm import Firm
from planner.domain.jobs import Status
from planner.errors import BadInput, PlannerError
from planner.store.engine import Store


@pytest.mark.parametrize("value", [FIRM, JOB, CREW, MACHINE, LOG, LOST], ids=lambda v: type(v).__name__)
def test_no_field_of_the_test_values_is_left_at_its_default(value: object) -> None:
    same = [f.name for f in fields(value) if f.default is not MISSING and getattr(value, f.name) == f.default]
    assert same in ([], ["id"])


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
        for ask in (lambda: book.job("X"), lambda: book.crew("X"), lambda: book.machine("x"), lambda: book.plan(9)):
            with pytest.raises(BadInput):
                ask()
        with pytest.raises(PlannerError, match="no plan yet"):
            book.plan()
