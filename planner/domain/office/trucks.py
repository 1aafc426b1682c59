"""Trucks on the office's list: a crew whose own truck is in the shop on days on which it works.

In: the desk. Out: one item a stay in the shop, due on the crew's first day of work in it.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.domain.dates import long_span
from planner.domain.firm.calendar import days_between
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.season.cost import works_on


def truck_items(desk: Desk) -> Iterator[OfficeItem]:
    """A crew needs another way to its sites while its truck is in the shop."""
    for truck in desk.season.trucks.values():
        mine = [b for b in desk.bookings().values() if truck.crew in b.crews]
        for out in truck.out:
            ahead = days_between(max(out.first, desk.today), out.last)
            days = [day for day in ahead if any(works_on(desk.season, b, day) for b in mine)]
            if truck.crew and days:
                shop = f"{truck.words} is in the shop {long_span(out.first, out.last)}"
                words = f"{shop}: see how {truck.crew} gets to work, and what tows for it"
                yield OfficeItem(f"truck:{truck.key}:{out.first}", Kind.TRUCK, days[0], "", words)
