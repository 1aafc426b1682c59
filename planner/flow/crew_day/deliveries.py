"""Deliveries from the store, and what is on hand in the yard."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta
from typing import TYPE_CHECKING

from planner.domain.crew_day.deliveries import Delivery, Listed, deliveries, from_the_yard
from planner.domain.season.plan import Plan
from planner.domain.standing.roster import Roster
from planner.errors import PlannerError
from planner.flow.keeping.paths import write
from planner.flow.stored.editions import told_by
from planner.flow.stored.gates import order_file
from planner.flow.stored.roster import read_in_force
from planner.store.engine import Store
from planner.store.shipped.on_hand import FILE, amount, known, on_hand, on_hand_text
from planner.store.shipped.own_file import folder_of

if TYPE_CHECKING:
    from planner.store.books import Book


def load_deliveries(location: str, today: date, first: date, days: int) -> Listed:
    """What is delivered in `days` days from `first` on, for all jobs of the plan that pages show."""
    held = on_hand(folder_of(location))
    with Store(location).reading() as book:
        roster, plan = read_in_force(book, location, today)
        file = order_file(book, location, today)
        every = deliveries(roster, plan, file, told_by(book, roster.jobs.values()), held)
        yard = from_the_yard(roster, plan, file, held)
    last = first + timedelta(days=days - 1)
    found = tuple(d for d in every if first <= d.day <= last)
    return Listed(found, yard, {c: j.address for c, j in roster.jobs.items()}, roster.firm.units)


def coming(
    book: Book, location: str, roster: Roster, plan: Plan, day: date, codes: Collection[str]
) -> tuple[Delivery, ...]:
    """The deliveries of these jobs, as the whole list tells them."""
    held = on_hand(folder_of(location))
    file = order_file(book, location, roster.today or day)
    books = told_by(book, roster.jobs.values())
    return deliveries(roster, plan, file, books, held, None if held else codes)


def say_on_hand(location: str, material: str, text: str) -> dict[str, float]:
    """Say how much of a material lies in the yard, 0 for none; returns all that lies there."""
    folder = folder_of(location)
    if folder is None:
        raise PlannerError("a server keeps no file of the yard: keep the season in a file, named with --db")
    held = {**on_hand(folder), known(material): amount(text)}
    write(folder / FILE, on_hand_text(held))
    return {key: value for key, value in held.items() if value > 0}
