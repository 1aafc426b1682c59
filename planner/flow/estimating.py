"""Estimates from the store: which jobs, which crew, which edition; nothing is changed by asking."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from planner.domain.conditions import Conditions
from planner.domain.jobs import Job, Status
from planner.domain.rates import RateBook
from planner.domain.ways import (
    USUAL_DIGGER,
    Choice,
    Compare,
    Estimated,
    Shop,
    choices,
    usual_crew,
    work_out,
)
from planner.errors import BadInput
from planner.flow.planning import rules_beside
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book

_OPEN = frozenset({Status.INQUIRY, Status.SOLD, Status.UNDER_WAY})


def estimate_jobs(
    location: str,
    codes: Sequence[str],
    *,
    start: date,
    crew: str | None = None,
    edition: str | None = None,
    conditions: Conditions | None = None,
) -> list[Estimated]:
    """Estimates of the jobs `codes`, or of every inquired, sold or running job when none is named.

    edition: None takes the newest; "own" the edition that each job was first estimated with. Raises BadInput
    for an unknown job, crew or edition.
    """
    with Store(location).reading() as book:
        shop = read_shop(book, location)
        jobs = [book.job(code) for code in codes] if codes else _open_jobs(book)
        rates = {job.code: _edition(book, job, edition) for job in jobs}
    facts = conditions or Conditions()
    return [
        work_out(
            Choice("", job, usual_crew(job, shop.crews, shop.rules, crew)),
            shop,
            rates[job.code],
            start,
            facts,
        )
        for job in jobs
    ]


def compare_ways(
    location: str,
    code: str,
    compare: Compare,
    *,
    start: date,
    crew: str | None = None,
    edition: str | None = None,
    conditions: Conditions | None = None,
) -> list[Estimated]:
    """One job done in several ways: by each crew, by 1 to 5 people, by machine and by hand."""
    with Store(location).reading() as book:
        shop = read_shop(book, location)
        job = book.job(code)
        rates = _edition(book, job, edition)
    chosen = usual_crew(job, shop.crews, shop.rules, crew)
    facts = conditions or Conditions()
    return [work_out(way, shop, rates, start, facts) for way in choices(compare, job, chosen, shop.crews)]


def read_shop(book: Book, location: str) -> Shop:
    """Firm, crews, machines, rules and lost time; a usual mini excavator while the firm has no machine."""
    machines = {m.key: m for m in book.machines()} or {USUAL_DIGGER.key: USUAL_DIGGER}
    return Shop(book.firm(), book.crews(), machines, rules_beside(location), tuple(book.lost()))


def _open_jobs(book: Book) -> list[Job]:
    return [job for job in book.jobs() if job.status in _OPEN]


def _edition(book: Book, job: Job, edition: str | None) -> RateBook:
    if edition != "own":
        return book.rate_book(edition)
    own = book.job_edition(job.code)
    if own is None:
        raise BadInput("--edition", "own", f"job {job.code} keeps no edition yet; leave the option out")
    return book.rate_book(own)
