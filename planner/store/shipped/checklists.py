"""The phase checklists as shipped, or the firm's own copy of the file, as domain values.

Every fault of a firm's own file is found before it is refused: unknown fields, flags and words, steps with
the same key, tolerances that cannot be met.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from planner.domain.crew_day.checklist import Checklist, Entry, Measure, PhaseList, Step, When
from planner.domain.crew_day.ready import FLAGS, TARGETS, WORDS
from planner.domain.firm.jobs import ITEMS, Soil
from planner.domain.firm.phases import Phase
from planner.domain.wording import fill_in
from planner.errors import BadInput, BadInputs
from planner.store.shipped.own_file import compared, own_text, shipped_text, table_of
from planner.units import US

NAME = "checklists.toml"
LISTS = ("tools", "load", "today", "rain", "photos", "cautions")
_ENTRY = {"do", "only", "soils", "from_depth_in", "item", "part", "first_day"}
_STEP = _ENTRY | {"key", "hold", "each", "measure"}
_MEASURE = {"what", "unit", "target", "under", "over"}
_DUMMY = dict.fromkeys(WORDS, "")


def checklist(folder: Path | None = None) -> Checklist:
    """All six phases and the visit; from `folder`/checklists.toml when that file exists.

    Raises BadInputs with every fault of the file.
    """
    own = own_text(folder, NAME)
    return read(shipped_text(NAME) if own is None else own)


def read(text: str) -> Checklist:
    """The checklist that a file's `text` describes."""
    table = table_of(text, NAME)
    if Phase.VISIT.value not in table:  # a firm's own file of before visits were planned
        table[Phase.VISIT.value] = table_of(shipped_text(NAME), NAME)[Phase.VISIT.value]
    with compared(NAME, NAME):
        return _whole(table)


def _whole(table: Mapping[str, Any]) -> Checklist:
    faults: list[BadInput] = []
    found = Checklist(
        edition=str(table.get("edition", "")),
        basis=str(table.get("basis", "")),
        phases={phase: _phase(phase, table.get(phase.value, {}), faults) for phase in Phase},
        every_day=_entries("every_day", table.get("every_day", []), faults),
    )
    if not found.edition:
        faults.append(BadInput("edition", "", "say which edition this is", where=NAME))
    if faults:
        raise BadInputs(faults)
    return found


def _phase(phase: Phase, row: Mapping[str, Any], faults: list[BadInput]) -> PhaseList:
    _known(phase.value, row, {"steps", *LISTS}, faults)
    steps = tuple(_step(phase, entry, faults) for entry in row.get("steps", []))
    if not steps:
        faults.append(BadInput(f"{phase.value}.steps", "", "list at least one step", where=NAME))
    keys = [step.key for step in steps]
    for key in sorted({k for k in keys if keys.count(k) > 1}):
        faults.append(
            BadInput(f"{phase.value}.steps.key", key, "give each step a key of its own", where=NAME)
        )
    lists = {name: _entries(f"{phase.value}.{name}", row.get(name, []), faults) for name in LISTS}
    return PhaseList(steps=steps, **lists)


def _step(phase: Phase, row: Mapping[str, Any], faults: list[BadInput]) -> Step:
    key = str(row.get("key", ""))
    place = f"{phase.value}.{key or '(step without key)'}"
    _known(place, row, _STEP, faults)
    if not key.replace("-", "").isalnum() or not key.isascii():
        faults.append(BadInput(f"{place}.key", key, "use letters, digits and hyphens", where=NAME))
    if row.get("each", "") not in ("", "shelf"):
        faults.append(BadInput(f"{place}.each", row["each"], 'write "shelf" or leave it out', where=NAME))
    plain = {name: row[name] for name in _ENTRY if name in row}
    return Step(
        key=key,
        entry=_entry(place, plain, faults),
        hold=bool(row.get("hold", False)),
        each=str(row.get("each", "")),
        measure=_measure(place, row["measure"], faults) if "measure" in row else None,
    )


def _measure(place: str, row: Mapping[str, Any], faults: list[BadInput]) -> Measure:
    _known(f"{place}.measure", row, _MEASURE, faults)
    target = row.get("target")
    if isinstance(target, str) and target not in TARGETS:
        fix = f"write a number or one of {', '.join(TARGETS)}"
        faults.append(BadInput(f"{place}.measure.target", target, fix, where=NAME))
    for side in ("under", "over"):
        if side in row and (not isinstance(row[side], int | float) or row[side] < 0):
            faults.append(
                BadInput(f"{place}.measure.{side}", row[side], "write a number of 0 or more", where=NAME)
            )
    if target is not None and "under" not in row and "over" not in row:
        fix = "give under or over, or leave the target out"
        faults.append(BadInput(f"{place}.measure.target", target, fix, where=NAME))
    return Measure(
        what=str(row.get("what", "")),
        unit=str(row.get("unit", "")),
        target=target if isinstance(target, str) or target is None else float(target),
        under=row.get("under"),
        over=row.get("over"),
    )


def _entries(place: str, rows: Any, faults: list[BadInput]) -> tuple[Entry, ...]:
    if not isinstance(rows, list):
        faults.append(BadInput(place, rows, "write a list of texts in [ ]", where=NAME))
        return ()
    return tuple(_entry(f"{place}[{n}]", row, faults) for n, row in enumerate(rows, 1))


def _entry(place: str, row: Any, faults: list[BadInput]) -> Entry:
    table: Mapping[str, Any] = row if isinstance(row, dict) else {"do": row}
    _known(place, table, _ENTRY, faults)
    text = str(table.get("do", ""))
    try:
        fill_in(text, _DUMMY, US)
    except BadInput as fault:
        faults.append(BadInput(f"{place}.do", text, fault.fix, where=NAME))
    if not text.strip():
        faults.append(BadInput(f"{place}.do", text, "say what to do", where=NAME))
    return Entry(text, _when(place, table, faults))


def _when(place: str, table: Mapping[str, Any], faults: list[BadInput]) -> When:
    flags = table.get("only", {})
    for name in flags:
        if name not in FLAGS:
            faults.append(BadInput(f"{place}.only", name, f"use one of {', '.join(FLAGS)}", where=NAME))
    soils = table.get("soils", [])
    for name in soils:
        if name not in set(Soil):
            faults.append(BadInput(f"{place}.soils", name, f"use one of {', '.join(Soil)}", where=NAME))
    if table.get("item", "") and table["item"] not in ITEMS:
        faults.append(BadInput(f"{place}.item", table["item"], f"use one of {', '.join(ITEMS)}", where=NAME))
    return When(
        flags={name: bool(wish) for name, wish in flags.items()},
        soils=frozenset(soils),
        from_depth_in=float(table.get("from_depth_in", 0.0)),
        part=int(table.get("part", 0)),
        first_day=bool(table.get("first_day", False)),
        item=str(table.get("item", "")),
    )


def _known(place: str, row: Mapping[str, Any], names: set[str], faults: list[BadInput]) -> None:
    for name in sorted(set(row) - names):
        faults.append(BadInput(place, name, f"unknown field; use {', '.join(sorted(names))}", where=NAME))
