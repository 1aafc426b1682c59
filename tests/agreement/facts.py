"""What the screens tell: facts, and how to see that two tellers of one fact disagree.

A `Fact` is a name ("stint hours"), a key ("2027-04-06 Red L02 dig"), a value and who told it. All facts that
are compared stand in `KINDS`; a reader that tells another name fails.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time
from typing import Any


@dataclass(frozen=True, slots=True)
class Kind:
    """One sort of fact. key: what its key names; unit: of a number; what: its meaning in a line."""

    key: str
    what: str
    unit: str = ""


#: Every fact that is compared. A new one: a line here, and at least two readers that tell it.
KINDS = {
    "depth below rim": Kind(
        "job level", "how deep a shelf, the floor or the seat of a box lies below the rim", "in"
    ),
    "depth below water": Kind("job level", "the same below the water line", "in"),
    "left for the shovel": Kind("job", "what the machine leaves above the finished ground", "in"),
    "parted": Kind("job", "whether the job and the design kept with it differ"),
    "quantity": Kind("job item", "one quantity of a phase, in the unit of its item"),
    "truckloads": Kind("job", "loads of spoil to drive off"),
    "stint hours": Kind("day crew job phase", "hours of one crew on one phase and day", "crew-h"),
    "stint start": Kind("day crew job phase", "when they begin"),
    "stint end": Kind("day crew job phase", "when they stop"),
    "stint machines": Kind("day crew job phase", "the machines that they have"),
    "towed by": Kind("day crew job phase", "which machines are towed there, each behind which truck"),
    "day hours worked": Kind("day crew job phase", "hours logged by a crew on a phase and day", "crew-h"),
    "day hours": Kind("day crew", "all planned hours of a crew on a day", "crew-h"),
    "booking hours": Kind("job phase", "hours that the plan holds for a phase, all days and crews", "crew-h"),
    "plan hours": Kind("job", "hours that the plan holds for a job, all its days", "crew-h"),
    "hours left": Kind("job", "hours still to work on a begun job, by a plan that is not stale", "crew-h"),
    "open misses": Kind("job", "hold points and measures that were missed and are not settled"),
    "week hours worked": Kind("week", "hours of all crews in a week that are logged", "crew-h"),
    "week hours to go": Kind("week", "hours of all crews in a week that are still to come", "crew-h"),
    "worked hours": Kind("job", "hours logged on a job so far", "crew-h"),
    "first day": Kind("job", "the first day of work, worked or planned"),
    "last day": Kind("job", "the day when the work ends by the plan"),
    "crews": Kind("job", "who comes to a job by the plan, from now on"),
    "first crew": Kind("job", "the crew that a job is told for"),
    "promised": Kind("job", "the date that the customer was promised"),
    "risk": Kind("job", "how the promise stands: tight, late, hindered, not in the plan"),
    "hindered by": Kind("job, or day crew job phase", "why planned work cannot go as it is planned"),
    "spare days": Kind("job", "room before the promise", "working days"),
    "goes on": Kind("job", "whether a screen still sends crews to the job, or holds work for it"),
    "stale": Kind("", "whether facts changed since the shown plan was made"),
    "stale by": Kind("", "which of them, and the day before whose work to act"),
    "shown plan": Kind("", "number of the shown plan, and draft or published"),
    "edition": Kind("job", "the rate book by which the job is told"),
    "order by": Kind("job material", "the day by which it is ordered"),
    "pump": Kind("job", "the pump that is chosen from the design's own table"),
    "must leave": Kind("job", "what a design storm sends over the rim", "cfs"),
    "visit hours": Kind("job visit", "likely hours of a visit after the job", "labour-h"),
    "electrician by": Kind("job", "the day by which the licensed electrician is booked"),
    "order amount": Kind("job material", "how much is ordered, with its unit"),
    "needed by": Kind("job material", "the day on which the first phase that uses it begins"),
    "locate hour": Kind("job", "the earliest lawful moment to dig"),
    "locate day": Kind("job", "the first day whose shift may dig"),
    "locate open": Kind("job", "a dig is planned before the marks can be there"),
    "order late": Kind("job", "work is planned before the material that it uses can be there"),
    "visit late": Kind("job", "work is planned before what did not come on its day can be there"),
    "comes": Kind("job who", "the day on which somebody from outside comes"),
    "comes in vain": Kind("job who", "whether his day does not go with the plan"),
    "weather": Kind("day", "what the forecast says of a day, in words"),
    "day lost": Kind("day", "how likely the forecast takes a working day", "%"),
    "delivered on": Kind("job order", "the day on which an order comes to its site or the yard"),
    "labor at the end": Kind("job", "dollars of labor worked and left", "USD"),
    "calls": Kind("", "the jobs whose customers must be called"),
    "call after": Kind("job", "whether the customer must be called once the season is planned anew"),
    "repair": Kind("number", "what one of the repairs disturbs: calls, crew days, dollars; what it moves"),
    "share done": Kind("job phase", "how much of a phase is done by the newest entry", "%"),
    "gap": Kind("day crew work", "the hours before it that are no work, with their reason"),
    "goes on from": Kind("job", "the next day on which somebody works there"),
    "status": Kind("job", "inquiry, sold, under way, done, cancelled"),
    "held place": Kind("job", "until when a place is held for an inquiry"),
}


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact as one teller told it. within: by how much a number may be off for being told rounded."""

    name: str
    key: str
    value: Any
    teller: str
    within: float = 0.0

    @property
    def words(self) -> str:
        """The value as a person would say it."""
        unit = KINDS[self.name].unit
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if isinstance(self.value, (int, float)):
            return f"{self.value:.4g} {unit}".rstrip()
        if isinstance(self.value, date | time):
            return self.value.isoformat()
        if isinstance(self.value, frozenset):
            return ", ".join(sorted(map(str, self.value))) or "nothing"
        return str(self.value)


def disagreements(facts: Iterable[Fact], season: str) -> list[str]:
    """One line for each fact that is told differently, with season, fact, and who says what."""
    told: dict[tuple[str, str], list[Fact]] = defaultdict(list)
    for fact in facts:
        if fact not in told[fact.name, fact.key]:
            told[fact.name, fact.key].append(fact)
    lines = []
    for (name, key), rows in sorted(told.items()):
        if any(not agree(a, b) for n, a in enumerate(rows) for b in rows[:n]):
            lines.append(f"season {season}: {name} of {key or 'the season'}: {_who_says_what(rows)}")
    return lines


def agree(one: Fact, other: Fact) -> bool:
    """Whether both may be the same value, each told to its own number of digits."""
    a, b = one.value, other.value
    if isinstance(a, bool) or isinstance(b, bool):
        return a is b
    if isinstance(a, (int, float)) and isinstance(b, (int, float)):
        return bool(abs(a - b) <= one.within + other.within + 1e-6)
    return bool(a == b)


def _who_says_what(rows: list[Fact]) -> str:
    """The tellers by what they say, the smallest camp last: "a & b say 24 in; c says 21 in"."""
    camps: dict[str, list[str]] = defaultdict(list)
    for row in rows:
        camps[row.words].append(row.teller)
    ordered = sorted(camps.items(), key=lambda camp: -len(camp[1]))
    return "; ".join(f"{' & '.join(w)} {'say' if len(w) > 1 else 'says'} {v}" for v, w in ordered)
