"""Which edition of the rate book tells a job: the one that told it first, until the office moves it on.

Every screen asks here. A job with quantities keeps its edition as soon as a newer one is saved; until then
it is told by the newest.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from planner.domain.estimate.rates import RateBook
from planner.domain.firm.jobs import Job, Status
from planner.errors import BadInput
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book

#: Words asked for as an edition: the one that told the job, and the newest on the shelf.
OWN, NEWEST = "own", "newest"
#: Jobs that move on to the newest edition when none is named: nobody has dug for them yet.
AHEAD = (Status.INQUIRY, Status.SOLD)


def told_by(book: Book, jobs: Iterable[Job]) -> dict[str, RateBook]:
    """Job code -> the edition that tells it."""
    newest, kept = book.rate_book(), book.job_editions()
    shelf: dict[str, RateBook] = {newest.edition: newest}
    for edition in set(kept.values()) - shelf.keys():
        shelf[edition] = book.rate_book(edition)
    return {job.code: shelf[kept.get(job.code, newest.edition)] for job in jobs}


def edition_asked(
    book: Book, job: Job, edition: str | None, own: Mapping[str, RateBook] | None = None
) -> RateBook:
    """The edition that an estimate of `job` is asked for with: None and OWN its own, NEWEST, or a name."""
    if edition in (None, OWN):
        return (own or told_by(book, [job]))[job.code]
    return book.rate_book(None if edition == NEWEST else edition)


def keep_editions(book: Book) -> None:
    """Before a new edition: jobs with quantities keep the edition that told them, to be told by it again."""
    newest = book.rate_book()
    book.save_rate_book(newest)
    kept = book.job_editions()
    for job in book.jobs():
        if job.phases and job.code not in kept:
            book.save_job(job, newest.edition)


def move_on(location: str, codes: Sequence[str], who: str) -> tuple[RateBook, list[str]]:
    """Let the newest edition tell the jobs `codes`, or every inquired and sold job when none is named.

    Returns the edition and the codes whose edition changed. Raises BadInput for an unknown job, or one
    without quantities.
    """
    with Store(location).writing(who=who) as book:
        newest = book.rate_book()
        jobs = [book.job(code) for code in codes] or [j for j in book.jobs() if j.status in AHEAD and j.lines]
        for job in jobs:
            if not job.lines:
                raise BadInput("job", job.code, "it has no quantities yet: the newest tells it anyway")
        told = told_by(book, jobs)
        behind = [job for job in jobs if told[job.code].edition != newest.edition]
        for job in behind:
            book.save_job(job, newest.edition)
    return newest, [job.code for job in behind]
