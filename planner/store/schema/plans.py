"""Plans with their bookings, and the calendar events that told of them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    Column,
    DateTime,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    String,
    Table,
)

from planner.domain.firm.phases import Phase
from planner.domain.season.plan import PlanState
from planner.store.schema.columns import (
    cents,
    filled,
    flag,
    in_order,
    metadata,
    number,
    one_of,
    text,
    whole,
    within,
)

plans = Table(
    "plans",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("made_at", DateTime, nullable=False),
    Column("published_at", DateTime, nullable=True),
    Column("state", String(20), nullable=False),
    text("note"),
    cents("dispatch_cents", nullable=True),
    cents("bound_cents", nullable=True),
    whole("seed"),
    whole("history_mark"),
    one_of("state", PlanState),
)


plan_costs = Table(
    "plan_costs",
    metadata,
    Column("plan", Integer, ForeignKey("plans.number", ondelete="CASCADE"), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    Column("term", String(40), nullable=False),
    cents("cents"),
)


_BOOKING = ("plan", "job", "phase", "part")


def _booking_key() -> tuple[Column[Any], ...]:
    return (
        Column("plan", Integer, primary_key=True, autoincrement=False),
        Column("job", String(80), primary_key=True),
        Column("phase", String(20), primary_key=True),
        Column("part", Integer, primary_key=True, autoincrement=False),
    )


bookings = Table(
    "bookings",
    metadata,
    *_booking_key(),
    Column("starts", DateTime, nullable=False),
    Column("ends", DateTime, nullable=False),
    number("crew_h"),
    flag("pinned"),
    flag("begun"),
    ForeignKeyConstraint(["plan"], ["plans.number"], ondelete="CASCADE"),
    ForeignKeyConstraint(["job"], ["jobs.code"]),
    one_of("phase", Phase),
    within("part", 1, 9),
    within("crew_h", 0, 1e5),
    in_order("starts", "ends"),
)


def _of_booking(name: str, *more: Any) -> Table:
    return Table(
        name,
        metadata,
        *_booking_key(),
        Column("place", Integer, primary_key=True, autoincrement=False),
        *more,
        ForeignKeyConstraint(_BOOKING, [f"bookings.{c}" for c in _BOOKING], ondelete="CASCADE"),
    )


booking_crews = _of_booking("booking_crews", Column("crew", String(80), nullable=False), filled("crew"))


booking_machines = _of_booking(
    "booking_machines",
    Column("kind", String(80), nullable=False),
    whole("unit"),
    within("unit", 1, 1000),
)


calendar_events = Table(
    "calendar_events",
    metadata,
    Column("uid", String(200), primary_key=True),
    whole("sequence"),
    Column("digest", String(200), nullable=False),
    flag("cancelled"),
    within("sequence", 0, 2**31 - 1),
)
