"""What holds work back when it is only that no truck can bring its machine sooner.

In: a season with trucks, bookings, a work. Out: a `Hold`, or none. The plan is laid beside itself without
trucks: where the work would then begin sooner, the trucks of that day are looked at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.domain.dates import day_words
from planner.domain.firm.phases import WorkKey
from planner.domain.season.plan import Booking
from planner.domain.season.season import Season
from planner.domain.season.towing import brought, no_truck
from planner.domain.standing.reasons import Hold
from planner.schedule.answers.clash import machine_name
from planner.schedule.door import Door, enter, task_key
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Fit, Timetable


def as_placed(shop: Shop, door: Door, rows: Sequence[Booking]) -> Timetable:
    """The bookings as a timetable, exactly where they are."""
    table = Timetable(shop)
    for key, placed in door.placed(rows).items():
        task = shop.number[key]
        number = next(n for n, o in enumerate(shop.options[task]) if o.way == placed.way)
        units = tuple(shop.unit_number(*u) for u in placed.units)
        table.put(task, number, Fit(placed.start, placed.end, units))
    return table


class Untowed:
    """The plan in a season without trucks, to ask what their absence would change."""

    def __init__(self, season: Season, rows: Sequence[Booking]) -> None:
        """Lay the bookings where they are."""
        self.season, self.rows = season, rows
        self.door = enter(replace(season, trucks={}))
        self.shop = Shop(self.door.problem)
        self.table = as_placed(self.shop, self.door, rows)
        self.tows = brought(season, rows)

    def hold(self, key: WorkKey) -> Hold | None:
        """What its machine's truck, or who tows it, keeps the work from; None when that is not its cause."""
        season, table = self.season, self.table.copy()
        task = self.shop.number[task_key(key)]
        option, start = self.shop.options[task][table.option[task]], table.start[task]
        table.lift([task])
        soon, _, least_end = table.earliest(task)
        fit = table.fit(task, option, max(0, soon), least_end)
        booking = next(row for row in self.rows if row.key == key)
        if fit is None or fit.start >= start or not booking.machines:
            return None
        day, lead = self.door.moment(fit.start).date(), season.crews[booking.lead]
        for use in booking.machines:
            machine = season.machines[use.kind]
            if why := no_truck(season.trucks.values(), lead, machine, season.firm.units, day):
                return Hold(key, "truck", f"{key.words}: {why} on {day_words(day)}")
        others = [tow for tow in self.tows if tow.day == day and tow.booking.key != key]
        tow = next((tow for tow in others if tow.truck), None)
        if tow is None or tow.truck is None:
            return None
        name = machine_name(season, tow.use.kind)
        text = f"waits for the {tow.truck.words}, which brings the {name} to {tow.booking.job}"
        return Hold(key, "truck", f"{key.words} {text} on {day_words(day)}", tow.booking.key)
