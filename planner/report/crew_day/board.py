"""The week's board as a page: terminal, CSV, JSON. (The HTML page is in report.pages.)"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from datetime import date, datetime
from itertools import groupby
from typing import TYPE_CHECKING, Any

from planner.domain.crew_day.board import Board, Cell, Promise, Risk, Row
from planner.domain.crew_day.pauses import Gap
from planner.domain.dates import day_words, long_span
from planner.domain.standing.stints import Stint
from planner.domain.standing.trade_gates import Appointment
from planner.report.cells import table_csv
from planner.report.crew_day.locates import locates_block, locates_data
from planner.report.crew_day.misses import miss_data, print_misses
from planner.report.crew_day.weather import days_data, week_lines
from planner.report.terminal import say
from planner.report.wording import (
    RISK_SIGN,
    hours,
    hours_words,
    one_line,
    phase_words,
    plan_words,
    spare_words,
)

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from planner.domain.firm.actuals import Log

#: Below this width [columns] the board becomes a list, crew by crew.
LIST_BELOW = 72
#: Columns of the CSV between week and plan, as in the JSON.
STINT_COLUMNS = (
    *("day", "crew", "lead", "job", "client", "phase", "part"),
    *("start", "end", "crew_h", "planned_crew_h", "machines", "promise", "hindrance"),
)
NO_BREAK = "\u00a0"
#: From this width [columns] the cells have air on both sides.
ROOMY_FROM = 96
_STYLE = {
    Risk.LATE: "bold red",
    Risk.TIGHT: "yellow",
    Risk.SAFE: "",
    Risk.UNPLANNED: "magenta",
    Risk.HINDERED: "bold red",
}
LEGEND = (
    "! promise late   ~ promise tight   ? promised, not in the plan   # hindered   "
    "+ helps another crew   * pinned"
)


def print_board(board: Board, console: Console) -> None:
    """The board on a terminal: a grid, or a list where the terminal is narrow."""
    say(
        console,
        f"{week_words(board)}  ({plan_words(board.plan_number, board.published, board.moved)})",
        style="bold",
    )
    print_misses(console, board.missed)
    for line in board.parted:
        say(console, f"Take care: {line}", hang=2, style="bold")
    if not board.rows:
        say(console, "No crews yet.")
    elif console.width < LIST_BELOW:
        _print_list(board, console)
    else:
        _print_grid(board, console)
    for line in gap_lines(board):
        say(console, line, hang=4)
    _print_promises(board, console)
    for line in week_lines(board.weather, board.units):
        say(console, line, hang=4)
    if board.visiting:
        say(console, "From outside:", style="bold")
    for one in board.visiting:
        say(console, f"  {one_line(one.words)}", hang=4, style="bold" if one.misfit else "")
    locates_block(console, board.locates, most=len(board.locates))


def gap_lines(board: Board) -> list[str]:
    """Why days begin late and what lies between their work, meal breaks left out, by day and crew."""
    found = [
        f"  {day_words(cell.day)} {one_line(row.crew)} {one_line(gap.words)}"
        for n, _ in enumerate(board.days)
        for row in board.rows
        for cell in row.cells[n : n + 1]
        for gap in cell.gaps
        if not gap.mere_break
    ]
    return ["Hours that are no work:", *found] if found else []


def _print_grid(board: Board, console: Console) -> None:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    pad = 1 if console.width >= ROOMY_FROM else 0
    crew_width = min(max(len(one_line(r.crew)) for r in board.rows), 10)
    taken = crew_width + 2 * pad + 2 + len(board.days) * (2 * pad + 1)
    day_width = (console.width - taken) // len(board.days)
    table = Table(box=box.SQUARE, show_lines=True, padding=(0, pad))
    table.add_column("crew", width=crew_width, overflow="fold")
    for day in board.days:
        table.add_column(Text(day_words(day)), width=day_width, overflow="fold")
    for row in board.rows:
        name = Text(crew_words(row), style="bold", overflow="fold")
        cells = [_cell_text(board, cell, row.crew, day_width) for cell in row.cells]
        table.add_row(name, *cells)
    console.print(table)


def _cell_text(board: Board, cell: Cell, crew: str, width: int) -> Text:
    from rich.text import Text

    if not cell.stints and not cell.worked:
        idle = cell.why or cell.short
        return Text(f"({one_line(idle)})" if idle else "-", style="dim", overflow="fold")
    head = [*(textwrap.wrap(f"({cell.short})", width) if cell.short else ()), *_worked_lines(cell, width)]
    found = Text("\n".join(head), overflow="fold")
    for job, group in groupby(cell.stints, key=lambda s: s.key.job):
        lines = job_lines(board, job, list(group), crew, width)
        text = "\n".join(lines) if not found else "\n" + "\n".join(lines)
        found.append(text, style=_STYLE[board.risk.get(job, Risk.SAFE)])
    return found


def worked_words(entry: Log) -> str:
    """ "P-014 dig 5 h worked"."""
    return f"{one_line(entry.job)} {entry.phase.words} {hours(entry.crew_h)} worked"


def worked_data(entry: Log) -> dict[str, Any]:
    """What a crew worked on a phase on a day, for `--json`."""
    return {
        "day": entry.day.isoformat(),
        "crew": entry.crew,
        "job": entry.job,
        "phase": entry.phase.value,
        "crew_h": entry.crew_h,
        "done": entry.done,
    }


def _worked_lines(cell: Cell, width: int) -> list[str]:
    return [line for e in cell.worked for line in textwrap.wrap(worked_words(e), width)]


def job_lines(board: Board, job: str, stints: Sequence[Stint], crew: str, width: int) -> list[str]:
    """One job's lines in a cell: code, phase and hours on one line where they fit, else code by itself."""
    head = _sign(board, stints[0], crew) + one_line(job)
    timed = [f"{phase_words(s)} {hours_words(s).replace(' ', NO_BREAK)}" for s in stints]
    alone = len(stints) == 1 and len(f"{head} {timed[0]}") <= width
    lines = [f"{head} {timed[0]}"] if alone else textwrap.wrap(head, width)
    for stint, text in zip(stints, timed, strict=True):
        below = [] if alone else [text]
        trips: list[str] = []
        for trip in stint.trips:
            trips += [one_line(trip.words), *([f"behind the {one_line(trip.truck)}"] if trip.truck else [])]
        for part in (*below, *([f"# {one_line(stint.hindrance)}"] if stint.hindrance else []), *trips):
            lines += textwrap.wrap(part, width, initial_indent=" ", subsequent_indent=" ")
    return [line.replace(NO_BREAK, " ") for line in lines]


