"""Day sheets from the store, and the checklist beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from planner.domain.crew_day.checklist import Checklist
from planner.domain.crew_day.daysheet import DaySheet, day_sheet
from planner.domain.crew_day.deliveries import arriving
from planner.domain.crew_day.others import CAUTIONS, on_site
from planner.domain.safety.heat import Forecast
from planner.domain.season.plan import Plan
from planner.domain.spelling import did_you_mean
from planner.domain.standing.roster import Roster
from planner.domain.standing.trade_gates import appointments
from planner.errors import BadInput
from planner.flow.crew_day.deliveries import coming
from planner.flow.stored.facts import rules_beside
from planner.flow.stored.roster import read_in_force, read_misses
from planner.store.engine import Store
from planner.store.shipped.checklists import checklist
from planner.store.shipped.own_file import folder_of

if TYPE_CHECKING:
    from planner.store.books import Book

#: What stands for every crew of the firm where a crew's name is asked.
ALL_CREWS = "all"


def checklist_beside(location: str) -> Checklist:
    """The checklists: the firm's own file beside a database file, else the shipped ones."""
    return checklist(folder_of(location))


def crew_sheets(
    location: str,
    crew: str,
    days: list[date],
    *,
    today: date | None = None,
    number: int | None = None,
    draft: bool = False,
    forecast: Forecast | None = None,
) -> list[DaySheet]:
    """The day sheets of one crew, or of all, for several days; of many, only those with work.

    today: from when on work that no longer stands is left out; the first of the days when None.
    """
    with Store(location).reading() as book:
        roster, plan = read_in_force(book, location, today or min(days), number, draft=draft)
        make = sheet_maker(book, location, roster, forecast)
        names = list(roster.crews)
        chosen = names if crew == ALL_CREWS and ALL_CREWS not in names else [find_crew(names, crew)]
        made = [make(plan, name, d) for name in chosen for d in days]
    return made if len(made) == 1 else [s for s in made if s.tasks] or made[:1]


def sheet_maker(
    book: Book, location: str, roster: Roster, forecast: Forecast | None = None
) -> Callable[[Plan, str, date], DaySheet]:
    """A function that makes a crew's sheet for a day by a plan.

    It makes the sheet that is handed out and the one that a return is read against.
    """
    lists, rules = checklist_beside(location), rules_beside(location)
    missed, logged = read_misses(book), book.logs()

    def make(plan: Plan, crew: str, day: date) -> DaySheet:
        made = day_sheet(
            roster, plan, crew, day, lists, rules=rules, forecast=forecast, missed=missed, logged=logged
        )
        codes = {job.code for job in made.sites}
        found = coming(book, location, roster, plan, day, codes) if codes else ()
        comes = [a for a in appointments(roster.jobs, plan.bookings) if a.day == day and a.job in codes]
        own = [CAUTIONS[a.kind] for a in comes if a.kind in CAUTIONS]
        cautions = tuple(dict.fromkeys((*made.cautions, *own)))
        arrives = (*map(on_site, comes), *arriving(found, day, codes, roster.firm.units))
        return replace(made, arrives=arrives, cautions=cautions)

    return make


def find_crew(names: list[str], typed: str) -> str:
    """The crew whose name is `typed`, in any case; BadInput otherwise."""
    if typed in names:
        return typed
    found = [name for name in names if name.casefold() == typed.casefold()]
    if len(found) != 1:
        every = f"use one of {', '.join(names) or '(no crew yet: add one first)'}"
        raise BadInput("crew", typed, did_you_mean(typed, names, every))
    return found[0]


def week_of(day: date) -> list[date]:
    """The seven dates of the ISO week that holds `day`."""
    monday = day - timedelta(days=day.weekday())
    return [monday + timedelta(days=n) for n in range(7)]
