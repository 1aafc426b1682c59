"""What a returned text may hold, and what one part of a phase counts for."""

from __future__ import annotations

import base64
import json
import zlib
from dataclasses import replace
from datetime import date, timedelta

import pytest

from planner.domain.crew_day.returned import OLDEST, VERSION, ReturnedSheet, ReturnedTask, decode_all, encode
from planner.domain.firm.actuals import Log
from planner.domain.firm.jobs import Job, Status
from planner.domain.firm.phases import Phase
from planner.domain.hours.fitting import _Walk
from planner.domain.hours.logbook import status_after
from planner.domain.hours.refit import next_edition
from planner.domain.hours.returns import _double, _log
from planner.errors import BadInput
from tests.domain.estimate.ponds import BOOK
from tests.domain.hours.seasons_worked import seen

DAY = date(2027, 4, 5)
TASK = ReturnedTask("P-1", Phase.FILL, 1, crew_h=2.0, people=2)


def packed(row: list[object]) -> str:
    """A text with the check sum that fits, as a phone with any version would make it."""
    raw = json.dumps(row, separators=(",", ":")).encode()
    return f"DAYSHEET-{base64.b32encode(raw).decode().rstrip('=')}-{zlib.crc32(raw):08X}"


def sheet(tasks: int = 1) -> ReturnedSheet:
    return ReturnedSheet("Red", DAY, 1, "cc49d091", "Ada", (TASK,) * tasks)


def test_fifty_tasks_are_read_and_one_more_is_refused() -> None:
    assert len(decode_all(encode(sheet(50)))[0].tasks) == 50
    with pytest.raises(BadInput, match="does not read"):
        decode_all(encode(sheet(51)))


@pytest.mark.parametrize("version", [OLDEST - 1, VERSION + 1, "3", None])
def test_a_version_that_is_not_known_is_refused(version: object) -> None:
    with pytest.raises(BadInput, match="does not read"):
        decode_all(packed([version, "Red", "2027-04-05", 1, "cc49d091", "", []]))


@pytest.mark.parametrize("version", [OLDEST, VERSION])
def test_a_day_without_tasks_is_read_in_every_version(version: int) -> None:
    assert decode_all(packed([version, "Red", "2027-04-05", 1, "cc49d091", "", []]))[0].tasks == ()
    with pytest.raises(BadInput, match="does not read"):
        decode_all(packed([version, "Red", "2027-04-05", 1, "cc49d091", "", {}]))


@pytest.mark.parametrize(
    ("part", "done", "share", "of_phase", "finished"),
    [
        (1, True, None, 0.5, False),  # the first of two parts is half of the phase, and not its end
        (2, False, 0.5, 0.75, False),
        (2, True, None, 1.0, True),
        (1, False, None, None, False),
    ],
)
def test_a_part_counts_for_an_equal_share(
    part: int, done: bool, share: float | None, of_phase: float | None, finished: bool
) -> None:
    entry = ReturnedTask("P-1", Phase.FILL, part, crew_h=2.0, people=2, share_done=share, done=done)
    logged = _log(sheet(), entry, [], parts=2)
    assert (logged.share_done, logged.done, logged.crew_h) == (of_phase, finished, 2.0)


def test_the_words_of_a_crew_never_pass_for_a_check() -> None:
    entry = ReturnedTask("P-1", Phase.DIG, 1, crew_h=2.0, note="MISSED nothing at all")
    assert _log(sheet(), entry, [], parts=1).note == "note: MISSED nothing at all\nchecked by Ada"


def test_a_third_edition_of_a_month_has_the_next_number() -> None:
    taken = ["2027-06"]
    for name in ("2027-06-2", "2027-06-3", "2027-06-4"):
        assert next_edition(date(2027, 6, 30), taken) == name
        taken.append(name)


@pytest.mark.parametrize(
    ("days", "count", "each"), [(13, 0, 1.0), (14, 1, 14.0), (28, 2, 14.0), (41, 2, 20.5), (5600, 40, 140.0)]
)
def test_a_firms_pace_may_wander_by_the_fortnight(days: int, count: int, each: float) -> None:
    """Whole fortnights share the days between them, forty at most; under one there is nothing to wander."""
    row = seen("A", Phase.DIG, 1.0, on=DAY - timedelta(days=4))
    walk = _Walk.over(BOOK, [row], DAY + timedelta(days=days))
    assert (walk.first, walk.count, walk.days) == (DAY, count, each)
    assert (walk.variance > 0) is (count > 0)


def test_hours_of_the_same_work_from_elsewhere_are_told_and_no_others() -> None:
    own = Log(DAY, "Red", "P-1", Phase.FILL, 2.0, source="cc49d091")
    assert list(_double([own], [own])) == []
    typed = Log(DAY, "Red", "P-1", Phase.FILL, 3.0, source="office")
    (words,) = _double([own], [typed])
    assert words == "P-1 fill has 3 h of Red on Mon Apr 5 already, from office"
    for other in (
        replace(typed, crew="Blue"),
        replace(typed, day=DAY + timedelta(days=1)),
        replace(typed, job="P-2"),
        replace(typed, phase=Phase.ROCK),
    ):
        assert list(_double([own], [other])) == []


def test_hours_move_no_job_that_is_cancelled_or_asked_for_only() -> None:
    log = Log(DAY, "Red", "P-1", Phase.FILL, 2.0)
    for status in (Status.CANCELLED, Status.INQUIRY):
        assert status_after(Job("P-1", "Reed", status=status), [log]) is status
    assert status_after(Job("P-1", "Reed", status=Status.SOLD), [log]) is Status.UNDER_WAY
    assert status_after(Job("P-1", "Reed", status=Status.UNDER_WAY), []) is Status.SOLD