def crew_words(row: Row) -> str:
    """The crew's name, and that it is off the records."""
    return f"{one_line(row.crew)} (no crew)" if row.gone else one_line(row.crew)


def _risk(board: Board, stint: Stint) -> Risk:
    return board.risk.get(stint.key.job, Risk.SAFE)


def _sign(board: Board, stint: Stint, crew: str) -> str:
    helps = "+" if crew != stint.booking.lead else ""
    hurt = Risk.HINDERED if stint.hindrance else _risk(board, stint)
    return RISK_SIGN[hurt] + helps + ("*" if stint.booking.pinned else "")


def _print_list(board: Board, console: Console) -> None:
    for row in board.rows:
        say(console, crew_words(row), style="bold")
        for cell in row.cells:
            what = ", ".join(
                f"{_sign(board, s, row.crew)}{one_line(s.key.job)} {phase_words(s)} {hours_words(s)}"
                + (f" ({one_line(s.hindrance)})" if s.hindrance else "")
                + "".join(f", {one_line(t.towed or t.words)}" for t in s.trips)
                for s in cell.stints
            )
            what = ", ".join([*map(worked_words, cell.worked), *([what] if what else [])])
            what += f" ({cell.short})" if cell.short else ""
            say(console, f"  {day_words(cell.day)}: {what or one_line(cell.why) or '-'}", hang=4)


def _print_promises(board: Board, console: Console) -> None:
    say(console, LEGEND, style="dim")
    if not board.promises:
        say(console, "Promised dates: none at risk.")
        return
    say(console, "Promised dates at risk:", style="bold")
    for promise in board.promises:
        say(console, f"  {promise_words(promise)}", hang=4, style=_STYLE[promise.risk])


def week_words(board: Board) -> str:
    """ "Week of Mon Apr 5 to Fri Apr 9, 2027"."""
    return f"Week of {long_span(board.days[0], board.days[-1])}"


def promise_words(promise: Promise) -> str:
    """ "! P-014 Fern Hollow: promised Fri Apr 9, planned Tue Apr 13, 2 working days late"."""
    sign = RISK_SIGN[promise.risk]
    head = (
        f"{sign} {one_line(promise.job)} {one_line(promise.client)}: promised {day_words(promise.promised)}"
    )
    if promise.finish is None:
        return f"{head}, not in the plan"
    return f"{head}, planned {day_words(promise.finish)}, {room_words(promise)}"


