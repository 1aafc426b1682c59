"""A design by form: one to begin with, a line for each key that a reader asks for, the file from the lines.

In: the file's text, what was typed. Out: sections of lines; a text. What the form does not show stays.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from planner.domain.design.declared import DesignKey, design_keys
from planner.domain.design.measures import KINDS
from planner.domain.design.read import SHAPES
from planner.errors import BadInput
from planner.units import METRIC, US

#: Ending of a key -> the system of units that it belongs to.
_SYSTEM = {end: system for ends in KINDS.values() for end, (system, _) in ends.items()}
PLAIN_SHAPES = ("rectangle", "ellipse", "kidney")
#: A shelf wide enough to stand stone and plants on [in]. Common practice, no published source.
SHELF_IN = 14.0
#: A list of tables has at most so many rows in the form.
MOST_ROWS = 12


@dataclass(frozen=True, slots=True)
class FormLine:
    """One key. name: of its field, like "outline.length_ft" or "step.0.down_in"; unit: "" for none;
    choices: of a word, "" first when it may stay open; default: what counts when it is empty.
    """

    name: str
    key: DesignKey
    unit: str
    value: str
    choices: tuple[str, ...]
    default: str


@dataclass(frozen=True, slots=True)
class FormSection:
    """One table of the file. table: its name, "" for the top; number: of a row of a list, 0 for a plain one;
    present: whether the file has it.
    """

    table: str
    number: int
    present: bool
    lines: tuple[FormLine, ...]


def sections(text: str) -> list[FormSection]:
    """The form of a design's text. BadInput when the text is no TOML."""
    data = _data(text)
    system = METRIC if data.get("units") == METRIC else US
    by_table: dict[str, list[DesignKey]] = {}
    for key in design_keys(_shapes(data)):
        by_table.setdefault(key.table, []).append(key)
    found = []
    for place, keys in by_table.items():
        name = place.strip("[]")
        if place.startswith("[["):
            rows = [row for row in data.get(name, []) if isinstance(row, dict)][:MOST_ROWS]
            for n, row in enumerate([*rows, {}][:MOST_ROWS]):
                found.append(_section(name, n + 1, n < len(rows), keys, row, system))
        else:
            inside = _inside(data, name)
            found.append(_section(name, 0, inside is not None, keys, inside or {}, system))
    return found


def rewritten(text: str, typed: Mapping[str, str]) -> str:
    """The design's text with the typed lines in it; an emptied line goes, and so does an emptied row.

    typed: field -> what was typed; "has.TABLE" -> "yes" keeps a table without lines. BadInput for no TOML.
    """
    import tomli_w

    data = _data(text)
    shapes = _shapes(data)
    for section in sections(text):
        path = section.table.split(".") if section.table else []
        values = {line: typed[line.name].strip() for line in section.lines if line.name in typed}
        if section.number:
            _put_row(data, section, values)
            continue
        wanted = any(values.values()) or (typed.get(f"has.{section.table}") == "yes")
        if not path:
            _put(data, values)
        elif wanted:
            _put(_made(data, path), values)
        elif values and section.present:
            inside = _inside(data, section.table) or {}
            _put(inside, values)
            if not inside:
                _take_out(data, path)
    if _shapes(data) != shapes:
        _leave_out(data["outline"], _shapes(data))
    for name in {s.table for s in sections(text) if s.number} & data.keys():
        data[name] = [row for row in data[name] if row]
    return tomli_w.dumps(data)


def _shapes(data: Mapping[str, Any]) -> tuple[str, ...]:
    """The shape of the outline; every one while none is named."""
    outline = data.get("outline")
    shape = outline.get("shape") if isinstance(outline, dict) else None
    return (shape,) if shape in SHAPES else tuple(SHAPES)


def _leave_out(outline: dict[str, Any], shapes: tuple[str, ...]) -> None:
    """Take measures away that the new shape does not have."""
    keys = [key for key in design_keys(shapes) if key.table == "[outline]"]
    known = {f"{key.key}_{end}" for key in keys for end in key.endings} | {key.key for key in keys}
    for name in outline.keys() - known:
        del outline[name]


def _put_row(data: dict[str, Any], section: FormSection, values: Mapping[FormLine, str]) -> None:
    rows = data.get(section.table, [])
    while any(values.values()) and len(rows) < section.number:
        rows.append({})
    if len(rows) >= section.number:
        _put(rows[section.number - 1], values)
        data[section.table] = rows


