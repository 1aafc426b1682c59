"""Crews with their people, machines, trucks: their forms, when they are away, taking them off the records."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Protocol

from planner.domain.firm import amend, entry
from planner.domain.firm.crews import Crew, Machine, MachineOut, Truck
from planner.domain.firm.fields import CREW_FIELDS, MACHINE_FIELDS, TRUCK_FIELDS, Field
from planner.errors import BadInput, Overtaken
from planner.flow.keeping import crews, machines
from planner.web.desk import Go, Page, Visit
from planner.web.keeping.forms import (
    Blank,
    blanks,
    faults_by_field,
    overtaken,
    typed_days,
    written,
)

if TYPE_CHECKING:
    from datetime import date

    from planner.flow.keeping.saved import Saved


#: What has a form of its own.
Held = Crew | Machine | Truck


class Keep(Protocol):
    """Adds or changes one from typed fields."""

    def __call__(
        self, location: str, who: str, name: str, texts: Mapping[str, str], /, *, new: bool, seen: int | None
    ) -> Saved:
        """Refused when it was changed since its change number `seen`."""


class Remove(Protocol):
    """Takes one off the records."""

    def __call__(self, location: str, who: str, name: str, today: date, /, *, even_so: bool) -> None:
        """Refused when the published plan books it, unless `even_so`."""


@dataclass(frozen=True, slots=True)
class Noun:
    """What the office keeps by a form of its own. what: its word; named_by: the field that is its name; all:
    every one on record."""

    what: str
    named_by: str
    fields: Sequence[Field]
    empty: Held
    all: Callable[[str], Sequence[Held]]
    keep: Keep
    remove: Remove

    def name_of(self, held: Held) -> str:
        """Its name."""
        return str(getattr(held, self.named_by))

    def held(self, location: str, name: str) -> Held:
        """The one of that name; the empty one for ""."""
        found = next((one for one in self.all(location) if self.name_of(one) == name), None)
        if name and found is None:
            raise BadInput(self.what, name, f"no {self.what} has that name")
        return found or self.empty


CREW = Noun("crew", "name", CREW_FIELDS, Crew("", ""), crews.load_crews, crews.save_crew, crews.remove_crew)
MACHINE = Noun(
    "machine",
    "key",
    MACHINE_FIELDS,
    Machine("", "", 1),
    lambda location: machines.load_machines(location)[0],
    machines.save_machine,
    machines.remove_machine,
)
TRUCK = Noun(
    "truck",
    "key",
    TRUCK_FIELDS,
    Truck("", ""),
    lambda location: machines.load_trucks(location)[0],
    machines.save_truck,
    machines.remove_truck,
)


def crew(visit: Visit) -> Page:
    """The form of a crew; an empty one for a new crew."""
    return _form(visit, CREW, visit.typed("name"))


def machine(visit: Visit) -> Page:
    """The form of a machine; an empty one for a new machine."""
    return _form(visit, MACHINE, visit.typed("name"))


def truck(visit: Visit) -> Page:
    """The form of a truck; an empty one for a new truck."""
    return _form(visit, TRUCK, visit.typed("name"))


def save_crew(visit: Visit) -> Go | Page:
    """Keep a crew."""
    return _save(visit, CREW)


def save_machine(visit: Visit) -> Go | Page:
    """Keep a machine."""
    return _save(visit, MACHINE)


def save_truck(visit: Visit) -> Go | Page:
    """Keep a truck."""
    return _save(visit, TRUCK)


def _save(visit: Visit, noun: Noun) -> Go | Page:
    texts, old = visit.texts(), visit.typed("_name")
    name = old or texts.get(noun.named_by, "").strip()
    if not name:
        return _form(visit, noun, old, texts, {noun.named_by: f"give the {noun.what} a name"})
    fields = {k: v for k, v in texts.items() if k != noun.named_by}
    try:
        noun.keep(visit.location, visit.who, name, fields, new=not old, seen=visit.number("_seen"))
    except BadInput as refusal:
        return _form(visit, noun, old, texts, faults_by_field(refusal))
    except Overtaken as refusal:
        return _overtaken(visit, noun, name, texts, str(refusal))
    return Go("/firm", f"{noun.what} {name} is kept")


def _overtaken(visit: Visit, noun: Noun, name: str, texts: dict[str, str], line: str) -> Page:
    """Somebody saved it first: who changed what, and the form with this person's text."""
    from planner.flow.keeping.firm import load_firm
    from planner.flow.keeping.history import meanwhile

    seen = visit.number("_seen") or 0
    since = meanwhile(visit.location, noun.what, name, type(noun.empty), seen)
    units, now = load_firm(visit.location).units, noun.held(visit.location, name)
    told = overtaken(texts, line, since, now, lambda one: written(one, noun.fields, units))
    return _form(visit, noun, name, *told, status=409)


def _form(
    visit: Visit,
    noun: Noun,
    name: str,
    typed: Mapping[str, str] | None = None,
    faults: Mapping[str, str] | None = None,
    lines: Sequence[str] = (),
    status: int = 0,
) -> Page:
    from planner.flow.keeping.firm import load_firm
    from planner.flow.keeping.history import newest_mark

    seen = newest_mark(visit.location, noun.what, name) if name else 0
    held, faults = noun.held(visit.location, name), faults or {}
    fields = [f for f in noun.fields if not name or f.attr != noun.named_by]
    made = blanks(held, fields, load_firm(visit.location).units, typed or {}, faults)
    view = {
        "what": noun.what,
        "name": name,
        "seen": seen,
        "blanks": made,
        "lines": [*lines, *_unplaced(faults, made)],
        "away": _away(held),
        "people": held.people if isinstance(held, Crew) else (),
        "guests": held.guests if isinstance(held, Crew) else (),
        "crews": [one.name for one in crews.load_crews(visit.location) if one.name != name],
        "lead": held.lead if isinstance(held, Crew) else "",
    }
    return Page("keeping/noun.html", view, status or (422 if faults else 200))


