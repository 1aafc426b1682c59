"""Timetables as solutions and bookings, and back."""

from __future__ import annotations

from planner.domain.season.plan import Booking
from planner.schedule.door import Door
from planner.schedule.model.problem import Placed, Solution
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable


def solution_of(shop: Shop, table: Timetable, price: float) -> Solution:
    """A complete timetable as a solution with its price [cents]."""
    placed = {
        shop.keys[i]: Placed(
            table.start[i],
            table.end[i],
            shop.options[i][table.option[i]].way,
            tuple(shop.unit_name(u) for u in table.units[i]),
        )
        for i in shop.free
    }
    return Solution(placed, price)


def bookings_of(door: Door, shop: Shop, table: Timetable) -> tuple[Booking, ...]:
    """A complete timetable as bookings."""
    return door.bookings(solution_of(shop, table, 0.0))
