"""The firm's settings: read, set, edited."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from planner.domain.firm.fields import FIRM_FIELDS
from planner.domain.firm.firm import DAYS, Firm
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.flow.keeping.history import must_be_as_seen
from planner.flow.keeping.saved import Saved, save_by, with_typed
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


def load_firm(location: str) -> Firm:
    """The firm's settings."""
    with Store(location).reading() as book:
        return book.firm()


def nothing_entered(location: str) -> bool:
    """Whether nobody has said yet who the firm is, and no crew and no job stand in the book."""
    with Store(location).reading() as book:
        return book.firm().name == Firm().name and not book.crews() and not book.jobs()


def set_firm(
    location: str,
    who: str,
    texts: Mapping[str, str],
    weights: Mapping[str, float],
    seen: int | None = None,
) -> Saved:
    """Change typed settings of the firm and named money weights. seen: the newest change of the settings
    when they were read; None asks nothing.
    """

    def edit(firm: Firm) -> Firm:
        new = with_typed(firm, FIRM_FIELDS, texts, texts.get("units", firm.units))
        names = firm.weights.__dataclass_fields__
        unknown = sorted(set(weights) - set(names))
        if unknown:
            fix = did_you_mean(unknown[0], names, f"use one of: {', '.join(names)}")
            raise BadInput("weight", unknown[0], fix)
        typed = {n: int(v) if n in DAYS else v for n, v in weights.items()}
        return replace(new, weights=replace(new.weights, **typed))  # type: ignore[arg-type]

    return edit_firm(location, who, edit, seen)


def edit_firm(location: str, who: str, edit: Callable[[Firm], Firm], seen: int | None = None) -> Saved:
    """Apply `edit` to the stored settings. seen: as in `set_firm`."""

    def change(book: Book) -> None:
        must_be_as_seen(book, "firm", "firm", seen)
        book.save_firm(edit(book.firm()))

    return save_by(location, who, "firm", change)
