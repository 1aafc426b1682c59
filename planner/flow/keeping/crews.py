"""Crews and their people on record: read, added, changed, lent, taken off."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from planner.domain.firm import people
from planner.domain.firm.amend import days_changed
from planner.domain.firm.crews import Crew, Loan, Person
from planner.domain.firm.fields import CREW_FIELDS, PERSON_FIELDS
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.sound import faults_of_may
from planner.errors import BadInput, BadInputs
from planner.flow.keeping.history import must_be_as_seen
from planner.flow.keeping.saved import Saved, must_be_free, new_or_not, save_by, with_typed
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


def load_crews(location: str) -> list[Crew]:
    """Every crew."""
    with Store(location).reading() as book:
        return book.crews()


def save_crew(
    location: str, who: str, name: str, texts: Mapping[str, str], *, new: bool, seen: int | None = None
) -> Saved:
    """Add or change a crew from typed fields. seen: its newest change when it was read; None asks nothing."""

    def change(book: Book) -> None:
        must_be_as_seen(book, "crew", name, None if new else seen)
        new_or_not(book.has_crew(name), "crew", name, new=new)
        old = Crew(name, "") if new else book.crew(name)
        book.save_crew(with_typed(old, CREW_FIELDS, texts, book.firm().units))

    return save_by(location, who, name, change)


def edit_crew(location: str, who: str, name: str, edit: Callable[[Crew], Crew]) -> Saved:
    """Apply `edit` to the stored crew."""
    return save_by(location, who, name, lambda book: book.save_crew(edit(book.crew(name))))


def remove_crew(location: str, who: str, name: str, today: date, *, even_so: bool = False) -> None:
    """Take a crew off the records; hours and old plans keep its name.

    Refused when the published plan books it from today on, unless `even_so`.
    """
    with Store(location).writing(who) as book:
        if not even_so:
            must_be_free(book, today, f"crew {name}", lambda b: name in b.crews)
        book.remove_crew(name)


def save_person(
    location: str,
    who: str,
    name: str,
    texts: Mapping[str, str],
    *,
    new: bool,
    crew: str | None = None,
    leads: bool = False,
) -> Saved:
    """Add a person to a crew or change one from typed fields. crew: where he belongs from now on; leads: he
    becomes its lead."""

    def change(book: Book) -> None:
        held = people.home_of(book.crews(), name)
        if held and new:
            raise BadInput("person", name, f"is of {held.name} already: use `planner people change`")
        old = None if new else people.crew_of(book.crews(), name)
        home = book.crew(crew) if crew else old
        if home is None:
            raise BadInput("crew", "", "say which crew the person belongs to")
        before = Person(name) if old is None else people.person_of(old, name)
        person = with_typed(before, PERSON_FIELDS, texts, book.firm().units)
        if faults := faults_of_may(person, [machine.key for machine in book.machines()]):
            raise BadInputs(faults)
        if old is not None and old.name != home.name:
            book.save_crew(people.without_person(old, name))
        book.save_crew(people.with_person(home, person, leads=leads))

    return save_by(location, who, name, change)


def edit_person(location: str, who: str, name: str, edit: Callable[[Person], Person]) -> Saved:
    """Apply `edit` to the stored person."""

    def change(book: Book) -> None:
        crew = people.crew_of(book.crews(), name)
        book.save_crew(people.with_person(crew, edit(people.person_of(crew, name))))

    return save_by(location, who, name, change)


def person_away(location: str, who: str, name: str, days: DayRange, *, drop: bool = False) -> Saved:
    """Give a person days off that are known ahead; drop: take back those that begin then."""
    return edit_person(location, who, name, lambda p: replace(p, away=days_changed(p.away, days, drop=drop)))


def lend_person(location: str, who: str, name: str, to: str, days: DayRange, *, drop: bool = False) -> Saved:
    """Lend a person to another crew for some days; drop: take back the loan that begins then."""

    def change(book: Book) -> None:
        crew = people.crew_of(book.crews(), name)
        host = to if drop else book.crew(to).name
        person = people.lent_changed(people.person_of(crew, name), Loan(days, host), drop=drop)
        book.save_crew(people.with_person(crew, person))

    return save_by(location, who, name, change)


def remove_person(location: str, who: str, name: str) -> Saved:
    """Take a person off the records; his crew stays as it is."""

    def change(book: Book) -> None:
        book.save_crew(people.without_person(people.crew_of(book.crews(), name), name))

    return save_by(location, who, name, change)
