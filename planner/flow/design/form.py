"""A design as a form, with what each key means."""

from __future__ import annotations

from planner.domain.design.form import FormLine, FormSection, rewritten, sections
from planner.errors import BadInput
from planner.flow.design.design import MOST_BYTES
from planner.flow.keeping.guide import meaning
from planner.store.shipped.guide import design_words

__all__ = ["rewritten"]


def design_form(text: str) -> list[tuple[FormSection, list[tuple[FormLine, str]]]]:
    """Each section of the form, its lines with what they mean. BadInput when the text is no TOML."""
    if len(text.encode()) > MOST_BYTES:
        raise BadInput("design", f"{len(text)} characters", f"at most {MOST_BYTES} bytes: shorten it")
    words = design_words()
    return [(s, [(line, meaning(words, line.key)) for line in s.lines]) for s in sections(text)]
