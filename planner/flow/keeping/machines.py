"""Machines and trucks on record: read, added, changed, taken off."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from planner.domain.firm.amend import days_changed
from planner.domain.firm.crews import Machine, Truck
from planner.domain.firm.fields import MACHINE_FIELDS, TRUCK_FIELDS
from planner.domain.firm.jobs import DayRange
from planner.flow.keeping.history import must_be_as_seen
from planner.flow.keeping.saved import Saved, must_be_free, new_or_not, save_by, with_typed
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


def load_machines(location: str) -> tuple[list[Machine], str]:
    """Every machine, and the firm's units."""
    with Store(location).reading() as book:
        return book.machines(), book.firm().units


def save_machine(
    location: str, who: str, key: str, texts: Mapping[str, str], *, new: bool, seen: int | None = None
) -> Saved:
    """Add or change a machine from typed fields. seen: its newest change when read; None asks nothing."""

    def change(book: Book) -> None:
        must_be_as_seen(book, "machine", key, None if new else seen)
        new_or_not(key in {m.key for m in book.machines()}, "machine", key, new=new)
        old = Machine(key, key) if new else book.machine(key)
        book.save_machine(with_typed(old, MACHINE_FIELDS, texts, book.firm().units))

    return save_by(location, who, key, change)


def edit_machine(location: str, who: str, key: str, edit: Callable[[Machine], Machine]) -> Saved:
    """Apply `edit` to the stored machine."""
    return save_by(location, who, key, lambda book: book.save_machine(edit(book.machine(key))))


def remove_machine(location: str, who: str, key: str, today: date, *, even_so: bool = False) -> None:
    """Take a machine off the records; refused when the published plan books it, unless `even_so`."""
    with Store(location).writing(who) as book:
        if not even_so:
            must_be_free(book, today, f"machine {key}", lambda b: any(use.kind == key for use in b.machines))
        book.remove_machine(key)


def load_trucks(location: str) -> tuple[list[Truck], str]:
    """Every truck, and the firm's units."""
    with Store(location).reading() as book:
        return book.trucks(), book.firm().units


def save_truck(
    location: str, who: str, key: str, texts: Mapping[str, str], *, new: bool, seen: int | None = None
) -> Saved:
    """Add or change a truck from typed fields. seen: its newest change when read; None asks nothing."""

    def change(book: Book) -> None:
        must_be_as_seen(book, "truck", key, None if new else seen)
        new_or_not(key in {t.key for t in book.trucks()}, "truck", key, new=new)
        old = Truck(key, key) if new else book.truck(key)
        truck = with_typed(old, TRUCK_FIELDS, texts, book.firm().units)
        if truck.crew:
            book.crew(truck.crew)  # refuses a crew that the firm has not
        book.save_truck(truck)

    return save_by(location, who, key, change)


def truck_in_shop(location: str, who: str, key: str, days: DayRange, *, drop: bool = False) -> Saved:
    """Give a truck days in the shop; drop: take back those that begin then."""

    def change(book: Book) -> None:
        truck = book.truck(key)
        book.save_truck(replace(truck, out=days_changed(truck.out, days, drop=drop)))

    return save_by(location, who, key, change)


def remove_truck(location: str, who: str, key: str, today: date, *, even_so: bool = False) -> None:
    """Take a truck off the records: no plan books it by name, so nothing is asked."""
    del today, even_so
    with Store(location).writing(who) as book:
        book.remove_truck(key)
