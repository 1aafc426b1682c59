"""Photos of a job: taken in, listed, shown, taken away. They lie beside the database, in `NAME.photos`."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from planner.flow.keeping.paths import beside
from planner.store.engine import Store
from planner.store.safekeeping import photos as shelf
from planner.store.safekeeping.photos import MOST_BYTES, Photo

__all__ = ["MOST_BYTES", "Photo"]


def add_photo(location: str, code: str, content: bytes, at: datetime) -> Photo:
    """Keep a photo of a job. BadInput for an unknown job, or what is no picture or too large."""
    with Store(location).reading() as book:
        book.job(code)
    return shelf.keep(_place(location), code, content, at)


def list_photos(location: str, code: str) -> list[Photo]:
    """The photos of a job, oldest first."""
    return shelf.photos(_place(location), code)


def read_photo(location: str, code: str, name: str) -> bytes:
    """One photo as JPEG. BadInput when there is none of that name."""
    return shelf.content_of(_place(location), code, name)


def drop_photo(location: str, code: str, name: str) -> None:
    """Take one photo away for good."""
    shelf.drop(_place(location), code, name)


def forget_photos(location: str, code: str) -> int:
    """Take every photo of a job away; how many there were."""
    return shelf.forget(_place(location), code)


def _place(location: str) -> Path:
    name = "season" if "://" in location else Path(location).stem
    return beside(location, f"{name}.photos")
