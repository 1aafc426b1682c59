"""The office's own list, by date, from the plan: what must be asked, ordered, booked and said, and by when.

In: the desk. Out: `OfficeItem`s with keys that stay the same from plan to plan, so that a tick or a snooze
holds.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from planner.domain.firm.records import SNOOZED
from planner.domain.office.back import back_items
from planner.domain.office.cold import frost_items, visit_items
from planner.domain.office.items import Desk, OfficeItem
from planner.domain.office.locates import locate_items
from planner.domain.office.people import (
    call_items,
    cure_items,
    design_items,
    hold_items,
    missed_items,
    night_items,
    note_items,
)
from planner.domain.office.rain import rain_items
from planner.domain.office.supplies import fetch_items, gate_items, order_items, rental_items
from planner.domain.office.trades import appointment_items, booking_items
from planner.domain.office.trucks import truck_items

MAKERS = (
    locate_items,
    order_items,
    gate_items,
    booking_items,
    appointment_items,
    frost_items,
    visit_items,
    rain_items,
    rental_items,
    fetch_items,
    truck_items,
    call_items,
    hold_items,
    night_items,
    cure_items,
    missed_items,
    note_items,
    design_items,
    back_items,
)


def office_list(desk: Desk) -> list[OfficeItem]:
    """Every item, ticked and snoozed ones too: open misses first, then notes from crews, then by due date.

    A snooze that is over counts no more.
    """
    found = [_marked(desk, item) for make in MAKERS for item in make(desk)]
    return sorted(found, key=lambda i: (i.rank, i.due, i.kind.value, i.key))


def to_do(items: Iterable[OfficeItem], until: date) -> list[OfficeItem]:
    """The open items due up to `until`, overdue ones included."""
    return [item for item in items if not item.state and item.due <= until]


def _marked(desk: Desk, item: OfficeItem) -> OfficeItem:
    mark = desk.marks.get(item.key)
    if mark is None or (mark.state == SNOOZED and mark.until is not None and mark.until <= desk.today):
        return item
    return replace(item, state=mark.state, until=mark.until)
