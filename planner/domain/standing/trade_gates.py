"""Money, papers, material, people from outside that did not come on their day: until when is waited now?

In: the lead times, the day, a job, its begun and finished phases. Out: the job with each gate that is past
and not ticked off put at the day that asking anew gives. No tick is the dangerous case, not the safe one.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from planner.domain.dates import day_words
from planner.domain.firm.calendar import working_day_off
from planner.domain.firm.jobs import Gate, GateKind, Job, Overdue
from planner.domain.firm.needs import has_work
from planner.domain.firm.phases import Phase
from planner.domain.standing.order_gates import OrderFile

#: A date that nobody ticks off, and what has a standing of its own.
NOT_ASKED = frozenset({GateKind.START, GateKind.LOCATE})


def with_trade_gates(
    file: OrderFile, job: Job, begun: Collection[Phase] = (), finished: Collection[Phase] = ()
) -> Job:
    """The job with every gate that is past and not ticked off put at its next possible day.

    An outside visit: its lead in working days after today, as if asked anew today; where no lead is known (a
    deposit, a permit, a delivery that is on its way) the next working day. Work that is begun shows that it
    went on without, and waits for nothing; but a fill that has begun has not started its pump, and still
    waits for the electrician.
    """
    gates = tuple(
        _anew(file, gate) if _overdue(file, gate) and _holds(job, gate, begun, finished) else gate
        for gate in job.gates
    )
    return job if gates == job.gates else replace(job, gates=gates)


def with_overdue(job: Job, gated: Job) -> Job:
    """The job as entered, with those of its gates that `gated`, the same job, knows to be overdue."""
    anew = {(g.kind, g.phase): g for g in gated.gates if isinstance(g, Overdue)}
    return replace(job, gates=tuple(anew.get((g.kind, g.phase), g) for g in job.gates))


def _overdue(file: OrderFile, gate: Gate) -> bool:
    return not gate.met and gate.kind not in NOT_ASKED and gate.opens < file.today


def _holds(job: Job, gate: Gate, begun: Collection[Phase], finished: Collection[Phase]) -> bool:
    """True while the first work that waits for the gate has not begun."""
    waits = [phase for phase in Phase if phase.rank >= gate.phase.rank and has_work(job, phase)]
    if not waits:
        return False
    first = min(waits, key=lambda phase: phase.rank)
    return first not in (begun if job.held_by(gate, first) else finished)


def _anew(file: OrderFile, gate: Gate) -> Overdue:
    lead = next((row for row in file.leads.orders if row.key == gate.kind.name.lower()), None)
    opens = working_day_off(file.firm, file.today, lead.lead_days if lead else 1)
    asked = "as if asked anew today" if lead else "the next working day at the earliest"
    note = f"did not come {day_words(gate.opens)}: {asked}"
    return Overdue(gate.kind, opens, gate.phase, note=gate.note, was=gate.opens, told=note)
