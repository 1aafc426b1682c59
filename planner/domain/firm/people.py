"""People by name: who is with which crew on a day, who leads it then, who may run a machine or has a skill.

In: crews with the people whom the office named. Out: names, counts, reasons. A crew that names nobody is
taken as its own fields say: all hands there, the machines run by whoever has the skill. A skill of the hands
(stonework, plumbing) rests while all who were named for it are away; named for nobody it is the crew's own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from planner.domain.dates import long_span
from planner.domain.firm.amend import without_days
from planner.domain.firm.crews import Crew, Guest, Loan, Person
from planner.domain.firm.phases import SKILLS
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput

#: Skills that are the running of a machine of the same name: who has them that day decides, not the crew.
OF_MACHINES = frozenset({"excavator"})
#: The word for one who may tow a trailer.
TOW = "tow"
#: Skills of the hands: the crew's own, unless somebody of it is named for one.
OF_HANDS = frozenset(SKILLS) - OF_MACHINES
#: What a person may do besides running a firm's own kinds of machines.
MAY = (*SKILLS, "electrical", "drive", TOW)


def hosted(crews: Iterable[Crew]) -> list[Crew]:
    """The crews, each with the guests that the others lend it."""
    rows = list(crews)
    lent: dict[str, list[Guest]] = {}
    for crew in rows:
        for person in crew.people:
            for loan in person.lent:
                lent.setdefault(loan.to, []).append(Guest(person, loan.days, crew.name))
    return [replace(crew, guests=tuple(lent.get(crew.name, ()))) for crew in rows]


def there(crew: Crew, day: date) -> list[Person]:
    """The named people who work with the crew on `day`: its own, then guests."""
    return [*(p for p in crew.people if p.at_home(day)), *_guests(crew, day)]


def _guests(crew: Crew, day: date) -> Iterator[Person]:
    return (guest.person for guest in crew.guests if day in guest.days and guest.person.works(day))


def hands_missing(crew: Crew, day: date) -> int:
    """Hands that the crew lacks on `day` because its people are away or lent, less the guests; never below 0.

    A guest fills a gap; he makes no day longer than it is.
    """
    if not crew.people:
        return 0
    gone = sum(not person.at_home(day) for person in crew.people)
    return max(0, gone - sum(1 for _ in _guests(crew, day)))


def lead_of(crew: Crew, day: date) -> str:
    """Who leads the crew on `day`: its lead, else the first of its people who is there; "" when nobody is."""
    named = next((person for person in crew.people if person.name == crew.lead), None)
    if named is None or named.at_home(day):
        return crew.lead
    return next((person.name for person in there(crew, day)), "")


def skills_of(crew: Crew) -> frozenset[str]:
    """What the crew can do: its own skills, those of its people, and machines that a guest may run."""
    own = {word for person in crew.people for word in person.may}
    lent = {word for guest in crew.guests for word in guest.person.may & OF_MACHINES}
    return crew.skills | (own & frozenset(SKILLS)) | lent if own or lent else crew.skills


def needed(kinds: Iterable[str], skills: frozenset[str]) -> frozenset[str]:
    """What somebody of the lead crew must be there for: these machines, of the skills those of the hands."""
    return frozenset(kinds) | skills & OF_HANDS


def runs(crew: Crew, needs: Iterable[str], day: date) -> bool:
    """True when somebody is with the crew on `day` for each kind of machine, each skill of the hands."""
    return not (crew.people or crew.guests) or not any(_stands(crew, need, day) for need in needs)


def _stands(crew: Crew, need: str, day: date) -> bool:
    if _unnamed_may(crew, need):
        return False
    return not any(need in person.may for person in there(crew, day))


def _unnamed_may(crew: Crew, kind: str) -> bool:
    """True when one whom the office did not name may do it, as far as is known."""
    if any(kind in person.may for person in crew.people):
        return False
    if kind in OF_HANDS:
        return True
    if len(crew.people) >= crew.size:
        return False
    return kind not in OF_MACHINES or kind in crew.skills


def who_runs(crew: Crew, kind: str, day: date) -> list[str]:
    """The named people with the crew on `day` who may run the machine."""
    return [person.name for person in there(crew, day) if kind in person.may]


def no_operator(crew: Crew, kind: str, words: str, day: date) -> str:
    """Why the crew cannot run the machine, or lacks a skill, on `day`, in the trade's words; "" when it can.

    "no operator: nobody with North may run the mini excavator (Ada Marsh is away)",
    "no stonework: nobody with North who does it is there (Bo Lind is away)".
    """
    why = nobody_may(crew, kind, f"run the {words}", day)
    what = kind if kind in OF_HANDS else "operator"
    return f"no {what}: {why}" if why else ""


def nobody_may(crew: Crew, word: str, doing: str, day: date) -> str:
    """ "nobody with North may tow it (Ada Marsh is away)"; "" when somebody there on `day` may do it."""
    if runs(crew, (word,), day):
        return ""
    gone = [f"{person.name} is {_where(person, day)}" for person in crew.people if word in person.may]
    why = f" ({', '.join(gone)})" if gone else ""
    if word in OF_HANDS:
        return f"nobody with {crew.name} who does it is there{why}"
    return f"nobody with {crew.name} may {doing}{why}"


def _where(person: Person, day: date) -> str:
    to = next((loan.to for loan in person.lent if day in loan.days), "")
    return "away" if not person.works(day) or not to else f"lent to {to}"


def whereabouts(crew: Crew, day: date) -> list[str]:
    """What a screen says of the crew's people on `day`: who is away or lent, who is with it, who leads then.

    ["Ada Marsh is away", "Ben Ortiz leads"]; empty when all are there.
    """
    said = [f"{p.name} is {_where(p, day)}" for p in crew.people if not p.at_home(day)]
    said += [
        f"{g.person.name} comes from {g.of}" for g in crew.guests if day in g.days and g.person.works(day)
    ]
    lead = lead_of(crew, day)
    if lead != crew.lead:
        said.append(f"{lead} leads" if lead else "nobody to lead")
    return said


def home_of(crews: Iterable[Crew], name: str) -> Crew | None:
    """The crew that the person called `name` belongs to; None when nobody has that name."""
    return next((crew for crew in crews if any(p.name == name for p in crew.people)), None)


def crew_of(crews: Iterable[Crew], name: str) -> Crew:
    """The same; BadInput when nobody has that name."""
    rows = list(crews)
    found = home_of(rows, name)
    if found is None:
        names = [p.name for crew in rows for p in crew.people]
        raise BadInput("person", name, did_you_mean(name, names, "unknown: see `planner people list`"))
    return found


def person_of(crew: Crew, name: str) -> Person:
    """The crew's person of that name, who must be one of it."""
    return next(person for person in crew.people if person.name == name)


