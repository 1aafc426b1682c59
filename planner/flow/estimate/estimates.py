"""Estimates from the store, and what its logs teach: only an accepted refit or an import adds an edition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

from planner.domain.estimate import rate_sheet
from planner.domain.estimate.conditions import Conditions
from planner.domain.estimate.labour import JobEstimate, estimate
from planner.domain.estimate.rates import Rate, RateBook
from planner.domain.firm.actuals import Log
from planner.domain.firm.jobs import Job
from planner.domain.firm.sound import CODE, LINE_LENGTH
from planner.domain.hours.backtest import Backtest, backtest
from planner.domain.hours.observations import Observation, bare, observations
from planner.domain.hours.refit import RefitResult, next_edition, refit
from planner.domain.season.effects import Effect, effects
from planner.domain.season.facts import Facts
from planner.domain.season.job_hours import job_hours
from planner.domain.season.plan import Plan
from planner.domain.season.ways import (
    USUAL_CREW,
    Choice,
    Compare,
    Estimated,
    Shop,
    choices,
    usual_crew,
    work_out,
)
from planner.errors import BadInput, PlannerError
from planner.flow.stored.editions import NEWEST, OWN, edition_asked, keep_editions, told_by
from planner.flow.stored.facts import read_facts, rules_beside
from planner.flow.stored.kept_designs import parted_of
from planner.flow.stored.shop import must_be_in_reach, open_jobs, read_shop
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


def estimate_jobs(
    location: str,
    codes: Sequence[str],
    *,
    today: date,
    start: date | None = None,
    crew: str | None = None,
    edition: str | None = None,
    conditions: Conditions | None = None,
) -> list[Estimated]:
    """Estimates of the jobs `codes`, or of every inquired, sold or running job when none is named.

    With the hours that the published plan (the newest draft before any is published) holds. crew: None takes
    the plan's, else the first able one. start: None takes the plan's next day for the job, else the day
    after `today`.
    edition: None takes the one that told each job (`flow.editions`), NEWEST the newest, else a name. Raises
    BadInput for an unknown job, crew or edition.
    """
    with Store(location).reading() as book:
        shop = read_shop(book, location)
        jobs = [book.job(code) for code in codes] if codes else open_jobs(book)
        own = told_by(book, jobs)
        parted = {job.code: parted_of(book, job) for job in jobs}
        rates = {job.code: edition_asked(book, job, edition, own) for job in jobs}
        plan = book.published() or (book.plan() if book.plans() else None)
        logs = tuple(book.logs())
        newest = book.rate_book()
    facts = Facts(
        firm=shop.firm,
        rules=shop.rules,
        jobs=tuple(jobs),
        crews=tuple(shop.crews) or (USUAL_CREW,),
        machines=tuple(shop.machines.values()),
        rates=newest,
        logs=logs,
        told_by=own,
    )
    seen = conditions or Conditions()
    found = [_estimated(job, facts, shop, plan, rates[job.code], crew, start, today, seen) for job in jobs]
    return [_with_parting(one, parted[one.job.code]) for one in found]


def _estimated(
    job: Job,
    facts: Facts,
    shop: Shop,
    plan: Plan | None,
    rates: RateBook,
    crew: str | None,
    start: date | None,
    today: date,
    conditions: Conditions,
) -> Estimated:
    sent = None if crew else _sent(job, facts, plan)
    chosen = usual_crew(job, shop.crews, shop.rules, crew or sent)
    hours = job_hours(facts, job, plan, chosen.name)
    first = start or _next_day(job, facts, plan, today)
    made = work_out(Choice("", job, chosen), shop, rates, first, conditions, hours)
    return replace(made, by_plan=sent is not None)


def _sent(job: Job, facts: Facts, plan: Plan | None) -> str | None:
    """The crew that leads the job's first work in the plan; None when the plan sends none that is known."""
    known = {c.name for c in facts.crews}
    return next((b.lead for b in plan.of_job(job.code) if b.lead in known), None) if plan else None


def _next_day(job: Job, facts: Facts, plan: Plan | None, today: date) -> date:
    """The next day on which the plan works at the job; the day after today when it holds none.

    What is logged for today is over for today, and a plan whose days are past begins tomorrow.
    """
    tomorrow = today + timedelta(days=1)
    logged = any(log.job == job.code and log.day == today for log in facts.logs)
    earliest = tomorrow if logged else today
    ahead = [b for b in plan.of_job(job.code) if b.end.date() >= earliest] if plan else []
    return max(earliest, min(b.start.date() for b in ahead)) if ahead else tomorrow


def _with_parting(one: Estimated, parted: str) -> Estimated:
    """The estimate with how its job and kept design differ as its first caution."""
    return replace(one, cautions=(parted, *one.cautions)) if parted else one


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
        rates = edition_asked(book, job, edition)
    chosen = usual_crew(job, shop.crews, shop.rules, crew)
    facts = conditions or Conditions()
    return [work_out(way, shop, rates, start, facts) for way in choices(compare, job, chosen, shop.crews)]


