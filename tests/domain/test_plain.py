"""Domain values as JSON values and back."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from planner.domain.firm.jobs import Job
from planner.domain.plain import from_plain, to_plain
from planner.errors import MOST_FAULTS, BadInput, BadInputs
from tests.store.values import CREW, FIRM, JOB, LOG, LOST, MACHINE, PLAN


@pytest.mark.parametrize("value", [FIRM, JOB, CREW, MACHINE, LOG, LOST, PLAN], ids=lambda v: type(v).__name__)
def test_through_json_and_back_is_identity(value: Any) -> None:
    assert from_plain(type(value), json.loads(json.dumps(to_plain(value)))) == value


def test_missing_fields_take_their_defaults() -> None:
    assert from_plain(Job, {"code": "A", "client": "B"}) == Job("A", "B")


@pytest.mark.parametrize(
    ("data", "place"),
    [
        ([], "job"),
        ({"client": "B"}, "job.code"),
        ({"code": 1, "client": "B"}, "job.code"),
        ({"code": "A", "client": "B", "color": 1}, "job.color"),
        ({"code": "A", "client": "B", "promised": "2026-02-30"}, "job.promised"),
        ({"code": "A", "client": "B", "importance": float("nan")}, "job.importance"),
        ({"code": "A", "client": "B", "importance": 10**400}, "job.importance"),
        ({"code": "A", "client": "B", "importance": True}, "job.importance"),
        ({"code": "A", "client": "B", "shelves": 2.5}, "job.shelves"),
        ({"code": "A", "client": "B", "status": "lost"}, "job.status"),
        ({"code": "A", "client": "B", "status": []}, "job.status"),
        ({"code": "A", "client": "B", "lines": {}}, "job.lines"),
        ({"code": "A", "client": "B", "lines": [{"item": "x"}]}, "job.lines[0].quantity"),
        (
            {"code": "A", "client": "B", "needs": {"dig": {"machines": {"a": "b"}}}},
            "job.needs.dig.machines.a",
        ),
        (
            {"code": "A", "client": "B", "pins": [{"phase": "dig", "start": "2027-04-05T07:00Z"}]},
            "job.pins[0].start",
        ),
    ],
)
def test_the_place_of_what_does_not_fit_is_told(data: Any, place: str) -> None:
    with pytest.raises(BadInput) as caught:
        from_plain(Job, data)
    assert caught.value.field == place


def test_dates_and_sets_are_plain() -> None:
    assert to_plain({"b": date(2027, 4, 5), "a": frozenset({"y", "x"})}) == {
        "a": ["x", "y"],
        "b": "2027-04-05",
    }


def test_every_fault_is_told_with_its_place() -> None:
    """A file is refused once, with all that is wrong in it."""
    plain = {"code": "P", "client": 5, "lines": [{"item": "dig_machine_cy", "quantity": "much"}, 7], "odd": 1}
    with pytest.raises(BadInputs) as refused:
        from_plain(Job, plain)
    assert sorted(fault.field for fault in refused.value.faults) == [
        "job.client",
        "job.lines[0].quantity",
        "job.lines[1]",
        "job.odd",
    ]


def test_of_very_many_faults_the_first_are_told_and_the_rest_counted() -> None:
    with pytest.raises(BadInputs) as refused:
        from_plain(Job, {"code": "P", "client": "Ames", "lines": [None] * 300})
    lines = str(refused.value).splitlines()
    assert (len(lines), lines[-1]) == (MOST_FAULTS + 1, f"and {300 - MOST_FAULTS} more: fix these first")
    assert len(refused.value.faults) == 300
