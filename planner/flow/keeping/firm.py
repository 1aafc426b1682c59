"""The firm's settings: read, set, edited."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from planner.domain.firm.fields import FIRM_FIELDS
from planner.domain.firm.firm import DAYS, Firm
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.flow.keeping.saved import Saved, save_by, with_typed
from planner.store.engine import Store


def load_firm(location: str) -> Firm:
    """The firm's settings."""
    with Store(location).reading() as book:
        return book.firm()


def nothing_entered(location: str) -> bool:
    """Whether nobody has said yet who the firm is, and no crew and no job stand in the book."""
    with Store(location).reading() as book:
        return book.firm().name == Firm().name and not book.crews() and not book.jobs()


def set_firm(location: str, who: str, texts: Mapping[str, str], weights: Mapping[str, float]) -> Saved:
    """Change typed settings of the firm and named money weights."""

    def edit(firm: Firm) -> Firm:
        new = with_typed(firm, FIRM_FIELDS, texts, texts.get("units", firm.units))
        names = firm.weights.__dataclass_fields__
        unknown = sorted(set(weights) - set(names))
        if unknown:
            fix = did_you_mean(unknown[0], names, f"use one of: {', '.join(names)}")
            raise BadInput("weight", unknown[0], fix)
        typed = {n: int(v) if n in DAYS else v for n, v in weights.items()}
        return replace(new, weights=replace(new.weights, **typed))  # type: ignore[arg-type]

    return edit_firm(location, who, edit)


def edit_firm(location: str, who: str, edit: Callable[[Firm], Firm]) -> Saved:
    """Apply `edit` to the stored settings."""
    return save_by(location, who, "firm", lambda book: book.save_firm(edit(book.firm())))