def _away(held: Held) -> list[tuple[Any, int]]:
    """The days on which it is away, each with how many of a machine's kind are."""
    if isinstance(held, Crew):
        return [(days, 0) for days in held.days_off]
    if isinstance(held, Truck):
        return [(days, 0) for days in held.out]
    return [(out.days, out.units) for out in held.out]


def _unplaced(faults: Mapping[str, str], made: Sequence[Blank]) -> list[str]:
    named = {blank.name for blank in made}
    return [f"{field}: {fix}" for field, fix in faults.items() if field not in named]


def crew_away(visit: Visit) -> Go:
    """Days off of a crew that are known ahead; or taken back."""
    days, drop, name = typed_days(visit, "days off"), visit.typed("drop") == "yes", visit.typed("name")

    def edit(held: Crew) -> Crew:
        return replace(held, days_off=amend.days_changed(held.days_off, days, drop=drop))

    saved = crews.edit_crew(visit.location, visit.who, name, edit)
    return _told(
        visit, saved, f"{name} {'works on those days after all' if drop else 'is off on those days'}"
    )


def save_person(visit: Visit) -> Go:
    """Name a person of a crew, or change one."""
    name, crew = visit.typed("name").strip(), visit.typed("crew")
    texts = {"may": visit.typed("may"), "counts": visit.typed("counts") or "1"}
    saved = crews.save_person(
        visit.location,
        visit.who,
        name,
        texts,
        new=visit.typed("_new") == "yes",
        crew=visit.typed("move") or crew,
        leads=visit.typed("leads") == "yes",
    )
    return _told(visit, saved, f"{name} is kept")


def person_away(visit: Visit) -> Go:
    """Days off of a person, or days with another crew; or taken back."""
    name, to, drop = visit.typed("name"), visit.typed("to"), visit.typed("drop") == "yes"
    days = typed_days(visit, "days lent" if to else "days away")
    if to:
        saved = crews.lend_person(visit.location, visit.who, name, to, days, drop=drop)
        said = f"{name} stays at home on those days" if drop else f"{name} is lent to {to} on those days"
    else:
        saved = crews.person_away(visit.location, visit.who, name, days, drop=drop)
        said = f"{name} {'works on those days after all' if drop else 'is away on those days'}"
    return _told(visit, saved, said)


def remove_person(visit: Visit) -> Go:
    """Take a person off the records; the crew keeps its size and skills."""
    name = visit.typed("name")
    crews.remove_person(visit.location, visit.who, name)
    said = f"{name} is taken off the records; Take the last change back brings them back"
    return Go(visit.back("/firm"), said)


def machine_out(visit: Visit) -> Go:
    """Days on which a machine cannot be used; or taken back."""
    days, drop, key = typed_days(visit, "days out"), visit.typed("drop") == "yes", visit.typed("name")
    units = entry.whole("how many", visit.typed("units") or "1")

    def edit(held: Machine) -> Machine:
        if drop:
            return amend.without_out(held, days.first)
        return amend.with_out(held, MachineOut(days, units))

    saved = machines.edit_machine(visit.location, visit.who, key, edit)
    return _told(
        visit, saved, f"{key} {'can be used on those days again' if drop else 'is out on those days'}"
    )


def truck_in_shop(visit: Visit) -> Go:
    """Days on which a truck is in the shop; or taken back."""
    days, drop, key = typed_days(visit, "days in the shop"), visit.typed("drop") == "yes", visit.typed("name")
    saved = machines.truck_in_shop(visit.location, visit.who, key, days, drop=drop)
    return _told(
        visit, saved, f"{key} {'runs on those days again' if drop else 'tows nothing on those days'}"
    )


def _told(visit: Visit, saved: Saved, said: str) -> Go:
    return Go(visit.back("/firm"), said if saved.changed else f"{saved.name} is like that already")


def remove_crew(visit: Visit) -> Go:
    """Take a crew off the records; hours and old plans keep its name."""
    return _remove(visit, CREW)


def remove_machine(visit: Visit) -> Go:
    """Take a kind of machine off the records."""
    return _remove(visit, MACHINE)


def remove_truck(visit: Visit) -> Go:
    """Take a truck off the records."""
    return _remove(visit, TRUCK)


def _remove(visit: Visit, noun: Noun) -> Go:
    name, even_so = visit.typed("name"), visit.typed("even_so") == "yes"
    noun.remove(visit.location, visit.who, name, visit.today, even_so=even_so)
    return Go(
        "/firm", f"{noun.what} {name} is taken off the records; Take the last change back brings it back"
    )


#: (address, what answers, whether it writes)
PAGES = (
    ("/firm/crew", crew, False),
    ("/firm/crew/save", save_crew, True),
    ("/firm/crew/away", crew_away, True),
    ("/firm/crew/remove", remove_crew, True),
    ("/firm/person/save", save_person, True),
    ("/firm/person/away", person_away, True),
    ("/firm/person/remove", remove_person, True),
    ("/firm/machine", machine, False),
    ("/firm/machine/save", save_machine, True),
    ("/firm/machine/away", machine_out, True),
    ("/firm/machine/remove", remove_machine, True),
    ("/firm/truck", truck, False),
    ("/firm/truck/save", save_truck, True),
    ("/firm/truck/away", truck_in_shop, True),
    ("/firm/truck/remove", remove_truck, True),
)
