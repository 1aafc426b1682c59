"""Labour as an owner looks at it, as a page: the tables, and three pictures drawn as SVG."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import log
from typing import TYPE_CHECKING, Any

from planner.report.design import svg
from planner.report.hours.budget import budget_lines, budget_parts
from planner.report.hours.ledger import basis_lines, besides_words, parts_of, together, wrong_words
from planner.report.pages import page

if TYPE_CHECKING:
    from markupsafe import Markup

    from planner.domain.hours.budget import Budget
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

    @property
    def foot(self) -> float:
        """Height of the picture [SVG user units]."""
        return HEAD + len(self.rows) * ROW + 8


def ledger_html(found: Ledger, seen: Pictures, today: date, owed: Budget) -> str:
    """One HTML file with the ledger and its pictures."""
    return page("hours.html", style="hours.css", today=today, **ledger_view(found, seen, owed))


def ledger_view(found: Ledger, seen: Pictures, owed: Budget) -> dict[str, Any]:
    """What a page of the ledger shows, whether it is a file or served."""
    return {
        "wrong": [wrong_words(job) for job in found.wrong()],
        "tables": parts_of(found),
        "dollars": budget_parts(owed) if owed.jobs else [],
        "basis_dollars": budget_lines(owed),
        "besides": besides_words(
            together(j.worked for j in found.jobs), together(j.left for j in found.jobs)
        ),
        "basis": basis_lines(found),
        "pictures": [(p.title, p.note, picture_svg(p)) for p in drawn(seen)],
    }


def picture_svg(p: Drawn) -> Markup:
    """One picture as SVG that needs no style sheet: shapes and figures, no color alone tells anything."""
    from markupsafe import Markup, escape

    size = f"0 0 {RIGHT + 220:g} {p.foot:g}"
    parts = [
        f'<svg viewBox="{size}" role="img" font-size="12" font-family="system-ui, sans-serif" '
        f'aria-label="{escape(p.title)}; the figures stand beside the bars">'
    ]
    for x, words in p.ticks:
        parts.append(svg.tag("line", x1=x, x2=x, y1=16, y2=p.foot, stroke="#c9d2cf"))
        parts.append(svg.text((x, 12.0), words, "tick", anchor="middle"))
    for m in p.rows:
        parts.append(svg.text((NAMES, m.y + 12), m.label, "name"))
        box = {"x": m.x, "y": m.y + 3, "width": max(1.0, m.wide), "height": 10.0}
        parts.append(svg.tag("rect", **box, fill="#4f8f85", stroke="#111", stroke_width=0.7))
    ends = {"x1": p.mark_x, "x2": p.mark_x, "y1": 16, "y2": p.foot}
    parts.append(svg.tag("line", **ends, stroke="#111", stroke_width=2, stroke_dasharray="5 4"))
    for m in p.rows:
        dot = {"cx": m.middle_x, "cy": m.y + 8, "r": 5}
        parts.append(svg.tag("circle", **dot, fill="#fff", stroke="#111", stroke_width=2))
        parts.append(svg.text((RIGHT + 14, m.y + 12), m.words, "figure"))
    return Markup("".join([*parts, "</svg>"]))  # every word in it went through `escape`


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
    note = "dot: share of phases within their safe hours; bar: the long run, 95 %; line: 80 %"
    return Drawn("Coverage", note, marks, ticks, at(0.8))
