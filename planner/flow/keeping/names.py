"""The names that a shell may complete."""

from __future__ import annotations

from planner.store.engine import Store


def names_of(location: str, what: str) -> list[str]:
    """The names of all jobs, crews, machines or trucks (`what` is job, crew, machine or truck)."""
    with Store(location).reading() as book:
        if what == "job":
            return book.job_codes()
        if what == "truck":
            return [truck.key for truck in book.trucks()]
        return [c.name for c in book.crews()] if what == "crew" else [m.key for m in book.machines()]
