"""The facts from the store: what every season, page and check is built from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from planner.domain.firm.phases import Phase, PhaseRule
from planner.domain.season.facts import Facts
from planner.flow.stored.editions import told_by
from planner.flow.stored.gates import gated, hired
from planner.flow.stored.told import read_told
from planner.store.engine import Store
from planner.store.shipped.own_file import folder_of
from planner.store.shipped.rules import phase_rules

if TYPE_CHECKING:
    from planner.schedule.model.effort import Progress as Progress  # noqa: PLC0414  (told on to the command line)
    from planner.store.books import Book


def rules_beside(location: str) -> Mapping[Phase, PhaseRule]:
    """The phase rules: the firm's own file beside a database file, else the shipped ones."""
    return phase_rules(folder_of(location))


def read_facts(book: Book, rules: Mapping[Phase, PhaseRule]) -> Facts:
    """Everything that a season is built from, in the caller's transaction."""
    jobs = tuple(book.jobs())
    return Facts(
        firm=book.firm(),
        rules=rules,
        jobs=jobs,
        crews=tuple(book.crews()),
        machines=tuple(book.machines()),
        trucks=tuple(book.trucks()),
        rates=book.rate_book(),
        logs=tuple(book.logs()),
        lost=tuple(book.lost()),
        published=book.published(),
        told=read_told(book),
        history_mark=book.history_mark(),
        told_by=told_by(book, jobs),
    )


def gated_facts(book: Book, location: str, now: datetime | None = None) -> Facts:
    """The facts with what locates, orders and rentals come to: as ticked, else as if said at `now`."""
    facts = read_facts(book, rules_beside(location))
    return replace(facts, jobs=gated(book, location, now), machines=hired(book, location, now))


def load_facts(location: str) -> Facts:
    """The facts as they stand now, in a transaction of their own."""
    with Store(location).reading() as book:
        return gated_facts(book, location)
