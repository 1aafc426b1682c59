"""Crews, machines and trucks, with the days on which they are away."""

from __future__ import annotations

from sqlalchemy import (
    Column,
    Date,
    String,
    Table,
)

from planner.store.schema.columns import (
    days,
    filled,
    flag,
    in_order,
    metadata,
    number,
    owner,
    place_on_earth,
    text,
    whole,
    within,
)

crews = Table(
    "crews",
    metadata,
    Column("name", String(80), primary_key=True),
    text("lead"),
    whole("size"),
    text("skills"),
    number("pace"),
    *place_on_earth("depot_"),
    whole("revision"),
    filled("name"),
    within("size", 1, 50),
    within("pace", 0, 10, open_low=True),
)


crew_days_off = days("crew_days_off", *owner("crew", "crews.name"))


#: The people whom the office names, in the crew's order; may: a JSON list.
crew_people = Table(
    "crew_people",
    metadata,
    *owner("crew", "crews.name"),
    Column("name", String(120), nullable=False, unique=True),
    text("may"),
    number("counts"),
    filled("name"),
    within("counts", 0, 1, open_low=True),
)


#: Days on which a person is not with his crew: away, or with the crew of `lent_to`.
person_days = Table(
    "person_days",
    metadata,
    *owner("crew", "crews.name"),
    Column("person", String(120), nullable=False),
    Column("first", Date, nullable=False),
    Column("last", Date, nullable=False),
    text("why"),
    Column("lent_to", String(80), nullable=False),
    filled("person"),
    in_order(),
)


machines = Table(
    "machines",
    metadata,
    Column("key", String(80), primary_key=True),
    text("words"),
    whole("units"),
    number("move_cost_usd"),
    number("move_h"),
    number("bucket_ft3"),
    number("mass_t"),
    flag("rented"),
    number("towed_lb"),
    whole("revision"),
    filled("key"),
    within("units", 0, 1000),
    within("move_cost_usd", 0, 1e6),
    within("move_h", 0, 100),
    within("bucket_ft3", 0, 1000),
    within("mass_t", 0, 1000),
    within("towed_lb", 0, 1e6),
)


machine_out = Table(
    "machine_out",
    metadata,
    *owner("machine", "machines.key"),
    Column("first", Date, nullable=False),
    Column("last", Date, nullable=False),
    text("why"),
    whole("units"),
    in_order(),
    within("units", 1, 1000),
)


trucks = Table(
    "trucks",
    metadata,
    Column("key", String(80), primary_key=True),
    text("words"),
    number("tows_lb"),
    number("payload_lb"),
    whole("tows_day"),
    text("crew"),
    whole("revision"),
    filled("key"),
    within("tows_lb", 0, 1e6),
    within("payload_lb", 0, 1e6),
    within("tows_day", 1, 1000),
)


truck_out = Table(
    "truck_out",
    metadata,
    *owner("truck", "trucks.key"),
    Column("first", Date, nullable=False),
    Column("last", Date, nullable=False),
    text("why"),
    in_order(),
)
