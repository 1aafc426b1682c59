"""The names that a shell may complete."""

from __future__ import annotations

from planner.store.engine import Store


def names_of(location: str, what: str) -> list[str]:
    """The names of all jobs, crews or machines (`what` is job, crew or machine)."""
    with Store(location).reading() as book:
        if what == "job":
            return book.job_codes()
        return [c.name for c in book.crews()] if what == "crew" else [m.key for m in book.machines()]
