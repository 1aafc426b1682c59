"""What may be done on a day on which nothing of the planned work can be, by what stopped it.

In: the roster, the day's stints, the steps for rain of their phases. Out: lines for the sheet. Who may run a
machine: OSHA 29 CFR 1926.20(b)(4), only who is qualified by training or experience (from memory); the maker's
manual, local codes and licensed practice win.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.domain.firm.lost import LostKind
from planner.domain.standing.hindrance import operator_gone
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import Stint

#: Nobody there may run the machine.
PARKED = (
    "The {machine} stays parked, bucket down, key out: nobody runs it who is not qualified for it and named "
    "by the office.",
    "What hands can do without it may go on, nobody under or beside a bank that it was to cut back: ask the "
    "office what, and log the hours under that phase.",
    "The office may lend an operator from another crew for the day, or bring the machine's day forward.",
)
#: Nobody there has the skill.
LENT = "The office may lend somebody with the skill from another crew for the day, or send you to other work."
#: Whatever else stopped it.
ASK = (
    "Call the office before anybody leaves the yard: it says which other work waits.",
    "On an open site: fence and covers stand, pump runs, walkways clear.",
)


def instead(roster: Roster, found: Sequence[Stint], rain: tuple[str, ...]) -> tuple[str, ...]:
    """What the crew may do in place of the stopped work; rain: what its phases say for rain."""
    if _rained(roster, found):
        return rain
    idle = next((s for s in found if operator_gone(roster, s.booking, s.day)), None)
    if idle is None:
        return ASK
    if not idle.booking.kinds:
        return (LENT, *ASK)
    words = " and ".join(roster.machine_name(kind) for kind in sorted(idle.booking.kinds))
    return (*(text.format(machine=words) for text in PARKED), *ASK)


def _rained(roster: Roster, found: Sequence[Stint]) -> bool:
    """Whether rain takes the day, everywhere or where one of its sites lies."""
    regions = {"", *(roster.jobs[s.key.job].region for s in found if s.key.job in roster.jobs)}
    return any(
        entry.kind is LostKind.RAIN and entry.target in regions and any(s.day in entry.days for s in found)
        for entry in roster.lost
    )
