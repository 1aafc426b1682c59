"""People from outside on a crew's day: what the crew is told of them, and what it must take care of."""

from __future__ import annotations

from collections.abc import Mapping

from planner.domain.firm.jobs import GateKind
from planner.domain.standing.trade_gates import Appointment

_BACKING = (
    "one person on foot guides every truck that backs up and stays in the driver's sight; nobody beside or "
    "behind it; tip on firm level ground away from the hole's edge"
)
#: Who comes -> what a crew beside him takes care of. OSHA 29 CFR 1926.1408 (crane within 20 ft of a line),
#: 1926.600 (10 ft up to 50 kV) and 1926.601 (backing), from memory; NEC for the electrician. Local codes and
#: the word of whoever holds the license stand above this.
CAUTIONS: Mapping[GateKind, str] = {
    GateKind.HAULER: f"Hauler: {_BACKING}. The driver's word and local rules win.",
    GateKind.UTILITY: (
        "Utility's crew: keep out of what they fence off; dig nothing at their line until they say in "
        "writing that it is moved, dead or watched."
    ),
    GateKind.CONCRETE: (
        f"Concrete: {_BACKING}. Wet concrete burns skin and eyes: gloves, boots, glasses, wash it off at "
        "once; the chute and the wash-out stay clear of drains and water."
    ),
    GateKind.CRANE: (
        "Crane: look for lines overhead before it sets up; every line counts as live; no part of crane, load "
        "or rope within 20 ft of one before the utility is asked, never within 10 ft (more above 50 kV). "
        "Outriggers on mats, off the hole's edge by its depth and off septic tanks. Nobody under the load; "
        "one signal person. Licensed operator, certified rigging: his word and local codes win."
    ),
    GateKind.ELECTRICIAN: (
        "Electrician: nobody in the water or at the pump's circuit while he works; only he says that it is "
        "safe. His license and the local code win."
    ),
    GateKind.INSPECTOR: (
        "Inspector: line and trench stay open until he has passed them; nobody covers, fills or starts a "
        "pump before that, whatever the hour."
    ),
}


def on_site(one: Appointment) -> str:
    """ "P-014: crane in the morning, for the rock"."""
    note = f" ({one.note})" if one.note else ""
    here = ", was here" if one.met else ""
    return f"{one.job}: {one.kind.value}{one.day_part.words}{note}, for the {one.phase.words}{here}"
