"""Who changed what, what the office ticked, and the counters behind every number given out."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    Date,
    DateTime,
    Integer,
    String,
    Table,
    Text,
)

from planner.store.schema.columns import filled, flag, metadata, text, whole, within

counters = Table(
    "counters",
    metadata,
    Column("name", String(40), primary_key=True),
    whole("last"),
    within("last", 0, 2**31 - 1),
)


history = Table(
    "history",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("action", Integer, nullable=False, index=True),
    Column("at", DateTime, nullable=False),
    Column("who", String(80), nullable=False),
    Column("noun", String(20), nullable=False, index=True),
    Column("key", String(80), nullable=False),
    Column("before", Text, nullable=True),
    Column("after", Text, nullable=True),
    Column("undoes", Integer, nullable=True),
    flag("undone"),
    CheckConstraint("before IS NOT NULL OR after IS NOT NULL", name="says_something"),
)


office_marks = Table(
    "office_marks",
    metadata,
    Column("key", String(200), primary_key=True),
    Column("state", String(20), nullable=False),
    Column("until", Date, nullable=True),
    Column("who", String(80), nullable=False),
    Column("at", DateTime, nullable=True),
    text("word"),
    filled("key"),
)
