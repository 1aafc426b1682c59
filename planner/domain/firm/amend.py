"""Changes to one job, crew or machine as pure functions: the old value in, the new one out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from planner.domain.dates import figures
from planner.domain.firm.crews import Machine, MachineOut
from planner.domain.firm.jobs import DayRange, Gate, GateKind, Job, Need, Pin
from planner.domain.firm.phases import Phase
from planner.errors import BadInput


def with_gate(job: Job, gate: Gate) -> Job:
    """The job with `gate` in place of an earlier gate of that kind and phase."""
    kept = tuple(g for g in job.gates if (g.kind, g.phase) != (gate.kind, gate.phase))
    return replace(job, gates=(*kept, gate))


def without_gate(job: Job, kind: GateKind) -> Job:
    """The job without its gates of that kind; BadInput when it has none."""
    kept = tuple(g for g in job.gates if g.kind is not kind)
    if len(kept) == len(job.gates):
        raise BadInput("gate", kind.value, f"job {job.code} has no such gate")
    return replace(job, gates=kept)


def with_days(present: tuple[DayRange, ...], days: DayRange) -> tuple[DayRange, ...]:
    """The ranges with `days` added, by first day; one with the same dates is replaced."""
    kept = [d for d in present if (d.first, d.last) != (days.first, days.last)]
    return tuple(sorted((*kept, days), key=lambda d: (d.first, d.last)))


def without_days(present: tuple[DayRange, ...], first: date) -> tuple[DayRange, ...]:
    """The ranges without the one that begins on `first`; BadInput when none does."""
    kept = tuple(d for d in present if d.first != first)
    if len(kept) == len(present):
        begins = ", ".join(figures(d.first) for d in present) or "there are none"
        raise BadInput("first day", figures(first), f"no days begin then; those kept begin on: {begins}")
    return kept


def days_changed(present: tuple[DayRange, ...], days: DayRange, *, drop: bool) -> tuple[DayRange, ...]:
    """The ranges with `days`, or with the one that begins then taken away."""
    return without_days(present, days.first) if drop else with_days(present, days)


def day_changed(present: tuple[date, ...], day: date, *, drop: bool) -> tuple[date, ...]:
    """The single days with `day`, or without it; BadInput when it is not among those to be without it."""
    if drop and day not in present:
        raise BadInput("day", str(day), "it is not among them: see `planner firm show`")
    kept = set(present) - {day}
    return tuple(sorted(kept if drop else kept | {day}))


def with_out(machine: Machine, out: MachineOut) -> Machine:
    """The machine with days on which some units cannot be used."""
    kept = [o for o in machine.out if (o.days.first, o.days.last) != (out.days.first, out.days.last)]
    return replace(machine, out=tuple(sorted((*kept, out), key=lambda o: (o.days.first, o.days.last))))


def without_out(machine: Machine, first: date) -> Machine:
    """The machine without the days out that begin on `first`; BadInput when none do."""
    kept = without_days(tuple(o.days for o in machine.out), first)
    return replace(machine, out=tuple(o for o in machine.out if o.days in kept))


def with_pin(job: Job, phase: Phase, crew: str | None, start: datetime | None) -> Job:
    """The job with the phase pinned; without crew and start the pin is taken away."""
    kept = tuple(p for p in job.pins if p.phase is not phase)
    new = (Pin(phase, crew, start),) if crew or start else ()
    return replace(job, pins=tuple(sorted((*kept, *new), key=lambda p: p.phase.rank)))


def with_need(job: Job, phase: Phase, need: Need | None) -> Job:
    """The job with its own demand for the phase; None goes back to the phase rule."""
    kept = {p: n for p, n in job.needs.items() if p is not phase}
    if need is not None:
        kept[phase] = need
    return replace(job, needs={p: kept[p] for p in Phase if p in kept})
