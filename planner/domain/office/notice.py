"""What must run out before work that is not sold yet may begin: the locate's notice and the orders' lead.

In: an inquiry, the state's locate rule, the lead times, the moment at which it would be sold. Out: gates, as
if the office asked for the locate and ordered everything at that moment.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime

from planner.domain.firm.calendar import working_day_off
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job
from planner.domain.firm.phases import Phase
from planner.domain.quantities.orders import LeadTimes, job_materials, orders
from planner.domain.safety.locate import LocateRule
from planner.domain.standing.locate_gates import asked_now_gate


def notice_gates(
    job: Job, rule: LocateRule, leads: LeadTimes, now: datetime, firm: Firm, hours: Mapping[Phase, float]
) -> tuple[Gate, ...]:
    """The gates that a job sold at `now` would have; a gate that it has already stands instead.

    hours: phase -> crew-hours that a plan would hold. The job begins so late that no hole lies open while
    an order is still to arrive.
    """
    orders = tuple(_orders(job, leads, now.date(), firm))
    return (*_locate(job, rule, now, firm), *orders, *_start(orders, firm, hours))


def _start(orders: Sequence[Gate], firm: Firm, hours: Mapping[Phase, float]) -> Iterator[Gate]:
    begins = []
    for gate in orders:
        ahead_h = sum(h for phase, h in hours.items() if phase.rank < gate.phase.rank)
        begins.append(working_day_off(firm, gate.opens, -int(ahead_h // firm.paid_h_day)))
    if begins:
        yield Gate(GateKind.START, max(begins), Phase.DIG, note="so that its orders arrive as it goes on")


def _locate(job: Job, rule: LocateRule, now: datetime, firm: Firm) -> Iterator[Gate]:
    gate = asked_now_gate(job, rule, now, firm.shift_start, "asked today")
    if gate is not None and not any(g.kind is GateKind.LOCATE for g in job.gates):
        yield gate


def _orders(job: Job, leads: LeadTimes, today: date, firm: Firm) -> Iterator[Gate]:
    known = {g.phase for g in job.gates if g.kind is GateKind.MATERIAL}
    for order in orders(job_materials(job, None), leads, net=True):
        for phase in sorted(order.phases - known, key=lambda p: p.rank):
            opens = working_day_off(firm, today, order.lead.lead_days)
            yield Gate(GateKind.MATERIAL, opens, phase, note=f"{order.lead.words}, ordered today")
