"""Logs turned into evidence: what counts, by whose hands, against which edition."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import log

import pytest

from planner.domain.estimate.labour import JobEstimate, with_daily_setup
from planner.domain.estimate.rates import Learned, LearnedKind, RateBook
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import Job, Status
from planner.domain.firm.phases import Phase
from planner.domain.hours.observations import Observation, observations
from tests.domain.estimate.ponds import BOOK, FIRM, MONDAY, NORTH, only, told

SOUTH = Crew("South", "Bo", 2, pace=0.9)
JOB = replace(only(pipe_ft=40.0, filter_boxes=2.0), status=Status.UNDER_WAY)


def entry(hours: float, **changed: object) -> Log:
    plain = {"day": MONDAY, "crew": "North", "job": "P-1", "phase": Phase.PLUMBING, "crew_h": hours}
    return Log(**{**plain, **changed})  # type: ignore[arg-type]


def evidence(
    *logs: Log, job: Job = JOB, told_with: dict[str, RateBook] | None = None, book: RateBook = BOOK
) -> list[Observation]:
    def with_book(one: Job, crew: Crew, rates: RateBook) -> JobEstimate:
        return told(one, crew, rates)

    return observations([job], logs, [NORTH, SOUTH], FIRM, book, told_with or {}, with_book)


BOXES = entry(3.0, phase=Phase.SET_FILTERS, done=True)


def test_a_finished_job_gives_one_observation_a_phase() -> None:
    found = evidence(BOXES, entry(2.0, share_done=0.5), entry(1.5, day=date(2027, 4, 6), done=True))
    assert [(o.phase, o.worked_h) for o in found] == [(Phase.SET_FILTERS, 3.0), (Phase.PLUMBING, 3.5)]
    pipes = found[1]
    assert (pipes.first, pipes.last) == (MONDAY, date(2027, 4, 6))
    assert pipes.bare_h == pytest.approx(with_daily_setup(told(JOB).phases[Phase.PLUMBING].crew_h, FIRM))
    assert pipes.log_ratio == pytest.approx(log(3.5 / pipes.bare_h))


def test_running_jobs_teach_by_their_share() -> None:
    """A begun phase counts from a quarter done on, by its share; the job is not whole before all is done."""
    begun = evidence(entry(2.0, share_done=0.5), BOXES)
    assert [(o.phase, o.share, o.whole) for o in begun] == [
        (Phase.SET_FILTERS, 1.0, False),
        (Phase.PLUMBING, 0.5, False),
    ]
    assert begun[1].log_ratio == pytest.approx(log(2.0 / (0.5 * begun[1].bare_h)))
    assert [o.share for o in evidence(entry(2.0, share_done=0.2), BOXES)] == [1.0]
    assert not evidence(entry(2.0, done=True))[0].whole, "the filters are not logged as done"
    closed = replace(JOB, status=Status.DONE)
    assert [o.phase for o in evidence(entry(2.0), job=closed)] == [Phase.PLUMBING]


def test_order_of_entries_does_not_matter() -> None:
    logs = [BOXES, entry(0.1), entry(0.2, crew="South"), entry(0.3, day=date(2027, 4, 6), done=True)]
    assert evidence(*logs) == evidence(*reversed(logs))


def test_hands_count_by_their_number_and_pace() -> None:
    """One hour of 2 of the usual 3 hands is 2/3 of a crew-hour; South's 2 at 0.9 are 1.8/3 of North's."""
    short = evidence(BOXES, entry(3.0, done=True), entry(1.0, people=2))
    assert short[1].worked_h == pytest.approx(3.0 + 2 / 3)
    helped = evidence(BOXES, entry(3.0, done=True), entry(1.0, crew="South"))
    assert helped[1].worked_h == pytest.approx(3.0 + 1.8 / 3)
    assert helped[1].crew == "North"


def test_a_slow_crews_own_hours_are_its_hours() -> None:
    """Pace is in the estimate already: three hours of South are three hours worked."""
    found = evidence(BOXES, entry(3.0, crew="South", done=True))
    assert [(o.crew, o.worked_h) for o in found] == [("North", 3.0), ("South", pytest.approx(3.0))]


def test_lost_hours_do_not_count() -> None:
    found = evidence(BOXES, entry(3.0, done=True, lost_h=2.0), entry(0.0, crew="Left the firm", lost_h=4.0))
    assert found[1].worked_h == 3.0


def test_a_phase_with_hours_of_a_crew_off_the_records_is_no_evidence() -> None:
    """Three hours of those who stayed are not the phase's hours; its other phases still count."""
    found = evidence(BOXES, entry(3.0, done=True), entry(5.0, crew="Left the firm"))
    assert [o.phase for o in found] == [Phase.SET_FILTERS]


def test_own_edition_and_bare_rates_are_kept_apart() -> None:
    """The told hours come with what the old edition had learned; the bare ones never do."""
    taught = replace(BOOK, edition="old", learned=(Learned(LearnedKind.PHASE, "plumbing", 0.5, 0.1, 3),))
    (_, pipes) = evidence(BOXES, entry(3.0, done=True), told_with={"P-1": taught}, book=taught)
    assert pipes.told_h / pipes.bare_h == pytest.approx(1.6487, abs=1e-4)
    assert pipes.told_p80_h > pipes.told_h