def with_person(crew: Crew, person: Person, *, leads: bool = False) -> Crew:
    """The crew with that person in place of one of his name, else as its last; leads: he becomes its lead."""
    old = [p.name for p in crew.people]
    at = old.index(person.name) if person.name in old else len(old)
    people = (*crew.people[:at], person, *crew.people[at + 1 :])
    return replace(crew, people=people, lead=person.name if leads else crew.lead)


def without_person(crew: Crew, name: str) -> Crew:
    """The crew without the person of that name; when he led it, the next of its people does."""
    people = tuple(p for p in crew.people if p.name != name)
    next_one = people[0].name if people else ""
    return replace(crew, people=people, lead=next_one if crew.lead == name else crew.lead)


def lent_changed(person: Person, loan: Loan, *, drop: bool) -> Person:
    """The person with those days at another crew, or with the loan that begins then taken back.

    A day is worked with one crew only: BadInput when he is lent or away on it already.
    """
    if drop:
        kept = without_days(tuple(one.days for one in person.lent), loan.days.first)
        return replace(person, lent=tuple(one for one in person.lent if one.days in kept))
    others = [
        one for one in person.lent if (one.days.first, one.days.last) != (loan.days.first, loan.days.last)
    ]
    taken = [*(one.days for one in others), *person.away]
    if clash := next((d for d in taken if d.first <= loan.days.last and loan.days.first <= d.last), None):
        shown = long_span(clash.first, clash.last)
        raise BadInput("first day", shown, f"{person.name} is away or lent then: take those days back first")
    return replace(person, lent=tuple(sorted((*others, loan), key=lambda one: one.days.first)))