def _put(table: dict[str, Any], values: Mapping[FormLine, str]) -> None:
    for line, text in values.items():
        key = line.name.rpartition(".")[2]
        if text == line.value:
            continue
        if text:
            table[key] = _read(line.key.takes, text)
        else:
            table.pop(key, None)


def _read(takes: str, text: str) -> object:
    """What the typed text is in the file; a text that is none of it stays a text, and the reader tells."""
    try:
        if takes.startswith("list of pairs"):
            return [[_number(x) for x in pair.split(",")] for pair in text.strip(" ;").split(";")]
        if takes.startswith(("list", "a point")):
            return [_number(x) for x in text.strip(" ,").split(",")]
        if takes == "text" or " | " in takes:
            return text
        return _number(text)
    except ValueError:
        return text


def _number(text: str) -> int | float:
    whole = text.strip()
    return int(whole) if whole.lstrip("+-").isdecimal() else float(whole)


def _write(value: object) -> str:
    if isinstance(value, list):
        pairs = any(isinstance(v, list) for v in value)
        return ("; " if pairs else ", ").join(_write(v) for v in value)
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _section(
    name: str, number: int, present: bool, keys: list[DesignKey], data: Mapping[str, Any], system: str
) -> FormSection:
    place = f"{name}.{number - 1}." if number else f"{name}." if name else ""
    lines = []
    for key in keys:
        own = next((f"{key.key}_{end}" for end in key.endings if f"{key.key}_{end}" in data), None)
        full = own or (key.key if key.key in data or not key.endings else f"{key.key}_{_ending(key, system)}")
        unit = full.removeprefix(key.key).strip("_") if key.endings else ""
        words = key.takes.split(" | ") if " | " in key.takes else []
        choices = tuple(words if key.default in words or not words else ["", *words])
        value = _write(data[full]) if full in data else ""
        lines.append(FormLine(place + full, key, unit, value, choices, key.default))
    return FormSection(name, number, present, tuple(lines))


def _ending(key: DesignKey, system: str) -> str:
    """The ending that a new line of the key gets: its own unit, or the first of the metric ones."""
    fit = [end for end in key.endings if _SYSTEM.get(end, _SYSTEM.get(end.rpartition("_")[2], US)) == system]
    unit = key.takes.rsplit(" ", 1)[-1]
    return unit if unit in fit else (fit or list(key.endings))[0]


def _data(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        raise BadInput("design", text[:20], f"{fault}: fix the text") from None


def _inside(data: dict[str, Any], name: str) -> dict[str, Any] | None:
    found: Any = data
    for part in name.split(".") if name else ():
        found = found.get(part) if isinstance(found, dict) else None
    return found if isinstance(found, dict) else None


def _made(data: dict[str, Any], path: list[str]) -> dict[str, Any]:
    for part in path:
        inside = data.setdefault(part, {})
        data = inside if isinstance(inside, dict) else data
    return data


def _take_out(data: dict[str, Any], path: list[str]) -> None:
    for part in path[:-1]:
        data = data[part]
    data.pop(path[-1], None)


def starter(shape: str, length_ft: float, width_ft: float, deep_in: float, shelves: int, name: str) -> str:
    """The text of a design: `shelves` shelves between rim and floor, walls of equal height.

    length_ft, width_ft: of the outline at the rim [ft]; deep_in: rim to floor [in]. Raises BadInput.

    >>> starter("ellipse", 16, 11, 24, 2, "Fern").splitlines()[8]
    'down_in = 8'
    """
    if shape not in PLAIN_SHAPES:
        raise BadInput("shape", shape, f"use one of: {', '.join(PLAIN_SHAPES)}")
    if not 0 <= shelves <= 5:
        raise BadInput("shelves", shelves, "choose 0 to 5")
    for field, value, low, high in (
        ("length", length_ft, 3.0, 200.0),
        ("width", width_ft, 3.0, 200.0),
        ("depth", deep_in, 6.0, 120.0),
    ):
        if not low <= value <= high:
            raise BadInput(field, f"{value:g}", f"choose {low:g} to {high:g}")
    title = "".join(c for c in name if c.isprintable() and c not in '"\\\\')[:60]
    lines = [f'name = "{title}"', 'units = "us"', "", "[outline]", f'shape = "{shape}"']
    lines += [f"length_ft = {length_ft:g}", f"width_ft = {width_ft:g}"]
    down = deep_in / (shelves + 1)
    for _ in range(shelves):
        lines += ["[[step]]", f"down_in = {down:g}", f"ledge_in = {SHELF_IN:g}"]
    lines += ["[[step]]", f"down_in = {down:g}"]
    return "\n".join(lines) + "\n"
