"""The judge's rules of waiting: gates, locates, material, money, papers and people from outside.

In: the judge's `Case`. Out: a `Breach` for each work that begins before what it waits for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from planner.domain.dates import day_words, moment_words
from planner.domain.firm.jobs import RAN_OUT, Awaited, GateKind
from planner.domain.firm.lost import LostKind
from planner.domain.season.case import Breach, Case

#: Gates that the other rules of this file look at.
_OTHERS = frozenset({GateKind.START, GateKind.LOCATE, GateKind.MATERIAL})


def _gates(case: Case) -> Iterator[Breach]:
    """No work before its gates open, nor before now."""
    for key, booking in case.booked.items():
        work = case.season.works[key]
        if work.fixed is not None:
            continue
        if work.opens is not None and booking.start.date() < work.opens:
            text = f"{key.words} may start on {day_words(work.opens)} ({work.opens_why or 'gate'})"
            yield Breach("gate", key, text)
        if work.cured is not None and booking.start < work.cured:
            text = f"{key.words} starts {moment_words(booking.start)}, may from {moment_words(work.cured)}"
            yield Breach("cure and lag", key, f"{text} ({work.cured_why})")
        if booking.start < case.season.now:
            yield Breach("not in the past", key, f"{key.words} starts before now")
        for entry in case.season.lost:
            waits = entry.kind in {LostKind.DELIVERY, LostKind.INSPECTION} and entry.target == key.job
            hit = waits and entry.phase in {"", key.phase.value}
            if hit and entry.days.first <= booking.start.date() <= entry.days.last:
                yield Breach("gate", key, f"{key.words} waits for a {entry.kind.value}")


def _locates(case: Case) -> Iterator[Breach]:
    """No work before its locate is clear, by the job itself; no start between a dead ticket and the next."""
    for key, booking in case.booked.items():
        if case.season.works[key].fixed is not None:
            continue
        job, day = case.season.jobs[key.job], booking.start.date()
        for gate in job.gates:
            if gate.kind is GateKind.LOCATE and gate.phase.rank <= key.phase.rank and day < gate.opens:
                yield Breach(
                    "utility locate", key, f"{key.words} may start on {day_words(gate.opens)} ({gate.why})"
                )
        for shut in job.blackouts:
            if shut.why == RAN_OUT and shut.first <= day <= shut.last:
                fresh = f"a fresh one clears after {day_words(shut.last)}"
                text = f"{key.words} starts on {day_words(day)}: {RAN_OUT}, {fresh}"
                yield Breach("utility locate", key, text)


def _orders(case: Case) -> Iterator[Breach]:
    """No work before its material is there, by the job itself.

    A delivery that was entered, did not come on its day and is not ticked off is not here today. Work of its
    phase, or of a later one, that is begun shows that it came; before the season nobody knows yet.
    """
    today, begun = case.season.now.date(), {(b.job, b.phase.rank) for b in case.season.done}
    for key, booking in case.booked.items():
        if case.season.works[key].fixed is not None:
            continue
        for gate in case.season.jobs[key.job].gates:
            if gate.kind is not GateKind.MATERIAL or gate.phase.rank > key.phase.rank:
                continue
            start = booking.start.date()
            if start < gate.opens:
                text = f"{key.words} may start on {day_words(gate.opens)} ({gate.why})"
                yield Breach("material", key, text)
            came = gate.met or any(j == key.job and rank >= gate.phase.rank for j, rank in begun)
            asked = isinstance(gate, Awaited) or today <= case.season.firm.season_first
            if gate.entered < today and start <= today and not came and not asked:
                text = f"{key.words} starts on {day_words(start)}: what was to come {day_words(gate.entered)}"
                yield Breach("material", key, f"{text} is not ticked off as here")


def _visits(case: Case) -> Iterator[Breach]:
    """No work before a deposit, a permit or somebody from outside, by the job itself.

    The electrician holds the pump's start alone: the last part of the fill. The office's tick changes no day
    here: a gate whose day has passed without one stands already at the day that asking anew gives.
    """
    for key, booking in case.booked.items():
        if case.season.works[key].fixed is not None:
            continue
        for gate in case.season.jobs[key.job].gates:
            if gate.kind in _OTHERS or booking.start.date() >= gate.opens:
                continue
            water = any(
                other.job == key.job and other.phase is key.phase and other.part > key.part
                for other in case.booked
            )
            first = gate.kind is GateKind.ELECTRICIAN and key.part == 1 and water
            if gate.phase.rank <= key.phase.rank and not first:
                text = f"{key.words} may start on {day_words(gate.opens)} ({gate.why})"
                yield Breach("outside visit", key, text)


#: rule group -> the function that looks for it
WAITS: dict[str, Callable[[Case], Iterator[Breach]]] = {
    "gates": _gates,
    "utility locate": _locates,
    "material": _orders,
    "outside visit": _visits,
}
