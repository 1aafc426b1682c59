"""Every key that the design file may hold, learned by letting the readers read a file that holds nothing.

In: nothing. Out: `DesignKey`s in the order of reading, with unit, bounds and default, for the guide. A key
that no reader asks for cannot appear here, and none that is asked for can be left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.domain.design.hydraulics import FITTINGS
from planner.domain.design.measures import KINDS, Table
from planner.domain.design.read import SHAPES, design_in
from planner.errors import BadInput
from planner.units import US


@dataclass(frozen=True, slots=True)
class DesignKey:
    """One key: its table ("" at the top), its name without a unit, the endings it may carry, its values."""

    table: str
    key: str
    endings: tuple[str, ...]
    takes: str
    default: str


class _Listening(Table):
    """An empty table that remembers what it is asked for. `heard` is shared by all tables of a probe."""

    heard: dict[tuple[str, str], DesignKey]
    shape: str

    def __init__(self, data: Mapping[str, object], place: str, units: str, faults: list[BadInput]) -> None:
        super().__init__(data, place, units, faults)
        self.heard, self.shape = {}, ""

    def _hear(self, key: str, takes: str, default: str = "", endings: Sequence[str] = ()) -> None:
        made = DesignKey(self.place, key, tuple(endings), takes, default)
        self.heard.setdefault((self.place, key), made)

    def word(self, key: str, choices: Sequence[str], default: str | None = None) -> str:
        self._hear(key, " | ".join(c for c in choices if c), default or "")
        return self.shape if key == "shape" else super().word(key, choices, default)

    def text(self, key: str, default: str) -> str:
        self._hear(key, "text", default)
        return super().text(key, default)

    def number(self, key: str, default: float, least: float, most: float) -> float:
        self._hear(key, f"number, {least:g} to {most:g}", f"{default:g}")
        return super().number(key, default, least, most)

    def whole(self, key: str, default: int, least: int, most: int) -> int:
        self._hear(key, f"whole number, {least} to {most}", str(default))
        return super().whole(key, default, least, most)

    def measure(
        self, key: str, kind: str, least: float, most: float, default: float | None = None
    ) -> float | None:
        unit = kind.replace("gph_in", "gph_per_in")
        shown = "" if default is None else f"{default:g} {unit}"
        self._hear(key, f"{least:g} to {most:g} {unit}", shown, tuple(KINDS[kind]))
        return super().measure(key, kind, least, most, default)

    def row(self, key: str, kind: str, least: float, most: float) -> tuple[float, ...]:
        self._hear(key, f"list, each {least:g} to {most:g} {kind}", "", tuple(KINDS[kind]))
        return super().row(key, kind, least, most)

    def pairs(
        self, key: str, kind: str, kind_two: str = "", least: float = -1e5
    ) -> tuple[tuple[float, float], ...]:
        ends = [f"{a}_{b}" if b else a for a in KINDS[kind] for b in (KINDS[kind_two] if kind_two else [""])]
        self._hear(key, "list of pairs", "", ends)
        return super().pairs(key, kind, kind_two, least)

    def numbers(self, key: str) -> tuple[int, ...]:
        self._hear(key, "list of whole numbers")
        return super().numbers(key)

    def point(self, key: str) -> tuple[float, float] | None:
        self._hear(key, "a point, [x, y]", "", tuple(KINDS["ft"]))
        return super().point(key)

    def table(self, key: str) -> _Listening:
        own = self.place.strip("[]")
        inside = _Listening({}, f"[{own}.{key}]" if own else f"[{key}]", self.units, self.faults)
        inside.heard, inside.shape = self.heard, self.shape
        if key == "fittings":
            inside.data = dict.fromkeys(FITTINGS, 0)
        return inside

    def tables(self, key: str) -> list[Table]:
        inside = self.table(key)
        inside.place = f"[[{key}]]"
        return [inside]


def design_keys(shapes: Sequence[str] = SHAPES) -> list[DesignKey]:
    """Every key, once, table by table. Prices are keys of the materials list: `design.PRICED`.

    shapes: of the outlines whose keys are wanted.
    """
    heard: dict[tuple[str, str], DesignKey] = {}
    for shape in shapes:
        probe = _Listening({}, "", US, [])
        probe.heard, probe.shape = heard, shape
        design_in(probe)
    order = list(dict.fromkeys(table for table, _ in heard))
    return sorted(heard.values(), key=lambda found: order.index(found.table))
