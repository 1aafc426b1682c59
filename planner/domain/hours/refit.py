"""What logged hours teach the rate book: the next edition that a refit proposes, old and new side by side.

In: the present edition and the finished phases (`observations`). Out: a `RefitResult`; the fit itself is in
`fitting`. An edition is never changed, and a job whose logs it holds is not taken in again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import exp, log

from planner.domain.estimate.rates import LearnedKind, RateBook
from planner.domain.estimate.spread import Z90
from planner.domain.hours.fitting import fit
from planner.domain.hours.observations import Observation
from planner.domain.hours.slips import Slip
from planner.domain.wording import counted

_SITE = frozenset({LearnedKind.SOIL, LearnedKind.ACCESS})


@dataclass(frozen=True, slots=True)
class Lesson:
    """One multiplier before and after: low and high hold it with 80 %; jobs it rests on now.

    Of a size it is the multiplier of work half as large as a usual pond's.
    """

    kind: LearnedKind
    target: str
    old: float
    new: float
    low: float
    high: float
    jobs: int


@dataclass(frozen=True, slots=True)
class RefitResult:
    """What a refit proposes. book: the next edition, None without new evidence; why: then says so.

    lessons: every multiplier, largest change first. jobs: finished jobs newly used, begun: unfinished ones
    whose phases count by their share. told_apart: what the data
    could not separate, in words; slips: hours to ask about, that look typed ten times off.
    """

    old: RateBook
    book: RateBook | None
    why: str
    lessons: tuple[Lesson, ...] = ()
    jobs: tuple[str, ...] = ()
    begun: tuple[str, ...] = ()
    observations: int = 0
    damped: tuple[tuple[str, str, float], ...] = ()
    told_apart: tuple[str, ...] = ()
    slips: tuple[Slip, ...] = ()


def refit(
    book: RateBook, found: Sequence[Observation], made_on: date, taken: Sequence[str] = ()
) -> RefitResult:
    """Propose the next edition from the observations that `book` does not hold yet.

    made_on: the date of the new edition, from which the age of jobs counts; taken: edition names in use.
    """
    held = set(book.learned_from)
    new = [o for o in found if o.job not in held and o.share > book.part_learned.get(o.key, 0.0)]
    jobs = tuple(sorted({o.job for o in new if o.whole}))
    begun = tuple(sorted({o.job for o in new if not o.whole}))
    if not new:
        since = f"since edition {book.edition}" if book.learned_from else "with logged hours"
        return RefitResult(book, None, f"no finished phase {since}: nothing to learn from yet")
    fitted = fit(book, new, made_on)
    spread = replace(fitted.spread, jobs=book.spread.jobs + len(jobs))
    proposal = RateBook(
        edition=next_edition(made_on, [*taken, book.edition]),
        made_on=made_on,
        rows=book.rows,
        note=f"refit of {book.edition} from {counted(len(jobs), 'job')}"
        + (f" and {len(begun)} begun" if begun else ""),
        learned=fitted.learned,
        spread=spread,
        learned_from=tuple(sorted({*book.learned_from, *jobs})),
        parent=book.edition,
        covariance=fitted.covariance,
        seen=_seen(book, new),
        part_learned=_part_learned(book, new, jobs),
    )
    return RefitResult(
        old=book,
        book=proposal,
        why="",
        lessons=_lessons(book, proposal),
        jobs=jobs,
        begun=begun,
        observations=len(new),
        damped=fitted.damped,
        told_apart=_not_apart(new, proposal),
        slips=fitted.slips,
    )


def next_edition(made_on: date, taken: Sequence[str]) -> str:
    """Year and month, with a number when the month has editions already.

    >>> next_edition(date(2027, 6, 30), ["2027-01"]), next_edition(date(2027, 6, 30), ["2027-06"])
    ('2027-06', '2027-06-2')
    """
    name, number = f"{made_on:%Y-%m}", 1
    edition = name
    while edition in taken:
        number += 1
        edition = f"{name}-{number}"
    return edition


def _lessons(old: RateBook, new: RateBook) -> tuple[Lesson, ...]:
    found = []
    for x in new.learned:
        before = old.lesson(x.kind, x.target)
        was = before.log_mean if before else 0.0
        ends = sorted(_factor(x.kind, x.log_mean + side * Z90 * x.log_sd) for side in (-1, 1))
        now = _factor(x.kind, x.log_mean)
        found.append(Lesson(x.kind, x.target, _factor(x.kind, was), now, ends[0], ends[1], x.jobs))
    kinds = list(LearnedKind)
    return tuple(sorted(found, key=lambda x: (kinds.index(x.kind), -abs(x.new / x.old - 1.0), x.target)))


def _factor(kind: LearnedKind, log_mean: float) -> float:
    """The multiplier of a lesson; of a size's power, at half the usual size."""
    return exp(-log(2.0) * log_mean) if kind is LearnedKind.SIZE else exp(log_mean)


def _seen(book: RateBook, found: Sequence[Observation]) -> tuple[str, ...]:
    """Soils and kinds of access that logs have spoken of, told apart or not."""
    seen = {f"{k.value} {t}" for o in found for k, t in o.targets if k in _SITE}
    return tuple(sorted({*book.seen, *seen}))


def _part_learned(book: RateBook, found: Sequence[Observation], jobs: Sequence[str]) -> dict[str, float]:
    """What is taken from jobs that are not finished yet, so that their rest counts no more than once."""
    shares = {**book.part_learned, **{o.key: o.share for o in found if not o.whole}}
    done = set(jobs)
    return {key: share for key, share in sorted(shares.items()) if key.rsplit(" ", 1)[0] not in done}


def _not_apart(found: Sequence[Observation], book: RateBook) -> tuple[str, ...]:
    """Soils and kinds of access that were seen but could not be told apart from the rest."""
    seen = {t for o in found for t in o.targets if t[0] in _SITE}
    return tuple(sorted(f"{k.value} {t}" for k, t in seen if book.lesson(k, t) is None))
