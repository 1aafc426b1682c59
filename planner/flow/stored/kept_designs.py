"""The design kept with a job, and how the two have come to differ."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from planner.domain.design.design import Design
from planner.domain.design.parting import told_apart
from planner.domain.design.read import read_design
from planner.domain.firm.jobs import Job
from planner.errors import BadInput

if TYPE_CHECKING:
    from planner.store.books import Book


@lru_cache(maxsize=512)
def read_kept(text: str) -> Design | str:
    """The design in a kept text, or in one line why it cannot be read."""
    try:
        return read_design(text)
    except BadInput as fault:
        return str(fault).splitlines()[0]


def read_designs(book: Book) -> dict[str, Design | str]:
    """Every job's kept design, or in one line why it cannot be read."""
    return {code: read_kept(text) for code, text in book.designs().items()}


def parted_of(book: Book, job: Job) -> str:
    """How the job and its kept design differ, in one line; "" when they agree or no design is kept."""
    text = book.design(job.code)
    return told_apart(job, read_kept(text), book.firm().units) if text else ""
