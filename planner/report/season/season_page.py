"""The season as a picture: one self-contained HTML file with an SVG of jobs by crew and load by week.

A state is a shape and a word before it is a color: bars are crews' work, a diamond is the promise, a ring
the finish that was told, hatching and the word "late" a missed promise.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Protocol

from planner.domain.standing.view import Bar, SeasonView, WeekLoad
from planner.report.crew_day.locates import locate_lines
from planner.report.pages import page
from planner.report.season.season import held_words
from planner.report.wording import one_line, spare_words

LEFT, RIGHT, ROW, HEAD, CREW_ROW = 168.0, 70.0, 20.0, 34.0, 24.0
LOAD_HIGH, WEEK_WIDE = 90.0, 28.0
#: Rows of jobs in one panel, which paper never breaks: on a landscape page its words stand in 8 pt.
ROWS_A_PANEL = 22
#: Longest name beside a bar [characters].
LABEL = 24


class At(Protocol):
    """Where a day begins (or, with `end`, ends) on the picture."""

    def __call__(self, day: date, *, end: bool = False) -> float:
        """The place [SVG user units]."""


@dataclass(frozen=True, slots=True)
class DrawnBar:
    """One job's row. x, wide: the bar; promise_x, told_x: marks, None without; after_x: where words begin.

    kind: done, begun or planned.
    """

    bar: Bar
    label: str
    y: float
    x: float
    wide: float
    promise_x: float | None
    told_x: float | None
    after_x: float
    words: str
    kind: str


@dataclass(frozen=True, slots=True)
class DrawnWeek:
    """One week's column of load. high: booked hours; roof_y: the capacity's height above the foot."""

    week: WeekLoad
    x: float
    wide: float
    high: float
    roof: float
    label: str


@dataclass(frozen=True, slots=True)
class Panel:
    """Some crews' jobs: what one piece of paper shows whole."""

    crews: tuple[tuple[str, float], ...]
    bars: tuple[DrawnBar, ...]
    foot: float


@dataclass(frozen=True, slots=True)
class Picture:
    """Everything the template draws, in SVG user units. load_foot: of the load's own panel."""

    wide: float
    panels: tuple[Panel, ...]
    weeks: tuple[DrawnWeek, ...]
    months: tuple[tuple[str, float], ...]
    today_x: float | None
    load_foot: float = HEAD + 10 + LOAD_HIGH


def season_page(view: SeasonView) -> str:
    """One HTML file with the season."""
    return page("season/season.html", style="season/season.css", **season_body(view))


def season_body(
    view: SeasonView,
    *,
    zoom: int = 1,
    job_link: Callable[[str], str] = lambda _: "",
    chance: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """What `season_body.html` shows. zoom: times the width of a week; job_link: the address of a job's page,
    "" where there is none; chance: job -> how likely its promise is kept, in words, where that was played.
    """
    return {
        "view": view,
        "picture": picture(view, zoom),
        "zoom": zoom,
        "job_link": job_link,
        "chance": chance or {},
        "held_words": held_words,
        "locate_lines": locate_lines,
    }


def picture(view: SeasonView, zoom: int = 1) -> Picture:
    """Days and hours turned into places on the picture. zoom: times the usual width of a week."""
    first, week_wide = view.weeks[0].monday, WEEK_WIDE * zoom
    per_day = week_wide / 7

    def at(day: date, *, end: bool = False) -> float:
        return LEFT + ((day - first).days + (1 if end else 0)) * per_day

    right = LEFT + len(view.weeks) * week_wide
    rows = [(one_line(crew), bar) for crew in _crews(view) for bar in _row(view, crew)]
    panels = []
    for n in range(0, len(rows), ROWS_A_PANEL):
        y, crews, bars, before = HEAD, [], [], ""
        for crew, bar in rows[n : n + ROWS_A_PANEL]:
            if crew != before:
                crews.append((crew, y + CREW_ROW - 8))
                y, before = y + CREW_ROW, crew
            bars.append(_bar(bar, y, at, right, done=bar in view.finished))
            y += ROW
        panels.append(Panel(tuple(crews), tuple(bars), y + 6))
    return Picture(
        wide=right + RIGHT,
        panels=tuple(panels),
        weeks=_weeks(view, week_wide),
        months=_months(view, at),
        today_x=at(view.today) if first <= view.today <= view.weeks[-1].monday + timedelta(days=6) else None,
    )


def _crews(view: SeasonView) -> list[str]:
    """The crews in the firm's order, then those that only finished jobs know."""
    return list(dict.fromkeys([*view.crews, *(bar.crew for bar in view.finished)]))


def _row(view: SeasonView, crew: str) -> list[Bar]:
    shown = [bar for bar in view.finished if bar.crew == crew and bar.finish >= view.weeks[0].monday]
    return [*shown, *view.crews.get(crew, ())]


def _bar(bar: Bar, y: float, at: At, right: float, *, done: bool) -> DrawnBar:
    x, end = max(LEFT, at(bar.first)), at(bar.finish, end=True)
    promise = max(LEFT, min(at(bar.promised, end=True), right)) if bar.promised else None
    told = at(bar.told, end=True) if bar.told and bar.told != bar.finish else None
    marks = [m for m in (promise, told) if m is not None]
    words = spare_words(-bar.late_days) if bar.late_days else ""
    return DrawnBar(
        bar=bar,
        label=f"{one_line(bar.job)} {one_line(bar.client)}"[:LABEL],
        y=y,
        x=x,
        wide=max(3.0, end - x),
        promise_x=promise,
        told_x=told,
        after_x=max([end, *marks]) + 8,
        words=f"done, {words}" if done and words else "done" if done else words,
        kind="done" if done else "begun" if bar.begun else "planned",
    )


def _weeks(view: SeasonView, week_wide: float) -> tuple[DrawnWeek, ...]:
    most = max([1.0, *(max(w.capacity_h, w.booked_h) for w in view.weeks)])
    return tuple(
        DrawnWeek(
            week,
            LEFT + n * week_wide,
            week_wide,
            week.booked_h / most * LOAD_HIGH,
            week.capacity_h / most * LOAD_HIGH,
            f"{week.load * 100:.0f}" if week.booked_h else "",
        )
        for n, week in enumerate(view.weeks)
    )


def _months(view: SeasonView, at: At) -> tuple[tuple[str, float], ...]:
    last = view.weeks[-1].monday + timedelta(days=6)
    day, found = view.weeks[0].monday, []
    while day <= last:
        found.append((f"{day:%b}", at(day)))
        day = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
    if len(found) > 1 and found[1][1] - found[0][1] < WEEK_WIDE:
        found = found[1:]
    return tuple(found)
