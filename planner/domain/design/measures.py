"""A table of a design file, read key by key: typed, in its units, every fault kept.

In: a mapping from TOML. Out: values in the program's own units. A measure carries its unit at the end of its
key (`length_ft`, `length_m`); a key of the other system than the file's `units` is a fault, and so are a key
that nobody asked for, a missing one, a wrong type and an absurd size. Faults are collected, not raised.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.units import KG_PER_LB, L_PER_GAL, M3_PER_CY, M_PER_FT, METRIC, TONNE_PER_TON, US

_LB_FT3 = KG_PER_LB / M_PER_FT**3

#: kind of measure (named for the unit it is returned in) -> key ending -> (system, factor into that unit)
KINDS: dict[str, dict[str, tuple[str, float]]] = {
    "ft": {
        "ft": (US, 1.0),
        "in": (US, 1.0 / 12.0),
        "m": (METRIC, 1.0 / M_PER_FT),
        "cm": (METRIC, 0.01 / M_PER_FT),
        "mm": (METRIC, 0.001 / M_PER_FT),
    },
    "gpm": {
        "gpm": (US, 1.0),
        "gph": (US, 1.0 / 60.0),
        "l_min": (METRIC, 1.0 / L_PER_GAL),
        "l_h": (METRIC, 1.0 / L_PER_GAL / 60.0),
    },
    "gal": {"gal": (US, 1.0), "l": (METRIC, 1.0 / L_PER_GAL)},
    "cy": {"cy": (US, 1.0), "m3": (METRIC, 1.0 / M3_PER_CY)},
    "lb_ft3": {"lb_ft3": (US, 1.0), "kg_m3": (METRIC, 1.0 / _LB_FT3)},
    "lb_cy": {"lb_cy": (US, 1.0), "kg_m3": (METRIC, M3_PER_CY / KG_PER_LB)},
    "lb_ft2": {"lb_ft2": (US, 1.0), "kg_m2": (METRIC, M_PER_FT**2 / KG_PER_LB)},
    "gph_in": {"gph_per_in": (US, 1.0), "l_h_per_cm": (METRIC, 2.54 / L_PER_GAL)},
    "ft2": {"ft2": (US, 1.0), "m2": (METRIC, 1.0 / M_PER_FT**2)},
    "lb": {"lb": (US, 1.0), "kg": (METRIC, 1.0 / KG_PER_LB)},
    "in_h": {"in_h": (US, 1.0), "mm_h": (METRIC, 1.0 / 25.4)},
    "ton": {"ton": (US, 1.0), "t": (METRIC, 1.0 / TONNE_PER_TON)},
}
KINDS["in"] = {end: (system, 12.0 * factor) for end, (system, factor) in KINDS["ft"].items()}


class Table:
    """One table of the file. `place` names it in messages; `faults` is shared by all tables of a file."""

    def __init__(self, data: Mapping[str, object], place: str, units: str, faults: list[BadInput]) -> None:
        """`data` is what TOML gave; nothing is read yet."""
        self.data, self.place, self.units, self.faults = data, place, units, faults
        self.asked: set[str] = set()

    def fault(self, key: str, value: object, fix: str) -> None:
        """Keep a fault of `key`, which may be anything that TOML allows."""
        shown = "".join(c if c.isprintable() else "?" for c in key)[:60]
        self.faults.append(BadInput(shown, value, fix, where=self.place))

    def has(self, key: str) -> bool:
        """True when the table holds `key` itself."""
        return key in self.data

    def close(self) -> None:
        """Call last: every key that nobody asked for is a fault."""
        for key in self.data:
            if key not in self.asked:
                hint = did_you_mean(str(key), self.asked, f"known: {', '.join(sorted(self.asked))}")
                self.fault(str(key), "unknown", hint)

    def word(self, key: str, choices: Sequence[str], default: str | None = None) -> str:
        """One of `choices`; the first when missing and without default (a missing key is then a fault)."""
        value = self._get(key)
        if value is None:
            if default is None:
                self.fault(key, "missing", f"write one of: {', '.join(choices)}")
            return choices[0] if default is None else default
        if not isinstance(value, str) or value not in choices:
            self.fault(key, value, f"write one of: {', '.join(choices)}")
            return choices[0] if default is None else default
        return value

    def text(self, key: str, default: str) -> str:
        """A line of text up to 200 characters."""
        value = self._get(key)
        if value is None:
            return default
        if not isinstance(value, str) or len(value) > 200 or not value.isprintable() or not value.strip():
            self.fault(key, value, "write one line of text, up to 200 characters, in quotes")
            return default
        return value

    def number(self, key: str, default: float, least: float, most: float) -> float:
        """A plain number without a unit."""
        value = self._get(key)
        if value is None:
            return default
        sane = self._sane(key, value, least, most, 1.0)
        return default if sane is None else sane

    def whole(self, key: str, default: int, least: int, most: int) -> int:
        """A whole number."""
        value = self._get(key)
        if value is None:
            return default
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            self.fault(key, value, f"write a whole number from {least} to {most}")
            return default
        return value

    def measure(
        self, key: str, kind: str, least: float, most: float, default: float | None = None
    ) -> float | None:
        """A measure in the unit of `kind`, None when it is missing and has no default."""
        found = self._ending(key, kind)
        if found is None:
            return default
        full, factor = found
        sane = self._sane(full, self.data[full], least, most, factor)
        return default if sane is None else sane

    def need(self, key: str, kind: str, least: float, most: float) -> float:
        """A measure that must be there; its least value stands in after a fault."""
        found = self.measure(key, kind, least, most)
        if found is None:
            if not any(fault.field.startswith(key) for fault in self.faults if fault.where == self.place):
                self.fault(f"{key}_{self._own_ending(kind)}", "missing", "measure it and write it down")
            return least
        return found

    def have(self, key: str, kind: str, least: float, most: float, default: float) -> float:
        """A measure with a default."""
        found = self.measure(key, kind, least, most, default)
        return default if found is None else found

    def row(self, key: str, kind: str, least: float, most: float) -> tuple[float, ...]:
        """A list of measures; empty when missing."""
        found = self._ending(key, kind)
        if found is None:
            return ()
        full, factor = found
        values = self.data[full]
        if not isinstance(values, list) or not values or len(values) > 400:
            self.fault(full, values, "write a list of numbers, like [8, 6.5, 7]")
            return ()
        sane = [self._sane(full, value, least, most, factor) for value in values]
        return tuple(value for value in sane if value is not None)

    def pairs(
        self, key: str, kind: str, kind_two: str = "", least: float = -1e5
    ) -> tuple[tuple[float, float], ...]:
        """A list of pairs of measures, like points; `kind_two` when the second number has another unit.

        least: that either may be, in the unit of its kind.
        """
        endings = {
            f"{one}_{two}" if two else one: (one, two)
            for one in KINDS[kind]
            for two in (KINDS[kind_two] if kind_two else [""])
        }
        full = self._only(key, {end: KINDS[kind][one][0] for end, (one, _) in endings.items()})
        if full is None:
            return ()
        one, two = endings[full.removeprefix(f"{key}_")]
        factors = (KINDS[kind][one][1], KINDS[kind_two][two][1] if two else KINDS[kind][one][1])
        values = self.data[full]
        if not isinstance(values, list) or len(values) > 400:
            self.fault(full, values, "write a list of pairs, like [[0, 0], [12, 3]]")
            return ()
        return tuple(self._pairs(full, values, factors, least))

    def numbers(self, key: str) -> tuple[int, ...]:
        """A list of whole numbers from 1; empty when missing."""
        values = self._get(key)
        if values is None:
            return ()
        if not isinstance(values, list) or not all(type(v) is int and v >= 1 for v in values):
            self.fault(key, values, "write a list of point numbers, like [3, 4]")
            return ()
        return tuple(values)

    def point(self, key: str) -> tuple[float, float] | None:
        """One point on the plan [ft], None when missing."""
        found = self._ending(key, "ft")
        if found is None:
            return None
        full, factor = found
        points = list(self._pairs(full, [self.data[full]], (factor, factor)))
        return points[0] if points else None

    def table(self, key: str) -> Table | None:
        """A table inside, None when missing."""
        value = self._get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.fault(key, value, f"write it as a table: [{key}] and its keys below")
            return None
        return Table(value, f"[{key}]", self.units, self.faults)

    def part(self, key: str) -> Table:
        """A table inside; an empty one when the file leaves it out, so that its defaults are read."""
        return self.table(key) or Table({}, f"[{key}]", self.units, self.faults)

    def tables(self, key: str) -> list[Table]:
        """A list of tables, `[[key]]`; empty when missing."""
        value = self._get(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value) or len(value) > 30:
            self.fault(key, value, f"write each as [[{key}]] and its keys below")
            return []
        return [Table(v, f"[[{key}]] {n}", self.units, self.faults) for n, v in enumerate(value, start=1)]

    def _get(self, key: str) -> object:
        self.asked.add(key)
        return self.data.get(key)

    def _own_ending(self, kind: str) -> str:
        if self.units == METRIC and kind == "in":
            return "cm"
        if self.units == US and kind in KINDS[kind]:
            return kind
        return next(end for end, (system, _) in KINDS[kind].items() if system == self.units)

    def _ending(self, key: str, kind: str) -> tuple[str, float] | None:
        full = self._only(key, {end: system for end, (system, _) in KINDS[kind].items()})
        return None if full is None else (full, KINDS[kind][full.removeprefix(f"{key}_")][1])

    def _only(self, key: str, endings: Mapping[str, str]) -> str | None:
        """The one key with an ending of the file's system; a fault and None when it is mixed or doubled."""
        own = [f"{key}_{end}" for end, system in endings.items() if system == self.units]
        self.asked.update(f"{key}_{end}" for end in endings)
        there = [f"{key}_{end}" for end in endings if f"{key}_{end}" in self.data]
        foreign = [name for name in there if name not in own]
        if foreign:
            fix = f'units mixed: the file says units = "{self.units}", so write {" or ".join(own[:3])}'
            self.fault(foreign[0], self.data[foreign[0]], fix)
            return None
        if len(there) > 1:
            self.fault(there[1], self.data[there[1]], f"{there[0]} says it already: keep one of them")
            return None
        if key in self.data and key not in self.asked:
            self.asked.add(key)
            self.fault(key, self.data[key], f"say the unit in the key: {' or '.join(own[:3])}")
            return None
        return there[0] if there else None

    def _pairs(
        self, key: str, values: Sequence[object], factors: tuple[float, float], least: float = -1e5
    ) -> Iterator[tuple[float, float]]:
        for value in values:
            if not isinstance(value, list) or len(value) != 2:
                self.fault(key, value, "write two numbers in brackets, like [12, 3.5]")
                return
            one, two = (self._sane(key, v, least, 1e5, f) for v, f in zip(value, factors, strict=True))
            if one is None or two is None:
                return
            yield one, two

    def _sane(self, key: str, value: object, least: float, most: float, factor: float) -> float | None:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            self.fault(key, value, "write a number")
            return None
        if not least - 1e-9 <= value * factor <= most + 1e-9:
            self.fault(key, value, f"write a number from {least / factor:.4g} to {most / factor:.4g}")
            return None
        return value * factor
