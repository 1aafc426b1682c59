"""Hindrances: why booked work cannot be done as the plan has it, by what is known today.

In: the roster as it stands, a booking, a day. Out: a few words, "" when nothing hinders it. A plan obeys all
of this when it is made; a hindrance means that something happened since.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from planner.domain.dates import day_words
from planner.domain.firm.calendar import is_working_day, public_holiday, site_shut
from planner.domain.firm.crews import NOT_BOOKED, Machine
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.people import no_operator, runs, whereabouts
from planner.domain.season.plan import Booking, MachineUse, units_gone
from planner.domain.season.towing import Tow, no_truck, tows
from planner.domain.standing.roster import Roster

_WAITS = frozenset({LostKind.DELIVERY, LostKind.INSPECTION})


def hindrance(roster: Roster, booking: Booking, day: date) -> str:
    """Why `booking` cannot be worked on `day` as planned: no crew, no machine, a shut site, a wait; or ""."""
    found = [_no_crew(roster, crew, day) for crew in booking.crews]
    found += [_no_machine(roster, use, day) for use in booking.machines]
    found.append(operator_gone(roster, booking, day))
    found.append(_shut(roster, booking, day))
    return "; ".join(dict.fromkeys(filter(None, found)))


def planned_tows(roster: Roster, bookings: Iterable[Booking]) -> tuple[Tow, ...]:
    """Every machine that the bookings ask to be towed; where a phase had begun before, its machines stand."""

    def stands(booking: Booking) -> bool:
        first = roster.begun.get((booking.job, booking.phase))
        return booking.begun or (first is not None and first < booking.start.date())

    return tows(bookings, roster.machines, roster.trucks, roster.crews, stands)


def untowed(roster: Roster, tow: Tow) -> str:
    """Why a machine cannot be brought on its day; "" when it can, or when it was."""
    crew, machine = roster.crews.get(tow.booking.lead), roster.machines[tow.use.kind]
    if crew is None or (tow.booking.job, tow.booking.phase) in roster.begun:
        return ""
    why = no_truck(roster.trucks.values(), crew, machine, roster.firm.units, tow.day)
    if why or tow.truck is not None:
        return why
    return f"no truck for the {machine.words}: those of that day bring other machines"


def why_off(roster: Roster, crew: str, day: date) -> str:
    """Why `crew` does not work on `day`, in a word or two; "" when it could."""
    firm = roster.firm
    if not is_working_day(firm, day):
        closed = [off.why or "closed" for off in firm.days_off if day in off]
        holiday = "holiday" if public_holiday(firm, day) else "no work"
        return closed[0] if closed else holiday
    if crew not in roster.crews:
        return "gone"
    if roster.windows(crew, day):
        return ""
    own = roster.crews[crew]
    off = [o.why or "off" for o in own.days_off if day in o]
    if not off and own.people and (said := whereabouts(own, day)):
        off = [", ".join(said)]
    return off[0] if off else next((_lost_words(e) for e in roster.lost if _hits(e, crew, day)), "off")


def _lost_words(entry: LostTime) -> str:
    return entry.note or entry.kind.value


def _hits(entry: LostTime, crew: str, day: date) -> bool:
    """True when the entry takes hands of the crew away: its own, or rain everywhere."""
    own = entry.kind in {LostKind.CREW_OFF, LostKind.CREW_SHORT} and entry.target == crew
    return day in entry.days and (own or (entry.kind is LostKind.RAIN and not entry.target))


def _no_crew(roster: Roster, crew: str, day: date) -> str:
    planned = roster.planned_windows(crew, day)
    if not planned:
        return ""
    why = why_off(roster, crew, day)
    if why:
        return _gone(f"crew: {crew}") if crew not in roster.crews else f"no crew: {crew} is off ({why})"
    present = sum(w.minutes for w in roster.windows(crew, day))
    if present < sum(w.minutes for w in planned):
        return f"{crew} is short: {present / 60:g} h that day"
    return ""


def _no_machine(roster: Roster, use: MachineUse, day: date) -> str:
    machine = roster.machines.get(use.kind)
    words = roster.machine_words(use.kind, use.unit)
    if machine is None or use.unit > machine.units:
        return _gone(f"machine: {words}")
    out = use.unit > machine.units - units_out(roster, machine, day)
    return f"no machine: {words} is {_out(machine, day)}" if out else ""


def operator_gone(roster: Roster, booking: Booking, day: date) -> str:
    """Who was to run a machine of `booking`, or has its skill, and is not there; "" when the plan knew."""
    lead, once = roster.crews.get(booking.lead), roster.once(booking.lead)
    if lead is None:
        return ""
    kinds = (kind for kind in sorted(roster.needs(booking)) if runs(once, (kind,), day))
    return next(filter(None, (no_operator(lead, k, roster.machine_name(k), day) for k in kinds)), "")


def gone(roster: Roster, booking: Booking) -> str:
    """The crew or machine of `booking` that is off the records for good, as `hindrance` says it; or ""."""
    crews = [_gone(f"crew: {crew}") for crew in booking.crews if crew not in roster.crews]
    lost = units_gone(booking, roster.machines)
    machines = [_gone(f"machine: {roster.machine_words(use.kind, use.unit)}") for use in lost]
    return next(iter([*crews, *machines]), "")


def _gone(what: str) -> str:
    return f"no {what} is gone"


def _out(machine: Machine, day: date) -> str:
    """Why a unit cannot be used: "not booked" of a rented one, else that it is out."""
    return NOT_BOOKED if any(day in out.days and out.not_booked for out in machine.out) else "out"


def units_out(roster: Roster, machine: Machine, day: date) -> int:
    """How many units of the kind cannot be used on `day`; they are the ones with the highest numbers."""
    lent = sum(out.units for out in machine.out if day in out.days)
    down = sum(
        max(1, entry.people)
        for entry in roster.lost
        if entry.kind is LostKind.MACHINE_DOWN and entry.target == machine.key and day in entry.days
    )
    return lent + down


def _shut(roster: Roster, booking: Booking, day: date) -> str:
    job = roster.jobs.get(booking.job)
    if job is None:
        return ""
    shut = site_shut(job, day, roster.lost)
    if shut:
        return f"site shut: {shut}"
    for gate in job.gates:
        if job.held_by(gate, booking.phase, booking.key.part) and gate.opens > day:
            return f"waits for {gate.why} until {day_words(gate.opens)}"
    for entry in roster.lost:
        waits = entry.kind in _WAITS and entry.target == job.code and day in entry.days
        if waits and entry.phase in {"", booking.phase.value}:
            return f"{entry.kind.value} until {day_words(entry.days.last)}" + (
                f" ({entry.note})" if entry.note else ""
            )
    return ""
