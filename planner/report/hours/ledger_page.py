"""Labour as an owner looks at it, as one HTML file: the tables, and three pictures drawn as SVG."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import log
from typing import TYPE_CHECKING

from planner.report.hours.ledger import basis_lines, besides_words, parts_of, together, wrong_words
from planner.report.pages import page

if TYPE_CHECKING:
    from planner.domain.hours.ledger import Ledger
    from planner.domain.hours.pictures import Held, Pictures, Ratio

#: Of a picture: place of its names, of its left and right end, height of a row [SVG user units].
NAMES, LEFT, RIGHT, ROW, HEAD = 8.0, 130.0, 520.0, 22.0, 26.0
#: Ratios at the ends of the picture, and its ticks.
LEAST, MOST, TICKS = 0.5, 2.0, (0.5, 0.7, 1.0, 1.4, 2.0)


@dataclass(frozen=True, slots=True)
class Mark:
    """One row: where its words stand, its band from x to wide, its middle, and what it says."""

    label: str
    y: float
    x: float
    wide: float
    middle_x: float
    words: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """One picture. ticks: (x, words); mark_x: the line that everything is held against."""

    title: str
    note: str
    rows: tuple[Mark, ...]
    ticks: tuple[tuple[float, str], ...]
    mark_x: float
    dots: tuple[tuple[float, float], ...] = ()

    @property
    def foot(self) -> float:
        """Height of the picture [SVG user units]."""
        return HEAD + len(self.rows) * ROW + 8


def ledger_html(found: Ledger, seen: Pictures, today: date) -> str:
    """One HTML file with the ledger and its pictures."""
    return page(
        "hours.html",
        style="hours.css",
        today=today,
        wrong=[wrong_words(job) for job in found.wrong()],
        tables=parts_of(found),
        besides=besides_words(together(j.worked for j in found.jobs), together(j.left for j in found.jobs)),
        basis=basis_lines(found),
        pictures=drawn(seen),
        right=RIGHT,
    )


def drawn(seen: Pictures) -> list[Drawn]:
    """The three pictures as places; none without finished phases."""
    if not seen.points:
        return []
    return [
        _of_ratios("Worked over told, by phase", "dot: middle; bar: 95 %; line: as told", seen.told_worked),
        _of_ratios("Drift: worked over told, by month", "by the phase's last day", seen.drift),
        _of_shares(seen.coverage),
    ]


def _at(ratio: float) -> float:
    """Place of a ratio, on a scale of logarithms."""
    share = log(min(MOST, max(LEAST, ratio)) / LEAST) / log(MOST / LEAST)
    return LEFT + share * (RIGHT - LEFT)


def _of_ratios(title: str, note: str, rows: Sequence[Ratio]) -> Drawn:
    marks = tuple(
        Mark(
            r.label,
            HEAD + n * ROW,
            _at(r.low),
            _at(r.high) - _at(r.low),
            _at(r.middle),
            f"{r.middle:.2f} ({r.low:.2f} to {r.high:.2f}), {r.count} phases",
        )
        for n, r in enumerate(rows)
    )
    return Drawn(title, note, marks, tuple((_at(t), f"{t:g}") for t in TICKS), _at(1.0))


def _of_shares(rows: Sequence[Held]) -> Drawn:
    def at(share: float) -> float:
        return LEFT + share * (RIGHT - LEFT)

    marks = tuple(
        Mark(
            h.label,
            HEAD + n * ROW,
            at(h.low),
            at(h.high) - at(h.low),
            at(h.share),
            f"{h.held} of {h.count} ({h.low:.0%} to {h.high:.0%})",
        )
        for n, h in enumerate(rows)
    )
    ticks = tuple((at(t / 100), f"{t} %") for t in (0, 20, 40, 60, 80, 100))
    note = "dot: share of phases within their told P80; bar: the long run, 95 %; line: 80 %"
    return Drawn("Coverage", note, marks, ticks, at(0.8))
