"""The columns and constraints that the tables are made of; every constraint has a name.

Measures are US customary, as in the domain; every number has an upper bound, which also keeps infinity and
NaN out.
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
    Double,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def one_of(column: str, words: Iterable[Enum], *, blank: bool = False) -> CheckConstraint:
    """A column that holds one of the words; blank: or none."""
    listed = ", ".join(f"'{w.value}'" for w in words) + (", ''" if blank else "")
    return CheckConstraint(f"{column} IN ({listed})", name=f"{column}_known")


def within(column: str, low: float, high: float, *, open_low: bool = False) -> CheckConstraint:
    """A column between two bounds; open_low: above the lower one."""
    return CheckConstraint(
        f"{column} {'>' if open_low else '>='} {low} AND {column} <= {high}", name=f"{column}_range"
    )


def filled(column: str) -> CheckConstraint:
    """A column that is not blank."""
    return CheckConstraint(f"length(trim({column})) > 0", name=f"{column}_filled")


def in_order(first: str = "first", last: str = "last") -> CheckConstraint:
    """The first day is not after the last."""
    return CheckConstraint(f"{first} <= {last}", name="in_order")


def text(name: str, **more: Any) -> Column[str]:
    """A text that is never missing."""
    return Column(name, Text, nullable=False, **more)


def number(name: str, *, nullable: bool = False) -> Column[float]:
    """A number with a fraction."""
    return Column(name, Double, nullable=nullable)


def whole(name: str) -> Column[int]:
    """A whole number that is never missing."""
    return Column(name, Integer, nullable=False)


def cents(name: str, *, nullable: bool = False) -> Column[int]:
    """An amount in whole cents."""
    return Column(name, BigInteger, nullable=nullable)


def flag(name: str) -> Column[bool]:
    """Yes or no."""
    return Column(name, Boolean(create_constraint=True, name=f"{name}_flag"), nullable=False)


def place_on_earth(prefix: str = "") -> tuple[Column[Any] | CheckConstraint, ...]:
    """Latitude and longitude [deg]: both or neither."""
    lat, lon = f"{prefix}latitude_deg", f"{prefix}longitude_deg"
    return (
        number(lat, nullable=True),
        number(lon, nullable=True),
        within(lat, -90, 90),
        within(lon, -180, 180),
        CheckConstraint(f"({lat} IS NULL) = ({lon} IS NULL)", name="place_whole"),
    )


def owner(column: str, target: str) -> tuple[Column[Any], Column[Any]]:
    """The owning row's key and the place in its list; together the primary key."""
    return (
        Column(column, String(80), ForeignKey(target, ondelete="CASCADE"), primary_key=True),
        Column("place", Integer, primary_key=True, autoincrement=False),
    )


def days(name: str, *owner: Column[Any]) -> Table:
    """A table of spans of days with the reason; owner: its key columns."""
    return Table(
        name,
        metadata,
        *owner,
        Column("first", Date, nullable=False),
        Column("last", Date, nullable=False),
        text("why"),
        in_order(),
    )
