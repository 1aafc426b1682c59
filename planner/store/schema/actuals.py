"""What came back: logged hours, lost time, returned sheets."""

from __future__ import annotations

from sqlalchemy import (
    Column,
    Date,
    DateTime,
    ForeignKey,
    Integer,
    String,
    Table,
)

from planner.domain.firm.lost import LostKind
from planner.domain.firm.phases import Phase
from planner.store.schema.columns import filled, flag, in_order, metadata, number, one_of, text, whole, within

logs = Table(
    "logs",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("day", Date, nullable=False, index=True),
    Column("crew", String(80), nullable=False),
    Column("job", String(80), ForeignKey("jobs.code"), nullable=False, index=True),
    Column("phase", String(20), nullable=False),
    number("crew_h"),
    number("share_done", nullable=True),
    flag("done"),
    number("lost_h"),
    text("lost_why"),
    whole("people"),
    text("note"),
    Column("source", String(200), nullable=False),
    one_of("phase", Phase),
    filled("crew"),
    within("crew_h", 0, 24),
    within("lost_h", 0, 24),
    within("share_done", 0, 1),
    within("people", 0, 50),
)


lost = Table(
    "lost",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(20), nullable=False),
    Column("first", Date, nullable=False),
    Column("last", Date, nullable=False),
    text("why"),
    Column("target", String(80), nullable=False),
    whole("people"),
    Column("phase", String(20), nullable=False),
    text("note"),
    one_of("kind", LostKind),
    one_of("phase", Phase, blank=True),
    within("people", 0, 1000),
    in_order(),
)


returns = Table(
    "returns",
    metadata,
    Column("mark", String(200), primary_key=True),
    Column("crew", String(80), nullable=False),
    Column("day", Date, nullable=False),
    Column("digest", String(200), nullable=False),
    text("text"),
    Column("at", DateTime, nullable=True),
    filled("mark"),
)
