"""The season's line on a terminal, as data, and as the numbers that the picture is drawn from.

On the terminal a week is one or two letters wide: # work, S start, W water in, V visit, P promised, ! late,
| today.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from rich.cells import cell_len

from planner.domain.dates import day_words
from planner.domain.firm.jobs import Job
from planner.domain.standing.view import Bar, SeasonView, WeekLoad
from planner.domain.wording import counted
from planner.report.cells import table_csv
from planner.report.crew_day.locates import locates_block, locates_data
from planner.report.terminal import say, show_table
from planner.report.wording import one_line, plan_words, spare_words

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.firm.records import Hold

LEGEND = "S start, # work, W water in, V visit, P promised, ! finished after the promise, | today"
_NAME_WIDTH = 12


def season_terminal(console: Console, view: SeasonView) -> None:
    """Jobs by crew on a line of weeks, then load by week."""
    name = plan_words(view.plan_number, view.published, view.moved)
    say(console, f"Season, {name}: {counted(len(view.bars), 'job')}. {LEGEND}.", style="bold")
    first, days = view.weeks[0].monday, len(view.weeks) * 7
    width = max(len(view.weeks), min(console.width - _NAME_WIDTH - 13, 3 * len(view.weeks)))
    scale = _Scale(first, days, width)
    say(console, "")
    _plain(console, " " * _NAME_WIDTH + _months(scale))
    for crew, bars in view.crews.items():
        _plain(console, f"{one_line(crew)[: _NAME_WIDTH + width]}", style="bold")
        for bar in bars:
            line = _bar_line(bar, scale, view.today)
            late = f" {spare_words(-bar.late_days)}" if bar.late_days else ""
            late += f" # {one_line(bar.hindrance)}" if bar.hindrance else ""
            row = f"{one_line(bar.job)[: _NAME_WIDTH - 1]:<{_NAME_WIDTH}}{line}"
            if cell_len(row + late) <= console.width:
                _plain(console, row + late)
            else:
                _plain(console, row)
                say(console, " " * _NAME_WIDTH + late.strip(), hang=_NAME_WIDTH)
    if view.held:
        _plain(console, "held for inquiries, not sold (H)", style="bold")
        for hold in view.held:
            _plain(
                console, f"{one_line(hold.job)[: _NAME_WIDTH - 1]:<{_NAME_WIDTH}}{_hold_line(hold, scale)}"
            )
            say(console, " " * _NAME_WIDTH + held_words(hold), hang=_NAME_WIDTH)
    for job in view.unplanned:
        say(console, f"? {unplanned_words(job)}", hang=2, style="bold")
    say(console, "")
    _loads(console, view.weeks)
    locates_block(console, view.locates)


def unplanned_words(job: Job) -> str:
    """ "P-20 Fern Hollow: promised Fri Apr 9, not in the plan"."""
    promise = f"promised {day_words(job.promised)}" if job.promised else "sold"
    return f"{one_line(job.code)} {one_line(job.client)}: {promise}, not in the plan"


def _plain(console: Console, text: str, style: str = "") -> None:
    from rich.text import Text

    console.print(Text(text.rstrip(), style=style), no_wrap=True, overflow="ignore", crop=False)


class _Scale:
    """Days onto letters."""

    def __init__(self, first: date, days: int, width: int) -> None:
        self.first, self.days, self.width = first, days, width

    def at(self, day: date) -> int:
        """The letter that shows `day`, kept inside the line."""
        return max(0, min(self.width - 1, (day - self.first).days * self.width // self.days))


def _months(scale: _Scale) -> str:
    """Each month's name where it begins; the first day's too where that leaves room."""
    line = [" "] * scale.width
    days = [scale.first + timedelta(days=n) for n in range(scale.days)]
    for day in [*(d for d in days if d.day == 1), *days[:1]]:
        at, name = scale.at(day), f"{day:%b}"
        if at + len(name) <= scale.width and all(c == " " for c in line[max(0, at - 1) : at + len(name) + 1]):
            line[at : at + len(name)] = name
    return "".join(line)


def _bar_line(bar: Bar, scale: _Scale, today: date) -> str:
    line = ["."] * scale.width
    if scale.first <= today < scale.first + timedelta(days=scale.days):
        line[scale.at(today)] = "|"
    begin, end = scale.at(bar.first), scale.at(bar.finish)
    for n in range(begin, end + 1):
        line[n] = "#"
    if bar.promised is not None:
        line[scale.at(bar.promised)] = "P"
    line[begin] = "S"
    line[end] = "!" if bar.late_days else "V" if bar.visit else "W"
    return "".join(line)


def _hold_line(hold: Hold, scale: _Scale) -> str:
    line = ["."] * scale.width
    if hold.start and hold.finish:
        for n in range(scale.at(hold.start), scale.at(hold.finish) + 1):
            line[n] = "H"
    return "".join(line)


def held_words(hold: Hold) -> str:
    """ "North, Tue Apr 6 to Fri Apr 9, held until Mon Apr 5"."""
    days = f", {day_words(hold.start)} to {day_words(hold.finish)}" if hold.start and hold.finish else ""
    return f"{one_line(hold.crew)}{days}, held until {day_words(hold.until)}"


def _loads(console: Console, weeks: Sequence[WeekLoad]) -> None:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    for name in ("week", "from", "worked", "to go", "possible", "load"):
        table.add_column(name, justify="left" if name in {"week", "from"} else "right", no_wrap=True)
    table.add_column("", no_wrap=True)
    table.add_column("starts / water in", overflow="fold")
    for week in weeks:
        full = min(20, round(week.load * 20))
        table.add_row(
            f"W{week.week:02}",
            day_words(week.monday),
            f"{week.worked_h:.0f} h" if week.worked_h else "-",
            f"{week.to_go_h:.0f} h" if week.to_go_h else "-",
            f"{week.capacity_h:.0f} h",
            f"{week.load * 100:.0f} %",
            "#" * full + "." * (20 - full),
            Text(f"{' '.join(week.starts) or '-'} / {' '.join(week.water_in) or '-'}"),
        )
    show_table(console, table)


COLUMNS = (
    *("crew", "job", "client", "first_day", "water_in", "promised", "late_days", "told", "begun"),
    *("hindrance", "plan"),
)


def season_csv(view: SeasonView) -> str:
    """One row a job, by first day, the unplanned ones last.

    late_days: working days from promise to finish, 0 when kept.
    """
    rows = (
        (
            b.crew,
            b.job,
            one_line(b.client),
            b.first,
            b.finish,
            b.promised,
            b.late_days,
            b.told,
            "yes" if b.begun else "no",
            one_line(b.hindrance),
            view.plan_number,
        )
        for b in view.bars
    )
    missing = (
        ("", job.code, one_line(job.client), *("", "", job.promised, "", ""), "no", "not in the plan", "")
        for job in view.unplanned
    )
    return table_csv(COLUMNS, [*rows, *missing])


def season_data(view: SeasonView) -> dict[str, Any]:
    """The season for `--json`: bars by crew, weeks, loads from 0 to 1."""
    return {
        "today": view.today,
        "locates": locates_data(view.locates),
        "plan": view.plan_number,
        "published": view.published,
        "stale": [m.words for m in view.moved],
        "unplanned": [
            {"job": job.code, "client": job.client, "promised": job.promised} for job in view.unplanned
        ],
        "crews": {name: list(bars) for name, bars in view.crews.items()},
        "weeks": [
            {
                "week": f"{w.year}-W{w.week:02}",
                "monday": w.monday,
                "booked_crew_h": round(w.booked_h, 2),
                "worked_crew_h": round(w.worked_h, 2),
                "to_go_crew_h": round(w.to_go_h, 2),
                "capacity_crew_h": round(w.capacity_h, 2),
                "load": round(w.load, 4),
                "starts": list(w.starts),
                "water_in": list(w.water_in),
            }
            for w in view.weeks
        ],
        "held": list(view.held),
    }
