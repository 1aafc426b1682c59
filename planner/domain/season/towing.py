"""Which machines are towed where on which day, by which truck, and who drives.

In: bookings, machines, trucks, crews. Out: `Tow`s in the order of the day, words. A machine comes on the day
on which its work begins, unless it was last on that site or its phase is begun there; what the season says of
it stands at `Season.trucks`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.domain.firm.crews import Crew, Machine, Truck
from planner.domain.firm.people import TOW, nobody_may, runs, who_runs
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.season.season import Season
from planner.domain.wording import shown


@dataclass(frozen=True, slots=True)
class Tow:
    """One machine that is brought to a site on a day, for the work that begins with it.

    of: the job whose site it leaves, "" from the yard. towed_lb: it on its trailer [lb]. truck: what tows it,
    None when no truck of that day is left for it; who: the named people with the lead crew who may tow.
    """

    day: date
    use: MachineUse
    booking: Booking
    of: str
    towed_lb: float
    truck: Truck | None = None
    who: tuple[str, ...] = ()


def tows(
    bookings: Iterable[Booking],
    machines: Mapping[str, Machine],
    trucks: Mapping[str, Truck],
    crews: Mapping[str, Crew],
    stands: Callable[[Booking], bool] = lambda _: False,
) -> tuple[Tow, ...]:
    """Every tow that the bookings ask for, by day and start; none in a firm without trucks.

    stands: True for a booking whose machines stand on its site when they were nowhere before.
    """
    towed = {kind for kind, machine in machines.items() if machine.towed_lb} if trucks else set()
    rows: dict[MachineUse, list[Booking]] = defaultdict(list)
    holding = (booking for booking in bookings if towed & booking.kinds)
    for booking in sorted(holding, key=lambda b: (b.start, b.end, b.key)):
        for use in booking.machines:
            if use.kind in towed:
                rows[use].append(booking)
    of_day: dict[date, list[Tow]] = defaultdict(list)
    for use, held in rows.items():
        sites = [held[0].job if stands(held[0]) else "", *(booking.job for booking in held)]
        for of, booking in zip(sites, held, strict=False):
            if of != booking.job:
                day, crew = booking.start.date(), crews.get(booking.lead)
                who = tuple(who_runs(crew, TOW, day)) if crew else ()
                weight = machines[use.kind].towed_lb
                of_day[day].append(Tow(day, use, booking, of, weight, None, who))
    return tuple(tow for day in sorted(of_day) for tow in _with_trucks(of_day[day], trucks))


def brought(season: Season, bookings: Iterable[Booking]) -> tuple[Tow, ...]:
    """`tows` of a season's bookings; where a phase is begun its machines stand."""
    begun = {(booking.job, booking.phase) for booking in season.done}

    def stands(booking: Booking) -> bool:
        return (booking.job, booking.phase) in begun

    return tows(bookings, season.machines, season.trucks, season.crews, stands)


def nobody_tows(season: Season, crew: str, days: Sequence[date]) -> tuple[int, ...]:
    """Places in `days` of those on which nobody with the crew may tow; none in a firm without trucks."""
    crews = season.crews if season.trucks else {}
    return tuple(i for i, day in enumerate(days) if crew in crews and not runs(crews[crew], (TOW,), day))


def _with_trucks(loads: Sequence[Tow], trucks: Mapping[str, Truck]) -> list[Tow]:
    """The day's tows, each with a truck as far as they go: the heaviest first, a crew's own truck first."""
    order = sorted(trucks.values(), key=lambda truck: (not truck.crew, truck.tows_lb, truck.key))
    left = {truck.key: truck.tows_day for truck in order if truck.runs_on(loads[0].day)}
    found = []
    for tow in sorted(loads, key=lambda tow: (-tow.towed_lb, tow.booking.start, tow.booking.key, tow.use)):
        may = (t for t in order if left.get(t.key) and may_tow(t, tow.booking.lead, tow.towed_lb))
        truck = next(may, None)
        if truck is not None:
            left[truck.key] -= 1
        found.append(replace(tow, truck=truck))
    return sorted(found, key=lambda tow: (tow.booking.start, tow.booking.key, tow.use))


def may_tow(truck: Truck, crew: str, towed_lb: float) -> bool:
    """True when the truck may tow so much for the crew."""
    return truck.tows_lb >= towed_lb and truck.crew in ("", crew)


def no_truck(
    trucks: Iterable[Truck], crew: Crew, machine: Machine, units: str, day: date | None = None
) -> str:
    """Why the crew cannot bring the machine to its work, on `day` or ever; "" when a truck and a hand can.

    "no truck can tow the mini excavator: 9,800 lb on its trailer, pickup tows 7,000 lb"
    """
    rows = list(trucks)
    if not rows or not machine.towed_lb:
        return ""
    mine = [truck for truck in rows if truck.crew in ("", crew.name)]
    strong = [truck for truck in mine if truck.tows_lb >= machine.towed_lb]
    if not strong:
        most = [f"{truck.words} tows {shown(truck.tows_lb, 'lb', units)}" for truck in mine]
        own = ", ".join(most) or f"{crew.name} has none"
        weight = shown(machine.towed_lb, "lb", units)
        return f"no truck can tow the {machine.words}: {weight} on its trailer, {own}"
    if day is None:
        return ""
    if not any(truck.runs_on(day) for truck in strong):
        names = " and ".join(truck.words for truck in strong)
        return f"no truck for the {machine.words}: {names} in the shop"
    return nobody_may(crew, TOW, f"tow the {machine.words}", day)
