"""Every factor of a phase, each once and in a fixed order, and where each number comes from."""

from __future__ import annotations

from planner.domain.estimate.conditions import (
    HEAT_SOURCE,
    HEAT_TABLE,
    FactorUse,
    new_hand_factor,
    overtime_factor,
    weather_factor,
)
from planner.domain.estimate.rates import DEFAULT, LearnedKind, RateBook
from planner.domain.estimate.task import ACCESS_KEY, Way
from planner.domain.firm.firm import Firm
from planner.domain.firm.phases import Phase


def phase_factors(phase: Phase, way: Way, firm: Firm) -> tuple[FactorUse, ...]:
    """What multiplies the summed tasks: site, weather, week, hands, and what logs taught."""
    job, book, facts = way.job, way.book, way.conditions
    hours_week = facts.hours_week or firm.paid_h_day * len(firm.weekdays)
    found = [
        _row_factor(book, "occupied") if job.occupied else None,
        _row_factor(book, f"wet.{phase.value}") if job.wet else None,
        _row_factor(book, f"access.{ACCESS_KEY.get(job.access, 'machine')}.{phase.value}"),
        weather_factor(phase, facts, book),
        overtime_factor(hours_week, book),
        new_hand_factor(way.crew.size, facts, book),
        _lesson_factor(book, LearnedKind.PHASE, phase.value),
        _lesson_factor(book, LearnedKind.CREW, way.crew.name),
        _lesson_factor(book, LearnedKind.SOIL, job.soil.value) if phase is Phase.DIG else None,
        _lesson_factor(book, LearnedKind.ACCESS, job.access.value),
    ]
    return tuple(f for f in found if f is not None)


def _row_factor(book: RateBook, key: str) -> FactorUse | None:
    row = book.rows.get(key)
    return FactorUse(row.words, row.likely, (key,)) if row else None


def _lesson_factor(book: RateBook, kind: LearnedKind, target: str) -> FactorUse | None:
    lesson = book.lesson(kind, target)
    if lesson is None or lesson.log_mean == 0.0:
        return None
    words = f"learned for {kind.value} {target} from {lesson.jobs} jobs"
    return FactorUse(words, lesson.factor, (f"learned.{kind.value}.{target}",))


def source_of(book: RateBook, key: str) -> str:
    """The source of a row or of a lesson, as the explanation prints it."""
    if key in book.rows:
        return book.rows[key].source
    if key == HEAT_TABLE:
        return HEAT_SOURCE
    return (
        f"learned from the firm's own logs, edition {book.edition}" if key.startswith("learned.") else DEFAULT
    )
