"""What a crew minds on a day on which it tows a machine.

In: the roster, the day's stints. Out: cautions with the figures of each machine; none when nothing is towed.
"""

from __future__ import annotations

from collections.abc import Iterable

from planner.domain.safety import towing
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import Stint
from planner.units import KG_PER_LB


def towing_cautions(roster: Roster, stints: Iterable[Stint]) -> tuple[str, ...]:
    """What to look at whatever is towed, each machine's figures, and who decides."""
    said = []
    for trip in (trip for stint in stints for trip in stint.trips if trip.truck):
        machine = roster.machines[trip.use.kind]
        own_lb = machine.mass_t * 1000.0 / KG_PER_LB
        said.append(towing.tow_words(trip.words, trip.truck, machine.towed_lb, own_lb, roster.firm.units))
    return (*towing.BEFORE, *said, towing.DEFER) if said else ()
