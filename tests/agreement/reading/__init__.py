"""The readers, one module a family of outputs. A new module: a line here."""

from tests.agreement.reading import (
    around,
    boards,
    calendars,
    chances,
    designs,
    estimates,
    jobs,
    locates,
    logs,
    mornings,
    office,
    plans,
    returns,
    season,
    sheets,
    web,
)

__all__ = [
    "around",
    "boards",
    "calendars",
    "chances",
    "designs",
    "estimates",
    "jobs",
    "locates",
    "logs",
    "mornings",
    "office",
    "plans",
    "returns",
    "season",
    "sheets",
    "web",
]
