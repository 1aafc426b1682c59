"""Jobs and what hangs on one: gates, blackout days, quantities, needs, pins, design, held place."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    Date,
    DateTime,
    ForeignKey,
    String,
    Table,
    Text,
)

from planner.domain.firm.jobs import Access, GateKind, Origin, Soil, Status
from planner.domain.firm.phases import Phase
from planner.domain.firm.visits import LEAST_H, MOST_H, MOST_HANDS, DayPart, VisitKind
from planner.store.schema.columns import (
    days,
    filled,
    flag,
    in_order,
    metadata,
    number,
    one_of,
    owner,
    place_on_earth,
    text,
    whole,
    within,
)

jobs = Table(
    "jobs",
    metadata,
    Column("code", String(80), primary_key=True),
    text("client"),
    text("address"),
    text("phone"),
    *place_on_earth(),
    text("region"),
    Column("status", String(20), nullable=False),
    Column("promised", Date, nullable=True),
    number("importance"),
    Column("access", String(20), nullable=False),
    Column("soil", String(20), nullable=False),
    number("carry_ft"),
    number("depth_in"),
    whole("shelves"),
    flag("waterfall"),
    flag("occupied"),
    flag("wet"),
    text("notes"),
    text("site_notes"),
    Column("visit", String(20), nullable=True),
    Column("pond", String(80), nullable=False),
    number("on_site_h", nullable=True),
    whole("hands"),
    Column("day_part", String(20), nullable=False),
    text("repeats"),
    Column("rate_edition", String(80), ForeignKey("rate_editions.edition"), nullable=True),
    whole("revision"),
    filled("code"),
    one_of("status", Status),
    one_of("access", Access),
    one_of("soil", Soil),
    one_of("visit", VisitKind),
    one_of("day_part", DayPart),
    within("on_site_h", LEAST_H, MOST_H),
    within("hands", 1, MOST_HANDS),
    within("importance", 0, 1000),
    within("carry_ft", 0, 100000),
    within("depth_in", 0, 600),
    within("shelves", 0, 20),
    within("revision", 1, 2**31 - 1),
)


job_gates = Table(
    "job_gates",
    metadata,
    *owner("job", "jobs.code"),
    Column("kind", String(20), nullable=False),
    Column("opens", Date, nullable=False),
    Column("phase", String(20), nullable=False),
    flag("met"),
    text("note"),
    Column("day_part", String(20), nullable=False),
    one_of("kind", GateKind),
    one_of("day_part", DayPart),
    one_of("phase", Phase),
)


job_blackouts = days("job_blackouts", *owner("job", "jobs.code"))


job_lines = Table(
    "job_lines",
    metadata,
    *owner("job", "jobs.code"),
    Column("item", String(40), nullable=False),
    number("quantity"),
    Column("origin", String(20), nullable=False),
    text("note"),
    filled("item"),
    one_of("origin", Origin),
    within("quantity", 0, 1e7),
)


job_needs = Table(
    "job_needs",
    metadata,
    Column("job", String(80), ForeignKey("jobs.code", ondelete="CASCADE"), primary_key=True),
    Column("phase", String(20), primary_key=True),
    Column("skills", Text, nullable=True),
    Column("machines", Text, nullable=True),
    one_of("phase", Phase),
)


job_pins = Table(
    "job_pins",
    metadata,
    *owner("job", "jobs.code"),
    Column("phase", String(20), nullable=False),
    Column("crew", String(80), nullable=True),
    Column("start", DateTime, nullable=True),
    one_of("phase", Phase),
    CheckConstraint("crew IS NOT NULL OR start IS NOT NULL", name="says_something"),
)


designs = Table(
    "designs",
    metadata,
    Column("job", String(80), ForeignKey("jobs.code", ondelete="CASCADE"), primary_key=True),
    text("body"),
)


holds = Table(
    "holds",
    metadata,
    Column("job", String(80), ForeignKey("jobs.code", ondelete="CASCADE"), primary_key=True),
    Column("until", Date, nullable=False),
    Column("start", Date, nullable=True),
    Column("finish", Date, nullable=True),
    Column("crew", String(80), nullable=False),
    text("note"),
    in_order("start", "finish"),
)
