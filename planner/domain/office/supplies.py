"""Materials, money, papers and rented machines on the office's list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime

from planner.domain.dates import day_words, moment_words
from planner.domain.firm.calendar import working_day_off
from planner.domain.firm.jobs import Gate, GateKind, Overdue
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.quantities.orders import Order, job_materials, orders
from planner.domain.quantities.takeoff import take_off
from planner.domain.standing.order_gates import OrderStanding, order_standing
from planner.domain.standing.rentals import stretches


def order_items(desk: Desk) -> Iterator[OfficeItem]:
    """What must be ordered for phases that are not begun, by lead time and spare days before them."""
    starts: dict[str, dict[Phase, datetime]] = {}
    for b in desk.bookings().values():
        phases = starts.setdefault(b.job, {})
        phases[b.phase] = min(b.start, phases.get(b.phase, b.start))
    begun = {(b.job, b.phase) for b in desk.season.done if b.key == WorkKey(b.job, b.phase)}
    for code, phases in starts.items():
        job, design = desk.season.jobs[code], desk.designs.get(code)
        ahead = {
            phase: start
            for phase, start in phases.items()
            if (code, phase) not in begun and not _delivered(job.gates, phase)
        }
        if ahead:
            rows = job_materials(
                job, take_off(design, job.soil, job.access) if design else None, desk.season.firm.units
            )
            wanted = [row for row in rows if row.phase in ahead]
            for order in orders(wanted, desk.leads, net=design is None):
                used = min(ahead[phase] for phase in order.phases).date()
                standing = order_standing(desk.orders, job, order.lead, order.phases)
                if standing.hauler:
                    continue  # he is booked and ticked off by himself
                if not (standing.here or standing.confirmed):
                    yield _order(desk, code, order, used)
                if standing.ordered or standing.confirmed:
                    yield _delivery(standing, used)


def _delivery(standing: OrderStanding, used: date) -> OfficeItem:
    """The last tick of an order: it lies in the yard or on site."""
    words = (
        f"{standing.lead.words} for {standing.job} {standing.words}, needed by {day_words(used)}: "
        "tick it off when it is here"
    )
    pressing = "ask the supplier, or tick it off" if standing.was else ""
    if used < standing.arrives:
        ways = "have it sooner" if standing.was is None else "tick it off"
        pressing = f"too late for {day_words(used)}: re-plan, or {ways}"
    key = f"here:{standing.job}:{standing.lead.key}"
    return OfficeItem(key, Kind.MATERIAL, standing.was or standing.arrives, standing.job, words, pressing)


def _order(desk: Desk, code: str, order: Order, used: date) -> OfficeItem:
    lead = order.lead
    due = desk.working_days_before(used, lead.lead_days + lead.spare_days)
    late = used < desk.orders.lead_over(desk.today, lead)
    what = order.words(desk.season.firm.units)
    words = f"order {lead.words} for {code} ({what}): needed by {day_words(used)}"
    pressing = f"{lead.lead_days} working days of lead are no longer left" if late else ""
    return OfficeItem(f"order:{code}:{lead.key}", Kind.ORDER, due, code, words, pressing, rows=order.rows)


def _delivered(gates: Iterable[Gate], phase: Phase) -> bool:
    return any(g.kind is GateKind.MATERIAL and g.phase is phase and g.met for g in gates)


_OUTSTANDING = {
    GateKind.DEPOSIT: (Kind.DEPOSIT, "deposit of {} is outstanding"),
    GateKind.PERMIT: (Kind.PERMIT, "permit for {} is outstanding"),
    GateKind.MATERIAL: (Kind.MATERIAL, "delivery for {} is to arrive"),
}


def gate_items(desk: Desk) -> Iterator[OfficeItem]:
    """Deposits, permits and deliveries that are not ticked off on the job."""
    bookings = desk.bookings()
    for code, job in desk.season.jobs.items():
        for gate in job.gates:
            if gate.met or gate.kind not in _OUTSTANDING:
                continue
            held = [
                b.start for b in bookings.values() if b.job == code and job.held_by(gate, b.phase, b.key.part)
            ]
            if not held:
                continue
            kind, said = _OUTSTANDING[gate.kind]
            pressing = "expected by now" if gate.entered < desk.today else ""
            if isinstance(gate, Overdue):
                pressing = not_come(gate, min(held).date())
            yield dated_item(gate, kind, said.format(code), code, min(held).date(), pressing)


def dated_item(
    gate: Gate, kind: Kind, said: str, code: str, planned: date, pressing: str, when: str = ""
) -> OfficeItem:
    """A dated gate of a job as one line: what is expected when, and the work that waits for it."""
    note = f" ({gate.note})" if gate.note else ""
    expected = when or day_words(gate.entered)
    words = f"{said}{note}: expected {expected}, {gate.phase.words} planned {day_words(planned)}"
    key = f"{kind.value.replace(' ', '-')}:{code}:{gate.phase.value}"
    return OfficeItem(key, kind, gate.entered, code, words, pressing)


def not_come(gate: Overdue, planned: date) -> str:
    """What a visit, a deposit or a permit comes to whose day passed without a tick."""
    late = planned < gate.opens
    what = f"too late for {day_words(planned)}, re-plan" if late else "ask again"
    return f"{gate.told}; {what}, or tick it off"


def fetch_items(desk: Desk) -> Iterator[OfficeItem]:
    """Fence and toilet that a site no longer needs, to be fetched on the day of its last work."""
    ends: dict[str, datetime] = {}
    for b in desk.bookings().values():
        ends[b.job] = max(b.end, ends.get(b.job, b.end))
    for code, end in ends.items():
        job = desk.season.jobs[code]
        things = [words for item, words in _FETCHED.items() if job.amount(item) > 0]
        if things:
            words = f"have the {' and the '.join(things)} fetched from {code}, free from {moment_words(end)}"
            yield OfficeItem(f"fetch:{code}", Kind.RETURN, end.date(), code, words)


#: Rented for a site -> how the office names it.
_FETCHED = {"site_fence_ft": "temporary fence", "toilets": "site toilet"}


def rental_items(desk: Desk) -> Iterator[OfficeItem]:
    """Booking and return of rented machines, one pair for each stretch of use."""
    machines = desk.season.machines
    for found in stretches(machines, desk.bookings().values(), desk.leads.gap_days):
        use, first, last = found.use, found.first, found.last
        name = f"{machines[use.kind].words} {use.unit}"
        days = f"{day_words(first.start.date())} to {day_words(last.end.date())}"
        late = first.start.date() < working_day_off(desk.season.firm, desk.today, desk.leads.book_days)
        yield OfficeItem(
            found.key,
            Kind.RENT,
            desk.working_days_before(first.start.date(), desk.leads.book_days),
            first.job,
            f"book the {name} for {days}, first site {first.job}",
            f"{desk.leads.book_days} working days of lead are no longer left" if late else "",
        )
        yield OfficeItem(
            found.key.replace("rent:", "return:", 1),
            Kind.RETURN,
            last.end.date(),
            last.job,
            f"send the {name} back after {last.job}, free from {moment_words(last.end)}",
        )
