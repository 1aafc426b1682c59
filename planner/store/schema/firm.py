"""The firm: its settings, weights and days; the dated rate books."""

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
    Time,
)

from planner.domain.dates import DateOrder
from planner.store.schema.columns import (
    days,
    filled,
    flag,
    in_order,
    metadata,
    number,
    one_of,
    place_on_earth,
    text,
    whole,
    within,
)

firm = Table(
    "firm",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    text("name"),
    Column("phone", Text, nullable=False, server_default=""),
    Column("shift_start", Time, nullable=False),
    number("paid_h_day"),
    whole("meal_break_min"),
    Column("weekdays", String(20), nullable=False),
    Column("country", String(2), nullable=False),
    Column("state", String(10), nullable=False),
    Column("time_zone", String(80), nullable=False),
    Column("season_first", Date, nullable=False),
    Column("season_last", Date, nullable=False),
    Column("units", String(10), nullable=False),
    Column("dates", String(20), nullable=False, server_default="month first"),
    number("planning_percentile"),
    *place_on_earth("depot_"),
    number("road_factor"),
    number("road_mph"),
    number("unknown_site_mi"),
    number("daily_setup_h"),
    flag("daylight_only"),
    whole("revision"),
    CheckConstraint("id = 1", name="only_one"),
    CheckConstraint("units IN ('us', 'metric')", name="units_known"),
    one_of("dates", DateOrder),
    within("paid_h_day", 0, 16, open_low=True),
    within("meal_break_min", 0, 240),
    within("planning_percentile", 1, 99),
    within("road_factor", 1, 5),
    within("road_mph", 0, 100, open_low=True),
    within("unknown_site_mi", 0, 1000),
    within("daily_setup_h", 0, 8),
    in_order("season_first", "season_last"),
)


firm_weights = Table(
    "firm_weights",
    metadata,
    Column("name", String(40), primary_key=True),
    number("value"),
    within("value", 0, 1e9),
)


firm_days_off = days("firm_days_off", Column("place", Integer, primary_key=True, autoincrement=False))


firm_work_days = Table("firm_work_days", metadata, Column("day", Date, primary_key=True))


firm_half_days = Table("firm_half_days", metadata, Column("day", Date, primary_key=True))


rate_editions = Table(
    "rate_editions",
    metadata,
    Column("edition", String(80), primary_key=True),
    whole("place"),
    Column("saved_at", DateTime, nullable=False),
    text("body"),
    filled("edition"),
)