def room_words(promise: Promise) -> str:
    """Its days to spare, and what keeps the work from going as planned."""
    hurt = f", hindered: {one_line(promise.hindrance)}" if promise.hindrance else ""
    rain = f", rain may take {promise.rain_days:.1f} of its days" if promise.rain_days >= 0.5 else ""
    return spare_words(promise.spare_days) + rain + hurt


def board_csv(board: Board) -> str:
    """One row a crew, day and stint."""
    return table_csv(
        ["week", *STINT_COLUMNS, "plan"], (_csv_row(board, e) for e in board_data(board)["stints"])
    )


def _csv_row(board: Board, entry: dict[str, Any]) -> list[object]:
    days = {"day": date.fromisoformat(entry["day"])}
    moments = {name: datetime.fromisoformat(entry[name]) for name in ("start", "end")}
    cells = {**entry, **days, **moments, "machines": "; ".join(entry["machines"])}
    return [board.monday, *(cells[name] for name in STINT_COLUMNS), board.plan_number]


def board_data(board: Board) -> dict[str, Any]:
    """The board for `--json`."""
    return {
        "week": board.week,
        "plan": board.plan_number,
        "published": board.published,
        "missed_open": [miss_data(m) for m in board.missed],
        "stale": [m.words for m in board.moved],
        "parted": list(board.parted),
        "days": [d.isoformat() for d in board.days],
        "stints": [
            _stint_data(board, cell.lead, stint)
            for row in board.rows
            for cell in row.cells
            for stint in cell.stints
        ],
        "worked": [worked_data(e) for row in board.rows for cell in row.cells for e in cell.worked],
        "off": [
            {"crew": row.crew, "day": cell.day.isoformat(), "why": cell.why}
            for row in board.rows
            for cell in row.cells
            if not cell.stints and not cell.worked
        ],
        "short_days": [
            {"crew": row.crew, "day": cell.day.isoformat(), "why": cell.short}
            for row in board.rows
            for cell in row.cells
            if cell.short
        ],
        "gaps": [
            gap_data(row.crew, cell.day, gap) for row in board.rows for cell in row.cells for gap in cell.gaps
        ],
        "promises": [
            {
                "job": p.job,
                "client": p.client,
                "promised": p.promised.isoformat(),
                "planned": p.finish.isoformat() if p.finish else None,
                "spare_working_days": p.spare_days if p.finish else None,
                "risk": p.risk.value,
                "hindrance": p.hindrance,
                "rain_days": round(p.rain_days, 2),
            }
            for p in board.promises
        ],
        "locates": locates_data(board.locates),
        "weather": days_data(board.weather),
        "from_outside": [appointment_data(one) for one in board.visiting],
    }


def gap_data(crew: str, day: date, gap: Gap) -> dict[str, Any]:
    """Hours that are no work, for `--json`; the work that they lead to is null after the last of a day."""
    key = gap.stint.key if gap.stint else None
    return {
        "crew": crew,
        "day": day.isoformat(),
        "job": key.job if key else None,
        "phase": key.phase.value if key else None,
        "part": key.part if key else None,
        "words": gap.words,
    }


def appointment_data(one: Appointment) -> dict[str, Any]:
    """Somebody from outside on his day, for `--json`."""
    return {
        "job": one.job,
        "who": one.kind.value,
        "day": one.day.isoformat(),
        "day_part": one.day_part.value,
        "phase": one.phase.value,
        "planned": one.works.isoformat() if one.works else None,
        "met": one.met,
        "misfit": one.misfit,
    }


def _stint_data(board: Board, lead: str, stint: Stint) -> dict[str, Any]:
    return {
        "day": stint.day.isoformat(),
        "crew": stint.crew,
        "lead": lead,
        "job": stint.key.job,
        "client": board.clients.get(stint.key.job, ""),
        "phase": stint.key.phase.value,
        "part": stint.key.part,
        "start": stint.start.isoformat(timespec="minutes"),
        "end": stint.end.isoformat(timespec="minutes"),
        "crew_h": round(stint.crew_h, 2),
        "planned_crew_h": round(stint.planned_crew_h, 2),
        "machines": [trip.words for trip in stint.trips],
        "towed": [trip.towed for trip in stint.trips if trip.truck],
        "promise": _risk(board, stint).value,
        "hindrance": stint.hindrance,
    }
