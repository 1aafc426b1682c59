"""People from outside on the office's list: to be booked where a job needs one, and those whose day is set.

The electrician, the hauler, the utility's own crew, concrete, the crane, the inspector: each has a lead time
in working days, and comes on a day, in a part of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from planner.domain.dates import day_words
from planner.domain.firm.jobs import TRADES, Gate, GateKind, Job, Overdue
from planner.domain.firm.phases import Phase
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.office.supplies import dated_item, not_come
from planner.domain.standing.trade_gates import appointments, wait_days

#: Who comes -> what he is booked for, before the day of the work that waits for him.
_FOR = {
    GateKind.HAULER: "book the hauler for {}: spoil goes away as it is dug, from {}",
    GateKind.UTILITY: "ask the utility's own crew to {}: line moved, shut off or watched before {}",
    GateKind.CONCRETE: "book concrete for {}: footing poured, and hard before {}",
    GateKind.CRANE: "book the crane or boom truck for {}: stone is set with it, from {}",
    GateKind.ELECTRICIAN: (
        "book the licensed electrician for {}: circuit, receptacle and bonding before the pump starts {}"
    ),
    GateKind.INSPECTOR: "book the inspector for {}: line and trench seen open before they are covered {}",
}
#: Who comes -> what his appointment is called.
_COMES = {
    GateKind.HAULER: "hauler at {}, the dig goes on with him",
    GateKind.UTILITY: "utility's own crew at {}",
    GateKind.CONCRETE: "concrete at {}",
    GateKind.CRANE: "crane or boom truck at {}, the stone is set with it",
    GateKind.ELECTRICIAN: "licensed electrician at {}, the pump starts only after him",
    GateKind.INSPECTOR: "inspector at {}, nothing is covered before him",
}


def booking_items(desk: Desk) -> Iterator[OfficeItem]:
    """One item for each visit that a job asks for and that nobody has dated yet.

    Due so many working days before the work that waits for it as the lead times say for him.
    """
    for code, job in desk.season.jobs.items():
        dated = {gate.kind for gate in job.gates}
        for kind, trade in TRADES.items():
            start = None if kind in dated or not job.amount(trade.item) else _starts(desk, job, kind)
            if start is None:
                continue
            lead = desk.leads.named(kind.name.lower())
            latest = start - timedelta(days=wait_days(desk.orders, Gate(kind, start)))
            due = desk.working_days_before(latest, lead.lead_days + lead.spare_days if lead else 10)
            asked = _FOR[kind].format(code, day_words(start))
            words = f"{asked}; then planner job gate {code} {_named(kind)} DAY"
            pressing = "his lead time is no longer left" if due < desk.today else ""
            yield OfficeItem(f"{kind.name.lower()}:{code}", Kind[kind.name], due, code, words, pressing)


def _starts(desk: Desk, job: Job, kind: GateKind) -> date | None:
    """The day of the work that waits for him; for the electrician, that of the pump's start."""
    own = [b for b in desk.bookings().values() if b.job == job.code]
    if kind is GateKind.ELECTRICIAN:
        return max((b.end.date() for b in own if b.phase is Phase.FILL), default=None)
    gate = Gate(kind, desk.today, TRADES[kind].phase)
    return min((b.start.date() for b in own if job.held_by(gate, b.phase, b.key.part)), default=None)


def _named(kind: GateKind) -> str:
    return f'"{kind.value}"' if " " in kind.value else kind.value


def appointment_items(desk: Desk) -> Iterator[OfficeItem]:
    """Each appointment that is not ticked off while work waits for it, and how it stands against the plan."""
    jobs = desk.season.jobs
    gates = {(code, g.kind, g.phase): g for code, job in jobs.items() for g in job.gates}
    for one in appointments(jobs, desk.bookings().values()):
        if one.met or one.works is None:
            continue
        gate = gates[one.job, one.kind, one.phase]
        pressing = one.misfit or ("expected by now" if one.day < desk.today else "")
        if isinstance(gate, Overdue):
            pressing = not_come(gate, one.works)
        said = _COMES[one.kind].format(one.job)
        yield dated_item(gate, Kind[one.kind.name], said, one.job, one.works, pressing, one.when)
