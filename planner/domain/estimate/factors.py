"""Every factor of a phase, each once and in a fixed order, and where each number comes from."""

from __future__ import annotations

from math import exp

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
from planner.domain.estimate.unknown import Leaning
from planner.domain.firm.firm import Firm
from planner.domain.firm.phases import Phase
from planner.domain.wording import counted


def site_factors(phase: Phase, way: Way, firm: Firm) -> tuple[FactorUse, ...]:
    """What multiplies the summed tasks before any log: site, weather, week, hands; nothing at a visit."""
    if phase is Phase.VISIT:
        return ()
    job, book, facts = way.job, way.book, way.conditions
    hours_week = facts.hours_week or firm.paid_h_day * len(firm.weekdays)
    found = [
        _row_factor(book, "occupied") if job.occupied else None,
        _row_factor(book, f"wet.{phase.value}") if job.wet else None,
        _row_factor(book, f"access.{ACCESS_KEY.get(job.access, 'machine')}.{phase.value}"),
        weather_factor(phase, facts, book),
        overtime_factor(hours_week, book),
        new_hand_factor(way.crew.size, facts, book),
    ]
    return tuple(f for f in found if f is not None)


def lesson_factors(book: RateBook, leaning: Leaning) -> tuple[FactorUse, ...]:
    """What logs taught about the causes that a phase leans on, one factor each; powers of size as one."""
    found = [_lesson_factor(book, *target) for target in leaning if target[0] is not LearnedKind.SIZE]
    found.append(_size_factor(book, leaning))
    return tuple(f for f in found if f is not None)


def _row_factor(book: RateBook, key: str) -> FactorUse | None:
    row = book.rows.get(key)
    return FactorUse(row.words, row.likely, (key,)) if row else None


def _lesson_factor(book: RateBook, kind: LearnedKind, target: str) -> FactorUse | None:
    lesson = book.lesson(kind, target)
    if lesson is None or lesson.log_mean == 0.0:
        return None
    words = f"learned for {'the firm' if kind is LearnedKind.FIRM else f'{kind.value} {target}'}"
    words = f"{words} from {counted(lesson.jobs, 'job')}"
    return FactorUse(words, lesson.factor, (f"learned.{kind.value}.{target}",))


def _size_factor(book: RateBook, leaning: Leaning) -> FactorUse | None:
    """Size to the learned power: over 1 on small jobs when small jobs take longer than the book says."""
    held = {t: x for t in leaning if t[0] is LearnedKind.SIZE and (x := book.lesson(*t)) is not None}
    power = sum(x.log_mean for x in held.values())
    if not held or power == 0.0:
        return None
    size = next(leaning[t] for t in held)
    jobs = max(x.jobs for x in held.values())
    words = f"size, {exp(size):.2f} of a usual pond's, to the power {power:+.3f}"
    words += f" learned from {counted(jobs, 'job')}"
    return FactorUse(words, exp(power * size), tuple(f"learned.size.{t[1]}" for t in held))


def source_of(book: RateBook, key: str) -> str:
    """The source of a row or of a lesson, as the explanation prints it."""
    if key in book.rows:
        return book.rows[key].source
    if key == HEAT_TABLE:
        return HEAT_SOURCE
    return (
        f"learned from the firm's own logs, edition {book.edition}" if key.startswith("learned.") else DEFAULT
    )
