"""The tables: what a row holds and what it may never hold.

One table a noun, one for each list inside it (owner, place, ...). Every constraint has a name, so that a
table can be rebuilt without losing any. Measures are US customary, as in the domain; every number has an
upper bound, which also keeps infinity and NaN out.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    DateTime,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    Time,
)

from planner.domain.firm.jobs import Access, GateKind, Origin, Soil, Status
from planner.domain.firm.lost import LostKind
from planner.domain.firm.phases import Phase
from planner.domain.season.plan import PlanState

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _one_of(column: str, words: Iterable[Enum], *, blank: bool = False) -> CheckConstraint:
    listed = ", ".join(f"'{w.value}'" for w in words) + (", ''" if blank else "")
    return CheckConstraint(f"{column} IN ({listed})", name=f"{column}_known")


def _within(column: str, low: float, high: float, *, open_low: bool = False) -> CheckConstraint:
    return CheckConstraint(
        f"{column} {'>' if open_low else '>='} {low} AND {column} <= {high}", name=f"{column}_range"
    )


def _filled(column: str) -> CheckConstraint:
    return CheckConstraint(f"length(trim({column})) > 0", name=f"{column}_filled")


def _in_order(first: str = "first", last: str = "last") -> CheckConstraint:
    return CheckConstraint(f"{first} <= {last}", name="in_order")


def _text(name: str, **more: Any) -> Column[str]:
    return Column(name, Text, nullable=False, **more)


def _number(name: str, *, nullable: bool = False) -> Column[float]:
    return Column(name, Double, nullable=nullable)


def _whole(name: str) -> Column[int]:
    return Column(name, Integer, nullable=False)


def _cents(name: str, *, nullable: bool = False) -> Column[int]:
    return Column(name, BigInteger, nullable=nullable)


def _flag(name: str) -> Column[bool]:
    return Column(name, Boolean(create_constraint=True, name=f"{name}_flag"), nullable=False)


def _place_on_earth(prefix: str = "") -> tuple[Column[Any] | CheckConstraint, ...]:
    lat, lon = f"{prefix}latitude_deg", f"{prefix}longitude_deg"
    return (
        _number(lat, nullable=True),
        _number(lon, nullable=True),
        _within(lat, -90, 90),
        _within(lon, -180, 180),
        CheckConstraint(f"({lat} IS NULL) = ({lon} IS NULL)", name="place_whole"),
    )


def _owner(column: str, target: str) -> tuple[Column[Any], Column[Any]]:
    """The owning row's key and the place in its list; together the primary key."""
    return (
        Column(column, String(80), ForeignKey(target, ondelete="CASCADE"), primary_key=True),
        Column("place", Integer, primary_key=True, autoincrement=False),
    )


def _days(name: str, *owner: Column[Any]) -> Table:
    return Table(
        name,
        metadata,
        *owner,
        Column("first", Date, nullable=False),
        Column("last", Date, nullable=False),
        _text("why"),
        _in_order(),
    )


counters = Table(
    "counters",
    metadata,
    Column("name", String(40), primary_key=True),
    _whole("last"),
    _within("last", 0, 2**31 - 1),
)

firm = Table(
    "firm",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    _text("name"),
    Column("shift_start", Time, nullable=False),
    _number("paid_h_day"),
    _whole("meal_break_min"),
    Column("weekdays", String(20), nullable=False),
    Column("country", String(2), nullable=False),
    Column("state", String(10), nullable=False),
    Column("time_zone", String(80), nullable=False),
    Column("season_first", Date, nullable=False),
    Column("season_last", Date, nullable=False),
    Column("units", String(10), nullable=False),
    _number("planning_percentile"),
    *_place_on_earth("depot_"),
    _number("road_factor"),
    _number("road_mph"),
    _number("unknown_site_mi"),
    _number("daily_setup_h"),
    _flag("daylight_only"),
    _whole("revision"),
    CheckConstraint("id = 1", name="only_one"),
    CheckConstraint("units IN ('us', 'metric')", name="units_known"),
    _within("paid_h_day", 0, 16, open_low=True),
    _within("meal_break_min", 0, 240),
    _within("planning_percentile", 1, 99),
    _within("road_factor", 1, 5),
    _within("road_mph", 0, 100, open_low=True),
    _within("unknown_site_mi", 0, 1000),
    _within("daily_setup_h", 0, 8),
    _in_order("season_first", "season_last"),
)
firm_weights = Table(
    "firm_weights",
    metadata,
    Column("name", String(40), primary_key=True),
    _number("value"),
    _within("value", 0, 1e9),
)
firm_days_off = _days("firm_days_off", Column("place", Integer, primary_key=True, autoincrement=False))
firm_work_days = Table("firm_work_days", metadata, Column("day", Date, primary_key=True))
firm_half_days = Table("firm_half_days", metadata, Column("day", Date, primary_key=True))

