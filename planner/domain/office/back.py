"""What must be taken back on the office's list: asked, ordered or rented for a job that is cancelled since.

In: the desk with its ticks. Out: one item for each tick that nothing needs any more.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from planner.domain.dates import day_words
from planner.domain.firm.jobs import TRADES, GateKind, Job
from planner.domain.firm.records import TICKED
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.season.plan import MachineUse


def back_items(desk: Desk) -> Iterator[OfficeItem]:
    """Locates, orders and deliveries of cancelled jobs, and rentals that no booked work needs any more."""
    for job in desk.cancelled:
        yield from _of_job(desk, job)
    yield from _rentals(desk)


def _of_job(desk: Desk, job: Job) -> Iterator[OfficeItem]:
    ticked = sorted(key for key, mark in desk.marks.items() if mark.state == TICKED)
    orders = {lead.key: lead.words for lead in desk.leads.orders}
    if any(key == f"locate:{job.code}" or key.startswith(f"relocate:{job.code}:") for key in ticked):
        words = f"take the utility locate for {job.code} back: the job is cancelled, nobody digs"
        yield _item(desk, f"locate:{job.code}", job.code, words)
    for key in ticked:
        if key.startswith(f"order:{job.code}:"):
            what = key.removeprefix(f"order:{job.code}:")
            words = f"take the order of {orders.get(what, what)} for {job.code} back: the job is cancelled"
            yield _item(desk, key, job.code, words)
    for gate in job.gates:
        if gate.kind is GateKind.MATERIAL and gate.met:
            note = f" ({gate.note})" if gate.note else ""
            words = f"send back or store what came for {job.code}{note}: the job is cancelled"
            yield _item(desk, f"delivery:{job.code}:{gate.phase.value}", job.code, words)
        if gate.kind in TRADES and not gate.met and gate.entered >= desk.today:
            words = (
                f"call off the {gate.kind.value} for {job.code}, {day_words(gate.entered)}: it is cancelled"
            )
            yield _item(desk, f"{gate.kind.name.lower()}:{job.code}:{gate.phase.value}", job.code, words)


def _rentals(desk: Desk) -> Iterator[OfficeItem]:
    """Rentals that are ticked for a week in which, and soon after which, no booked work uses the unit."""
    for key, mark in sorted(desk.marks.items()):
        if mark.state != TICKED or not key.startswith("rent:"):
            continue
        use, monday = _rented(key)
        sunday = monday + timedelta(days=6)
        machine = desk.season.machines.get(use.kind)
        if sunday < desk.today or _used(desk, use, monday, sunday + timedelta(days=desk.leads.gap_days)):
            continue
        name = f"{machine.words if machine else use.kind} {use.unit}"
        week = f"from the week of {day_words(monday)}"
        words = f"cancel the rental of the {name} {week}: no booked work needs it any more"
        yield _item(desk, key, "", words)


def _rented(key: str) -> tuple[MachineUse, date]:
    """Unit and Monday of a key like "rent:excavator:1:2027-W15"."""
    _, kind, unit, week = key.split(":")
    year, number = week.split("-W")
    return MachineUse(kind, int(unit)), date.fromisocalendar(int(year), int(number), 1)


def _used(desk: Desk, use: MachineUse, first: date, last: date) -> bool:
    held = (b for b in desk.bookings().values() if use in b.machines)
    return any(b.start.date() <= last and b.end.date() >= first for b in held)


def _item(desk: Desk, key: str, job: str, words: str) -> OfficeItem:
    return OfficeItem(f"back:{key}", Kind.BACK, desk.today, job, words)
