"""Forms made from a noun's fields: the same as in the terminal and the CSV, faults at their field."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from planner.domain.firm import entry
from planner.domain.firm.fields import Field
from planner.errors import BadInput, BadInputs

if TYPE_CHECKING:
    from planner.domain.firm.jobs import DayRange
    from planner.domain.firm.records import Change
    from planner.flow.keeping.history import Meanwhile
    from planner.web.desk import Visit


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
        if f.choices and f.optional:
            choices = ("none", *choices)  # first in its list, so that it stands where nothing is stored
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


def typed_days(visit: Visit, what: str) -> DayRange:
    """The days that a form names by `first`, `last` (empty: one day) and `why`."""
    return entry.days(what, visit.typed("first"), visit.typed("last"), visit.typed("why"), visit.today)


def written(noun: Any, fields: Sequence[Field], units: str) -> dict[str, str]:
    """Every field of the noun as its form writes it."""
    return {f.name(units): f.write(getattr(noun, f.attr), units) for f in fields}


def overtaken(
    typed: Mapping[str, str],
    line: str,
    since: Meanwhile | None,
    now: Any,
    write: Callable[[Any], dict[str, str]],
) -> tuple[dict[str, str], dict[str, str], list[str]]:
    """The form of somebody who keeps a record second: (its texts, notes beside fields, lines above it).

    line: the refusal; since: what others did, None when that is not known; now: the record as it is; write:
    every field of a record as the form writes it.
    """
    if since is None:
        return dict(typed), {}, [line]
    mine, notes = _merged(typed, write(since.seen), write(now), since.changes[-1].who)
    return mine, notes, _told_meanwhile(line, since.changes)


def _merged(
    typed: Mapping[str, str], was: Mapping[str, str], now: Mapping[str, str], by: str
) -> tuple[dict[str, str], dict[str, str]]:
    """A second saver's form: what the other changed and he did not touch stands as it is now; where both
    changed the same, his text stays, with the other's in the notes beside it (field -> words).
    """
    mine, notes = dict(typed), {}
    for name, text in typed.items():
        if was.get(name, "") == now.get(name, ""):
            continue
        if text == was.get(name, ""):
            mine[name] = now.get(name, "")
        elif text != now.get(name, ""):
            notes[name] = f"{by} wrote {now.get(name, '') or '(nothing)'} here meanwhile"
    return mine, notes


def _told_meanwhile(line: str, changes: Sequence[Change]) -> list[str]:
    """What a second saver is told: that nothing was written yet, who changed what, what to do."""
    from planner.report.keeping.history import changed_words

    first = line.partition(" (you saw")[0].partition(": nothing was")[0] + ": nothing was written yet"
    each = [f"{c.who}, {c.at:%H:%M}: {changed_words(c)}" for c in changes]
    return [first, *each, "Your text is kept below; look it over and keep it again."]
