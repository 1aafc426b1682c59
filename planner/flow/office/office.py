"""The office's list from the store: read the desk, tick, snooze, export."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import TYPE_CHECKING

from planner.domain.crew_day.misses import SETTLED, LoggedMiss, open_misses
from planner.domain.design.design import Design
from planner.domain.firm.jobs import Status
from planner.domain.firm.records import SNOOZED, TICKED
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.office.list import office_list
from planner.domain.safety.locate import LocateRule
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.season import Season
from planner.domain.standing.order_gates import OrderStanding, order_standing
from planner.domain.standing.trade_gates import with_overdue
from planner.errors import BadInput, PlannerError
from planner.flow.design.design import orders_of
from planner.flow.stored.facts import gated_facts, load_facts
from planner.flow.stored.gates import order_file
from planner.flow.stored.kept_designs import parted_of, read_designs
from planner.flow.stored.weather import forecast_in_force
from planner.store.engine import Store
from planner.store.shipped.leads import lead_times
from planner.store.shipped.locates import locate_rule
from planner.store.shipped.own_file import folder_of

if TYPE_CHECKING:
    from planner.store.books import Book

#: What is known of the season at one moment: the facts, and what they come to.
Known = tuple[Facts, Season]
#: Longest word that settles a missed check [characters].
LONGEST_WORD = 500


def office_items(location: str, now: datetime) -> list[OfficeItem]:
    """Every item from the published plan (the newest when none is), ticked and snoozed ones too."""
    with Store(location).reading() as book:
        return office_list(read_desk(book, location, now))


def load_known(location: str, now: datetime) -> Known:
    """The facts and the season that they come to, for several pages of one moment."""
    facts = load_facts(location)
    return facts, season_of(facts, now)


def read_desk(book: Book, location: str, now: datetime, known: Known | None = None) -> Desk:
    """What the list is made from, in the caller's transaction. PlannerError when there is no plan yet.

    The jobs stand as they were entered, for the list tells by them what is still to be asked for; but a gate
    whose day passed without a tick says what that comes to. known: where facts and season were read already.
    """
    facts, season = known or _known(book, location, now)
    plan = facts.published or book.plan()
    own = {job.code: job for job in book.jobs()}
    season = replace(season, jobs={code: with_overdue(own[code], job) for code, job in season.jobs.items()})
    marks = book.office_marks()
    folder = folder_of(location)
    return Desk(
        season=season,
        plan=plan,
        rule=locate_rule(facts.firm.state, folder),
        leads=lead_times(folder),
        now=now,
        marks=marks,
        holds=book.holds(),
        logs=facts.logs,
        parted={code: parted_of(book, job) for code, job in season.jobs.items()},
        designs={code: found for code, found in read_designs(book).items() if isinstance(found, Design)},
        forecast=forecast_in_force(location, facts.firm, now.date()),
        cancelled=tuple(job for job in facts.jobs if job.status is Status.CANCELLED),
    )


def _known(book: Book, location: str, now: datetime) -> Known:
    facts = gated_facts(book, location)
    return facts, season_of(facts, now)


def tick(location: str, keys: Sequence[str], now: datetime, who: str) -> list[OfficeItem]:
    """Tick items off; returns them. BadInput for a key that is not on the list."""
    return _mark(location, keys, now, who, TICKED, None)


def say_orders(
    location: str, code: str, keys: Sequence[str], who: str, *, arrives: date | None = None
) -> list[OrderStanding]:
    """Say of a job's orders (all when none are named) that they are here, or confirmed for a day.

    Returns them. It needs no plan. BadInput for an order that the job does not call for.
    """
    with Store(location).writing(who=who) as book:
        job = book.job(code)
        found = {o.lead.key: o for o in orders_of(book, location, job)}
        unknown = next((key for key in keys if key not in found), None)
        if unknown is not None or not found:
            known = ", ".join(found) or "none: it has no quantities that call for one"
            raise BadInput("order", unknown or "", f"the orders of {code} are {known}")
        chosen = list(dict.fromkeys(keys)) or list(found)
        for key in chosen:
            word = "arrives" if arrives else "here"
            book.mark_office(f"{word}:{code}:{key}", TICKED, arrives, who)
        file = order_file(book, location, book.clock().date())
        return [order_standing(file, job, found[key].lead, found[key].phases) for key in chosen]


def job_order_rows(location: str, code: str) -> list[tuple[OrderStanding, str]]:
    """Every order that a job calls for: how it stands, and what it is of, in words."""
    with Store(location).reading() as book:
        file, units = order_file(book, location, book.clock().date()), book.firm().units
        job = book.job(code)
        return [
            (order_standing(file, job, order.lead, order.phases), order.words(units))
            for order in orders_of(book, location, job)
        ]


def snooze(location: str, keys: Sequence[str], until: date, now: datetime, who: str) -> list[OfficeItem]:
    """Put items away until a day. BadInput for a day that is not after today."""
    if until <= now.date():
        raise BadInput("--until", until, "choose a day after today")
    return _mark(location, keys, now, who, SNOOZED, until)


def settle(location: str, key: str, word: str, who: str) -> LoggedMiss:
    """Settle a missed check with a word on what was done; returns it. The history keeps who, when and what.

    BadInput for a key that names no open miss and for an empty or very long word.
    """
    if not word.strip() or len(word) > LONGEST_WORD:
        raise BadInput("word", word[:40], f"say what was done about it, in up to {LONGEST_WORD} characters")
    with Store(location).writing(who=who) as book:
        found = open_misses(book.logs(), book.office_marks())
        exact = [miss for miss in found if miss.key == key] or [m for m in found if m.key.startswith(key)]
        if len(exact) != 1 or not key:
            keys = ", ".join(m.key for m in exact or found) or "none is open"
            raise BadInput("key", key, f"name one missed check: {keys}")
        book.mark_office(exact[0].key, SETTLED, None, who, " ".join(word.split()))
        return replace(exact[0], settled=" ".join(word.split()))


def untick(location: str, keys: Sequence[str], who: str) -> list[str]:
    """Take ticks and snoozes back; returns the keys. PlannerError for an item that has neither."""
    with Store(location).writing(who=who) as book:
        marks = book.office_marks()
        for key in dict.fromkeys(keys):
            if key not in marks:
                raise PlannerError(
                    f"{key} is neither ticked, snoozed nor settled: see `planner office list --all`"
                )
            book.mark_office(key, "", None, who)
        return list(dict.fromkeys(keys))


def _mark(
    location: str, keys: Sequence[str], now: datetime, who: str, state: str, until: date | None
) -> list[OfficeItem]:
    with Store(location).writing(who=who) as book:
        items = office_list(read_desk(book, location, now))
        found = [_find(items, key) for key in dict.fromkeys(keys)]
        for item in found:
            if item.kind is Kind.MISSED:
                fix = f'planner office settle {item.key} "what was done"'
                raise PlannerError(f"a missed check stays open until a word settles it: {fix}")
        for item in found:
            book.mark_office(item.key, state, until, who)
        return found


def _find(items: Sequence[OfficeItem], key: str) -> OfficeItem:
    """The item of that key, or the only one whose key begins like it."""
    exact = [item for item in items if item.key == key]
    found = exact or [item for item in items if key and item.key.startswith(key)]
    if len(found) != 1:
        fix = "see the keys in `planner office list --all`" if not found else "write more of the key"
        raise BadInput("key", key, fix)
    return found[0]


def rule_in_force(location: str, state: str | None) -> LocateRule:
    """The locate rule of a state; the firm's own state when None."""
    folder = folder_of(location)
    if state is None:
        with Store(location).reading() as book:
            state = book.firm().state
    return locate_rule(state, folder)