def rate_books(location: str) -> list[RateBook]:
    """Every edition on the shelf, oldest first."""
    with Store(location).reading() as book:
        return book.rate_books()


def rate_book(location: str, edition: str | None = None) -> RateBook:
    """One edition, the newest when None; BadInput when unknown."""
    with Store(location).reading() as book:
        return book.rate_book(edition)


def import_rates(
    location: str,
    text: str,
    name: str,
    today: date,
    *,
    who: str,
    edition: str | None = None,
    note: str = "",
    dry_run: bool = False,
) -> tuple[RateBook, list[Rate]]:
    """The firm's own rows on top of the newest edition, as a new edition; and the rows that changed.

    What was learned stays: a multiplier is a statement about the crew and the phase. Raises BadInputs with
    every fault of the table, PlannerError when nothing differs or the edition exists.
    """
    _fit_to_print(edition, note)
    with Store(location).reading() if dry_run else Store(location).writing(who) as book:
        newest = book.rate_book()
        taken = [b.edition for b in book.rate_books()]
        rows = rate_sheet.read(text, newest, name, f"own rate, imported {today.isoformat()}")
        if not rows:
            raise PlannerError(f"nothing in {name} differs from rate book {newest.edition}: change it")
        chosen = edition or next_edition(today, taken)
        if chosen in taken:
            raise PlannerError(f"rate book {chosen} is kept, and never overwritten: name a new --edition")
        fresh = replace(
            newest.with_rows(rows),
            edition=chosen,
            made_on=today,
            note=note or f"{len(rows)} rows from {name}",
            parent=newest.edition,
        )
        must_be_in_reach(book, location, fresh)
        if not dry_run:
            keep_editions(book)
            book.save_rate_book(fresh)
    return fresh, rows


def _fit_to_print(edition: str | None, note: str) -> None:
    """Refuse a name of an edition that could not be typed, and a note that would not stay on its line."""
    if edition is not None and (edition in (OWN, NEWEST) or not CODE.fullmatch(edition)):
        fix = f"use up to 24 letters, digits, dots, dashes, like 2027-06, and not {OWN!r} or {NEWEST!r}"
        raise BadInput("--edition", edition, fix)
    if len(note) > LINE_LENGTH or not note.isprintable():
        raise BadInput("--note", note, f"write one line of up to {LINE_LENGTH} characters")


@dataclass(frozen=True, slots=True)
class Refitted:
    """A refit as shown: what it proposes, how rolling predictions did, and whether the edition was saved.

    changes: what the proposal would change in open jobs.
    """

    result: RefitResult
    tested: Backtest | None
    accepted: bool
    changes: tuple[Effect, ...] = ()


def refit_rates(
    location: str, today: date, *, accept: bool = False, who: str = "office", start_from: str | None = None
) -> Refitted:
    """Learn from all finished jobs and propose the next edition; `accept` saves it beside the others.

    start_from: the edition to learn on top of, the newest when None; an older one takes its jobs in anew.
    """
    with Store(location).writing(who) if accept else Store(location).reading() as book:
        rates = book.rate_book(start_from)
        found = observed(book, location, rates)
        taken = [b.edition for b in book.rate_books()]
        result = refit(rates, found, today, taken)
        facts = read_facts(book, rules_beside(location))
        if accept and result.book is not None:
            keep_editions(book)
            book.save_rate_book(result.book)
    changes = effects(facts, result.book) if result.book is not None else ()
    return Refitted(result, backtest(rates, found), accept and result.book is not None, changes)


def observed(book: Book, location: str, rates: RateBook) -> list[Observation]:
    """Every phase of the store that says something about its hours, against the rows of `rates`."""
    shop = read_shop(book, location)
    jobs, logs = book.jobs(), book.logs()
    editions = {b.edition: b for b in book.rate_books()} | {rates.edition: rates}

    @cache
    def estimate_with(code: str, crew: str, edition: str, plain: bool) -> JobEstimate:
        chosen = bare(editions[edition]) if plain else editions[edition]
        return estimate(by_code[code], by_name[crew], chosen, shop.firm, shop.rules, shop.machines)

    by_code = {job.code: job for job in jobs}
    by_name = {crew.name: crew for crew in shop.crews}
    return observations(
        jobs,
        logs,
        shop.crews,
        shop.firm,
        rates,
        _told_with(book, logs, list(editions.values())),
        lambda job, crew, chosen: estimate_with(job.code, crew.name, chosen.edition, not chosen.learned),
    )


def _told_with(book: Book, logs: Sequence[Log], editions: Sequence[RateBook]) -> dict[str, RateBook]:
    """Job code -> the edition it was estimated with: its own, else the newest one at its first log."""
    own = book.job_editions()
    by_name = {b.edition: b for b in editions}
    first: dict[str, date] = {}
    for entry in logs:
        first[entry.job] = min(entry.day, first.get(entry.job, entry.day))
    oldest_first = sorted(editions, key=lambda b: b.made_on)
    told = {}
    for code, day in first.items():
        then = [b for b in oldest_first if b.made_on <= day] or oldest_first[:1]
        told[code] = by_name.get(own.get(code, ""), then[-1])
    return told