rate_editions = Table(
    "rate_editions",
    metadata,
    Column("edition", String(80), primary_key=True),
    _whole("place"),
    Column("saved_at", DateTime, nullable=False),
    _text("body"),
    _filled("edition"),
)

jobs = Table(
    "jobs",
    metadata,
    Column("code", String(80), primary_key=True),
    _text("client"),
    _text("address"),
    _text("phone"),
    *_place_on_earth(),
    _text("region"),
    Column("status", String(20), nullable=False),
    Column("promised", Date, nullable=True),
    _number("importance"),
    Column("access", String(20), nullable=False),
    Column("soil", String(20), nullable=False),
    _number("carry_ft"),
    _number("depth_in"),
    _whole("shelves"),
    _flag("waterfall"),
    _flag("occupied"),
    _flag("wet"),
    _text("notes"),
    _text("site_notes"),
    Column("rate_edition", String(80), ForeignKey("rate_editions.edition"), nullable=True),
    _whole("revision"),
    _filled("code"),
    _one_of("status", Status),
    _one_of("access", Access),
    _one_of("soil", Soil),
    _within("importance", 0, 1000),
    _within("carry_ft", 0, 100000),
    _within("depth_in", 0, 600),
    _within("shelves", 0, 20),
    _within("revision", 1, 2**31 - 1),
)
job_gates = Table(
    "job_gates",
    metadata,
    *_owner("job", "jobs.code"),
    Column("kind", String(20), nullable=False),
    Column("opens", Date, nullable=False),
    Column("phase", String(20), nullable=False),
    _flag("met"),
    _text("note"),
    _one_of("kind", GateKind),
    _one_of("phase", Phase),
)
job_blackouts = _days("job_blackouts", *_owner("job", "jobs.code"))
job_lines = Table(
    "job_lines",
    metadata,
    *_owner("job", "jobs.code"),
    Column("item", String(40), nullable=False),
    _number("quantity"),
    Column("origin", String(20), nullable=False),
    _text("note"),
    _filled("item"),
    _one_of("origin", Origin),
    _within("quantity", 0, 1e7),
)
job_needs = Table(
    "job_needs",
    metadata,
    Column("job", String(80), ForeignKey("jobs.code", ondelete="CASCADE"), primary_key=True),
    Column("phase", String(20), primary_key=True),
    Column("skills", Text, nullable=True),
    Column("machines", Text, nullable=True),
    _one_of("phase", Phase),
)
job_pins = Table(
    "job_pins",
    metadata,
    *_owner("job", "jobs.code"),
    Column("phase", String(20), nullable=False),
    Column("crew", String(80), nullable=True),
    Column("start", DateTime, nullable=True),
    _one_of("phase", Phase),
    CheckConstraint("crew IS NOT NULL OR start IS NOT NULL", name="says_something"),
)

crews = Table(
    "crews",
    metadata,
    Column("name", String(80), primary_key=True),
    _text("lead"),
    _whole("size"),
    _text("skills"),
    _number("pace"),
    *_place_on_earth("depot_"),
    _whole("revision"),
    _filled("name"),
    _within("size", 1, 50),
    _within("pace", 0, 10, open_low=True),
)
crew_days_off = _days("crew_days_off", *_owner("crew", "crews.name"))

machines = Table(
    "machines",
    metadata,
    Column("key", String(80), primary_key=True),
    _text("words"),
    _whole("units"),
    _number("move_cost_usd"),
    _number("move_h"),
    _number("bucket_ft3"),
    _number("mass_t"),
    _flag("rented"),
    _whole("revision"),
    _filled("key"),
    _within("units", 0, 1000),
    _within("move_cost_usd", 0, 1e6),
    _within("move_h", 0, 100),
    _within("bucket_ft3", 0, 1000),
    _within("mass_t", 0, 1000),
)
machine_out = Table(
    "machine_out",
    metadata,
    *_owner("machine", "machines.key"),
    Column("first", Date, nullable=False),
    Column("last", Date, nullable=False),
    _text("why"),
    _whole("units"),
    _in_order(),
    _within("units", 1, 1000),
)

