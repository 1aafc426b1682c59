"""The office's password: only its digest is kept, beside the database, for the owner's eyes."""

from __future__ import annotations

from planner.errors import PlannerError
from planner.flow.keeping.paths import beside, write

FILE = "office-password.txt"


def kept_digest(location: str) -> str:
    """The digest of the office's password, "" when none is set."""
    place = beside(location, FILE)
    try:
        return place.read_text("utf-8").strip() if place.exists() else ""
    except (OSError, ValueError):
        raise PlannerError(f"{place} cannot be read: take it away, then set the password again") from None


def keep_digest(location: str, digest: str) -> None:
    """Keep the digest of a new password; "" takes the password away."""
    place = beside(location, FILE)
    if not digest:
        place.unlink(missing_ok=True)
        return
    place.parent.mkdir(parents=True, exist_ok=True)
    write(place, digest + "\n")
