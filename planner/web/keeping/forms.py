"""Forms made from a noun's fields: the same as in the terminal and the CSV, faults at their field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from planner.domain.firm.fields import Field
from planner.errors import BadInput, BadInputs


@dataclass(frozen=True, slots=True)
class Blank:
    """One line of a form. kind: of its input; choices: of a list; fault: what is wrong; hint: its meaning."""

    name: str
    words: str
    value: str
    kind: str
    choices: tuple[str, ...] = ()
    fault: str = ""
    hint: str = ""


def blanks(
    noun: Any,
    fields: Sequence[Field],
    units: str,
    typed: Mapping[str, str],
    faults: Mapping[str, str],
    hints: Mapping[str, str] | None = None,
) -> list[Blank]:
    """The form of a noun: what was typed stands, else what is stored. hints: attribute -> what it means."""
    found = []
    for f in fields:
        name = f.name(units)
        stored = getattr(noun, f.attr)
        # a browser's date field speaks ISO 8601, whatever the firm writes
        kept = stored.isoformat() if f.kind == "day" and stored else f.write(stored, units)
        value = typed.get(name, kept)
        choices = (
            tuple(str(c.value) for c in f.choices) if f.choices else ("no", "yes") if f.kind == "flag" else ()
        )
        kind = {"text": "text", "day": "day"}.get(f.kind, "choice" if choices else "line")
        bare = f.attr.removesuffix(f"_{f.unit}") if f.unit else f.attr
        words = (f.words or bare.replace("_", " ")).capitalize()
        unit = name.rpartition("_")[2] if f.unit and f.attr.endswith(f"_{f.unit}") else ""
        label = f"{words} [{unit}]" if unit else words
        told = hints.get(f.attr, "") if hints else ""
        found.append(Blank(name, label, value, kind, choices, faults.get(name, ""), told))
    return found


def faults_by_field(refusal: BadInput) -> dict[str, str]:
    """Field name -> why it was refused and the fix."""
    each = refusal.faults if isinstance(refusal, BadInputs) else (refusal,)
    return {fault.field: fault.fix for fault in each}
