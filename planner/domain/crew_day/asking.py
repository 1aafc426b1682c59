"""What a crew must ask or know before a task: the locate, gates not ticked off, machines down, late material.

In: the roster, a stint. Out: lines for its sheet, "" or none when nothing stands against it.
"""

from __future__ import annotations

from collections.abc import Iterable

from planner.domain.dates import day_words, moment_words
from planner.domain.design.parting import parting_for_the_crew
from planner.domain.firm.jobs import Awaited, GateKind
from planner.domain.standing.hindrance import units_out
from planner.domain.standing.locate_standing import DIGGING, LocateState
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import Stint

#: Gates that are no open question on the sheet: a mere date, and the locate, which has a line of its own.
_TOLD_ELSEWHERE = frozenset({GateKind.START, GateKind.LOCATE})
#: What a crew does about a locate that is not clear.
LOCATE_ASK = "No digging before the office says that every owner has answered."


def locate(roster: Roster, stint: Stint) -> str:
    """What the crew must know of the utility locate before it opens the ground; "" when it is clear."""
    standing = roster.locates.get(stint.key.job)
    if stint.key.phase not in DIGGING or standing is None or standing.state is LocateState.CLEAR:
        return ""
    return f"{standing.words}. {LOCATE_ASK}"


def cleared(roster: Roster, stint: Stint) -> str:
    """By which request the owners have answered, and until when it holds; "" when that is not so."""
    standing = roster.locates.get(stint.key.job)
    clear = standing is not None and standing.state is LocateState.CLEAR and standing.cleared
    if stint.key.phase not in DIGGING or standing is None or not clear:
        return ""
    until = f"; the ticket holds until {moment_words(standing.dies)}" if standing.dies else ""
    return f"Utility locate asked {day_words(standing.asked)}, every owner has answered{until}."


def open_gates(roster: Roster, stint: Stint) -> Iterable[str]:
    """What may stop the task today: gates but the locate's, late deliveries, inspections, machines down."""
    job, key = roster.jobs[stint.key.job], stint.key
    if roster.parted(job.code):
        differ = parting_for_the_crew(roster.parted(job.code))
        yield f"{differ}. Ask the office which one counts before you dig or set."
    for gate in job.gates:
        told = gate.kind in _TOLD_ELSEWHERE or isinstance(gate, Awaited)
        if not gate.met and not told and job.held_by(gate, key.phase, key.part):
            yield f"not ticked off by the office: {gate.why}. Ask before you start."
    for use in stint.booking.machines:
        machine = roster.machines.get(use.kind)
        out = units_out(roster, machine, stint.day) if machine else 0
        if machine and 0 < out <= machine.units - use.unit:
            yield f"{use.kind}: {out} out of order today. Ask which one you get."


def not_yet(roster: Roster, stint: Stint) -> Iterable[str]:
    """Material that is not here yet by what the office ticked, and why the task can't go as planned."""
    for gate in roster.jobs[stint.key.job].gates:
        told_below = gate.why in stint.hindrance
        if isinstance(gate, Awaited) and gate.phase is stint.key.phase and not told_below:
            yield f"not ticked off by the office: {gate.why}. Ask before you start."
    if stint.hindrance:
        yield f"Cannot go as planned: {stint.hindrance}. Ask the office."
