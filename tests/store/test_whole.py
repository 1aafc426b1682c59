"""The whole firm out and in again: identical, on each kind of store, and across them."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path

import pytest

from planner.domain.firm.records import CalendarEvent, Hold
from planner.errors import BadInput, PlannerError
from planner.flow.keeping.files import export_firm, import_firm
from planner.store.engine import Store
from planner.store.safekeeping.migrate import create
from tests.store.values import CREW, FIRM, JOB, LOG, LOST, MACHINE, PLAN


def text_of(location: str) -> str:
    return "".join(export_firm(location))


def _fill(location: str) -> None:
    with Store(location).writing("ada") as book:
        book.save_firm(FIRM)
        book.save_rate_book(book.rate_book())
        book.save_crew(CREW)
        book.save_machine(MACHINE)
        book.save_job(JOB, edition=book.rate_book().edition)
        book.save_design("P-014", "outline = 1\n")
        book.save_hold(Hold("P-014", date(2027, 4, 5)))
        book.save_log(LOG)
        book.remove_log(book.save_log(LOG))
        book.save_lost(LOST)
        book.publish(book.save_plan(PLAN), datetime(2027, 4, 2, 7))
        book.mark_office("item", "snoozed", date(2027, 4, 9), "ada")
        book.save_return("S-1", "North", date(2027, 4, 5), "x", "text\n")
        book.save_calendar_events([CalendarEvent("u1", 2, "d", True)])
    with Store(location).writing("ben") as book:
        book.undo()
    with Store(location).writing("ben") as book:
        book.save_crew(CREW)


def test_export_import_export_is_identical(location: str, tmp_path: Path) -> None:
    _fill(location)
    first = text_of(location)
    (tmp_path / "firm.json").write_text(first, encoding="utf-8")
    other = str(tmp_path / "other.sqlite3")
    create(Store(other))
    import_firm(other, "ada", str(tmp_path / "firm.json"), dry_run=True)
    with Store(other).reading() as book:
        assert book.crews() == []
    import_firm(other, "ada", str(tmp_path / "firm.json"), dry_run=False)
    assert text_of(other) == first
    with Store(other).writing() as book:
        book.save_job(JOB)
        assert book.save_log(LOG) == 3, "numbers go on where they were"


def test_every_part_is_in_the_file(location: str) -> None:
    _fill(location)
    with Store(location).writing("ada") as book:
        book.save_job(JOB)
    data = json.loads(text_of(location))
    assert data["planner_firm"] == 1
    assert data["jobs"][0]["client"] == JOB.client
    assert len(data["history"]) > 10
    assert data["counters"]["logs"] == 2


def test_a_filled_database_is_not_filled_again(location: str, tmp_path: Path) -> None:
    _fill(location)
    (tmp_path / "firm.json").write_text(text_of(location), encoding="utf-8")
    with pytest.raises(PlannerError, match="not empty"):
        import_firm(location, "ada", str(tmp_path / "firm.json"), dry_run=False)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (lambda d: d.pop("planner_firm"), "not a whole-firm file"),
        (lambda d: d.update(planner_firm=2), "this program reads format 1"),
        (lambda d: d.update(more=1), "unknown part"),
        (lambda d: d["crews"][0].update(size="four"), r"crews\[0\].size"),
        (lambda d: d["crews"][0].update(size=0), "size = 0"),
        (lambda d: d["crews"].append(d["crews"][0]), r"crews\[1\]"),
        (lambda d: d["jobs"][0]["lines"][0].update(quantity=-1), "dig_machine_cy = -1"),
        (lambda d: d["jobs"][0].update(promised="2026-02-30"), r"jobs\[0\].promised"),
        (lambda d: d["jobs"][0].update(rate_edition="none"), "refused"),
        (lambda d: d["plans"][0]["bookings"][0].update(crew_h=None), r"bookings\[0\].crew_h"),
        (lambda d: d["logs"][0].update(job="X"), "unknown job"),
        (lambda d: d["rate_books"][0]["book"].pop("rows"), r"rate_books\[0\]"),
        (lambda d: d["counters"].update(logs="x"), "counters"),
        (lambda d: d.update(jobs={}), "expected a list"),
    ],
)
def test_a_file_that_does_not_fit_changes_nothing(location: str, tmp_path: Path, change, place: str) -> None:
    source = tmp_path / "source.sqlite3"
    create(Store(source))
    _fill(str(source))
    with Store(source).writing() as book:
        book.save_rate_book(book.rate_book())
        book.save_job(JOB)
        book.save_crew(CREW)
        book.save_log(LOG)
        book.save_plan(PLAN)
    data = json.loads(text_of(str(source)))
    change(data)
    (tmp_path / "firm.json").write_text(json.dumps(data), encoding="utf-8")
    before = text_of(location)
    with pytest.raises(PlannerError, match=place):
        import_firm(location, "ada", str(tmp_path / "firm.json"), dry_run=False)
    assert text_of(location) == before


@pytest.mark.parametrize(
    "text", ["", "[", "nul", '{"planner_firm": NaN}', "[" * 100_000, '"\\ud800"', "1" * 5000]
)
def test_text_that_is_no_firm_is_refused(tmp_path: Path, location: str, text: str) -> None:
    (tmp_path / "firm.json").write_text(text, encoding="utf-8")
    with pytest.raises(BadInput):
        import_firm(location, "ada", str(tmp_path / "firm.json"), dry_run=False)