logs = Table(
    "logs",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("day", Date, nullable=False, index=True),
    Column("crew", String(80), nullable=False),
    Column("job", String(80), ForeignKey("jobs.code"), nullable=False, index=True),
    Column("phase", String(20), nullable=False),
    _number("crew_h"),
    _number("share_done", nullable=True),
    _flag("done"),
    _number("lost_h"),
    _text("lost_why"),
    _whole("people"),
    _text("note"),
    Column("source", String(200), nullable=False),
    _one_of("phase", Phase),
    _filled("crew"),
    _within("crew_h", 0, 24),
    _within("lost_h", 0, 24),
    _within("share_done", 0, 1),
    _within("people", 0, 50),
)
lost = Table(
    "lost",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(20), nullable=False),
    Column("first", Date, nullable=False),
    Column("last", Date, nullable=False),
    _text("why"),
    Column("target", String(80), nullable=False),
    _whole("people"),
    Column("phase", String(20), nullable=False),
    _text("note"),
    _one_of("kind", LostKind),
    _one_of("phase", Phase, blank=True),
    _within("people", 0, 1000),
    _in_order(),
)

plans = Table(
    "plans",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("made_at", DateTime, nullable=False),
    Column("published_at", DateTime, nullable=True),
    Column("state", String(20), nullable=False),
    _text("note"),
    _cents("dispatch_cents", nullable=True),
    _cents("bound_cents", nullable=True),
    _whole("seed"),
    _whole("history_mark"),
    _one_of("state", PlanState),
)
plan_costs = Table(
    "plan_costs",
    metadata,
    Column("plan", Integer, ForeignKey("plans.number", ondelete="CASCADE"), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    Column("term", String(40), nullable=False),
    _cents("cents"),
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
    _number("crew_h"),
    _flag("pinned"),
    _flag("begun"),
    ForeignKeyConstraint(["plan"], ["plans.number"], ondelete="CASCADE"),
    ForeignKeyConstraint(["job"], ["jobs.code"]),
    _one_of("phase", Phase),
    _within("part", 1, 9),
    _within("crew_h", 0, 1e5),
    _in_order("starts", "ends"),
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


booking_crews = _of_booking("booking_crews", Column("crew", String(80), nullable=False), _filled("crew"))
booking_machines = _of_booking(
    "booking_machines",
    Column("kind", String(80), nullable=False),
    _whole("unit"),
    _within("unit", 1, 1000),
)

designs = Table(
    "designs",
    metadata,
    Column("job", String(80), ForeignKey("jobs.code", ondelete="CASCADE"), primary_key=True),
    _text("body"),
)
office_marks = Table(
    "office_marks",
    metadata,
    Column("key", String(200), primary_key=True),
    Column("state", String(20), nullable=False),
    Column("until", Date, nullable=True),
    Column("who", String(80), nullable=False),
    Column("at", DateTime, nullable=True),
    _text("word"),
    _filled("key"),
)
holds = Table(
    "holds",
    metadata,
    Column("job", String(80), ForeignKey("jobs.code", ondelete="CASCADE"), primary_key=True),
    Column("until", Date, nullable=False),
    Column("start", Date, nullable=True),
    Column("finish", Date, nullable=True),
    Column("crew", String(80), nullable=False),
    _text("note"),
    _in_order("start", "finish"),
)
returns = Table(
    "returns",
    metadata,
    Column("mark", String(200), primary_key=True),
    Column("crew", String(80), nullable=False),
    Column("day", Date, nullable=False),
    Column("digest", String(200), nullable=False),
    _text("text"),
    Column("at", DateTime, nullable=True),
    _filled("mark"),
)
calendar_events = Table(
    "calendar_events",
    metadata,
    Column("uid", String(200), primary_key=True),
    _whole("sequence"),
    Column("digest", String(200), nullable=False),
    _flag("cancelled"),
    _within("sequence", 0, 2**31 - 1),
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
    _flag("undone"),
    CheckConstraint("before IS NOT NULL OR after IS NOT NULL", name="says_something"),
)
