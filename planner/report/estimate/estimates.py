"""Pages of estimates: the list of jobs, one job in full, ways side by side, the arithmetic line by line.

Quantities are shown in the firm's units; the arithmetic is in the rate book's, which are per US unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from planner.domain.dates import day_words, long_day
from planner.domain.estimate.factors import source_of
from planner.domain.estimate.labour import PhaseEstimate, Share, with_daily_setup
from planner.domain.estimate.rates import Rate, RowKind
from planner.domain.firm.jobs import ITEMS
from planner.domain.firm.phases import ORDER
from planner.domain.season.ways import people
from planner.domain.wording import shown
from planner.report.estimate.visits import unload_lines, visit_lines, visits_data
from planner.report.terminal import show_table
from planner.report.wording import SURE_MEANS, sure_words
from planner.units import METRIC

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.estimate.rates import RateBook
    from planner.domain.season.job_hours import HeldPhase
    from planner.domain.season.ways import Estimated

_HOURS = tuple(sure_words(p) for p in (50, 80, 90))
_TOTALS = ("by rates", *_HOURS, "days likely", "safe", "plan holds")
#: What the days of an estimate do not know.
LEFT_OUT = (
    "Days: one crew without a break from its first day, cure included; weather, the crew's other jobs and "
    "machines in use elsewhere are left out (planner chance show plays them)."
)
_US_ARITHMETIC = (
    "The arithmetic is in the rate book's US units: 1 cy is 0.7646 m3, 1 ft2 is 0.0929 m2, 1 ft is 0.3048 m, "
    "1 ton is 0.9072 t, 1 gal is 3.785 L."
)
#: Columns from which a page has room for more than what must be said.
_ROOMY = 100
_LEFT = frozenset({"job", "client", "way", "phase", "crew"})


def _hours(value: float) -> str:
    """ "12.3", and "0.05" where a tenth would hide it."""
    return f"{value:.1f}" if value >= 0.1 else f"{value:.2f}"


def _table(*columns: str) -> Table:
    table = Table(box=None, pad_edge=False)
    for name in columns:
        left = name in _LEFT
        table.add_column(name, justify="left" if left else "right", overflow="fold", no_wrap=not left)
    return table


def _days(one: Estimated, percentile: float) -> str:
    return f"{one.days[percentile].span(one.firm)} d" if percentile in one.days else "-"


def list_page(console: Console, found: Sequence[Estimated]) -> None:
    """Every job on one line: crew-hours and days on site; its phases where there is room."""
    if not found:
        console.print(Text("no open job: add one with  planner job add"))
        return
    client, phases = console.width >= _ROOMY, ORDER if console.width >= 130 else ()
    table = _table("job", *(["client"] if client else []), "crew", *(p.words for p in phases), *_TOTALS)
    if client:
        table.columns[1].max_width, table.columns[1].no_wrap = 14 if phases else 22, True
        table.columns[1].overflow = "ellipsis"
    for one in found:
        crew = one.crew.name if one.by_plan else f"if {one.crew.name}"
        cells = [one.job.code, *([one.job.client] if client else []), crew]
        cells += [_hours(one.rest.phases[p].crew_h) if p in one.rest.phases else "-" for p in phases]
        table.add_row(*(Text(cell) for cell in cells + _totals(one)))
    show_table(console, table)
    console.print()
    about = (
        "Attended crew-hours of what is left, without the day's set-up; plan holds: with it, in whole half "
        f"hours. {LEFT_OUT}"
    )
    console.print(Text(f"{_editions_line(found)} {about}"))
    console.print(Text("One job in full: planner estimate CODE; its arithmetic: --explain."))


def _totals(one: Estimated) -> list[str]:
    if not one.rest.phases:
        return ["done" if one.found.phases else "no quantities", *["-"] * (len(_TOTALS) - 1)]
    hours = [one.rest.crew_h, *(one.rest.crew_h_at(p) for p in (50, 80, 90))]
    held = f"{one.hours.to_go_h:g}" if one.hours else "-"
    return [*map(_hours, hours), _days(one, 50.0), _days(one, 80.0), held]


def _editions_line(found: Sequence[Estimated]) -> str:
    names = sorted({one.book.edition for one in found})
    return f"Rate book {', '.join(names)}."


def job_page(console: Console, one: Estimated, *, explain: bool) -> None:
    """One job: quantities, hours per phase, days, what drives it, what is still a default, cautions."""
    found = one.found
    console.print(_heading(one))
    console.print(Text(_site_line(one)))
    if not found.phases:
        console.print(Text("no quantities yet: add them with  planner job  or  planner design"))
        return
    console.print()
    show_table(console, _phase_table(one))
    console.print()
    for line in _closing_lines(one):
        console.print(Text(line))
    for line in one.cautions:
        console.print(Text(f"Take care: {line}", style="bold"))
    if explain:
        _explain(console, one)


def job_pages(console: Console, found: Sequence[Estimated], *, explain: bool) -> None:
    """Several jobs, each as `job_page` shows it."""
    for i, one in enumerate(found):
        if i:
            console.print()
        job_page(console, one, explain=explain)


def _heading(one: Estimated) -> Text:
    return Text(f"{one.job.code}  {one.job.client}", style="bold", no_wrap=True, overflow="ellipsis")


def _site_line(one: Estimated) -> str:
    job = one.job
    parts = [
        job.soil.value,
        job.access.value,
        f"carry {shown(job.carry_ft, 'ft', one.firm.units)}",
        f"depth {shown(job.depth_in, 'in', one.firm.units)}",
        *(["occupied garden"] if job.occupied else []),
        *(["wet ground"] if job.wet else []),
    ]
    site = job.visit_words or ", ".join(parts)
    crew = f"{one.crew.name}, {people(one.crew.size)}, pace {one.crew.pace:g}"
    sent = f"as plan {one.hours.plan} sends" if one.by_plan and one.hours else "if this crew does it"
    return f"{site}. Crew: {crew}, {sent}. Rate book {one.book.edition}."


def _phase_table(one: Estimated) -> Table:
    held = one.hours.phases if one.hours else {}
    table = _table("phase", "by rates", *_HOURS, "plan", "labour-h")
    table.add_column("quantities", overflow="fold")
    for phase in one.job.order:
        booked = f"{held[phase].to_go_h:g}" if phase in held else "-"
        if phase in one.rest.phases:
            p = one.rest.phases[phase]
            hours = [_hours(v) for v in (p.crew_h, p.crew_h_at(50), p.crew_h_at(80), p.crew_h_at(90))]
            words = _worked_words(held.get(phase)) + _quantities(one, p)
            table.add_row(phase.words, *hours, booked, _hours(p.labour_h), Text(words))
        elif phase in held and held[phase].done:
            table.add_row(phase.words, *["-"] * 6, Text(_worked_words(held[phase])))
    if not one.rest.phases:
        return table
    whole = [_hours(one.rest.crew_h), *(_hours(one.rest.crew_h_at(p)) for p in (50, 80, 90))]
    labour_h = sum(p.labour_h for p in one.rest.phases.values())
    booked = f"{one.hours.to_go_h:g}" if one.hours else "-"
    name = "what is left" if one.hours and one.hours.worked_h else "whole job"
    table.add_row(name, *whole, booked, _hours(labour_h), Text(_days_text(one)), style="bold")
    return table


def _worked_words(held: HeldPhase | None) -> str:
    """ "done, 5 h worked" or "3 h worked, the rest of ", "" for a phase not begun."""
    if held is None or not held.worked_h:
        return ""
    return f"done, {held.worked_h:g} h worked" if held.done else f"{held.worked_h:g} h worked; the rest of "


def held_line(one: Estimated) -> str:
    """What the plan holds for the job, in one sentence, and how that follows from the percentile."""
    hours = one.hours
    if hours is None:
        return ""
    to_go, percentile = f"{hours.to_go_h:g} crew-h", one.firm.planning_percentile
    if hours.plan is None:
        said = f"A plan would hold {to_go} if {one.crew.name} does it"
    else:
        said = f"Plan {hours.plan} ({'published' if hours.published else 'draft'}) holds {to_go}"
    if hours.worked_h:
        return f"{hours.worked_h:g} h worked and {to_go} to go: {hours.whole_h:g} crew-h in all."
    safe, word = one.found.crew_h_at(percentile), sure_words(percentile)
    if one.found.promised_h is not None:
        return f"{said}, as promised."
    safely = word if word.isalpha() else f"at {word}"
    setup = with_daily_setup(safe, one.firm) - safe
    rounding = hours.to_go_h - safe - setup
    alone = all(p.crews == (one.crew.name,) for p in hours.phases.values())
    if alone and -0.01 <= rounding <= len(hours.phases):
        said += (
            f": {_hours(safe)} {safely}, {_hours(setup)} of daily set-up, "
            f"{max(0.0, rounding):.1f} for whole half hours"
        )
    elif alone and hours.to_go_h > safe:
        said += (
            f": {_hours(safe)} {safely}, {_hours(hours.to_go_h - safe)} "
            "of daily set-up on the days that it is spread over and for whole half hours"
        )
    elif not alone:
        teams = dict.fromkeys(" + ".join(p.crews) for p in hours.phases.values())
        said += f", shared by {', '.join(teams)}"
    if abs(hours.fresh_to_go_h - hours.to_go_h) > 0.01:
        said += f". Facts changed since: a plan made now would hold {hours.fresh_to_go_h:g} crew-h"
    return f"{said}."


def _quantities(one: Estimated, phase: PhaseEstimate) -> str:
    items = [item for item in ITEMS.values() if item.phase is phase.phase and one.job.amount(item.key) > 0]
    units = one.firm.units
    texts = [
        f"{item.words} {shown(one.job.amount(item.key), item.unit, units).removesuffix(' count')}"
        for item in items
    ]
    wait = [f"{_hours(phase.unattended_h)} h unattended"] if phase.unattended_h else []
    return ", ".join(texts + wait)


def _days_text(one: Estimated) -> str:
    spans = [
        f"{sure_words(p)}: {d.count} days on site, done {day_words(d.finish)}"
        for p, d in sorted(one.days.items())
    ]
    if not spans:
        return "no end within three years on this crew's calendar"
    return f"from {long_day(one.start)}: " + "; ".join(spans)


def _closing_lines(one: Estimated) -> list[str]:
    if not one.rest.phases:
        return [held_line(one)]
    total = one.rest.crew_h
    drivers = [f"{phase.words}: {line.words} {line.crew_h / total:.0%}" for phase, line in one.rest.drivers()]
    rows = {key for p in one.found.phases.values() for line in p.lines for key in line.rows}
    defaults = one.found.defaults
    lines = [f"Driven by: {'; '.join(drivers)}."]
    if defaults:
        lines.append(
            f"{len(defaults)} of {len(rows | set(defaults))} rows used are still defaults, to be calibrated "
            "(planner rates show --defaults)."
        )
    lines.append(held_line(one))
    lines.append(_width_line(one))
    lines.append(
        f"In crew-hours; {SURE_MEANS}; by rates: the rates' own middle, before what may go worse. The job's "
        "safe hours are less than the sum of its phases': not every phase goes badly on the same job. "
        f"{_setup_words(one)}"
    )
    lines += [*visit_lines(one.job, one.book), *unload_lines(one)]
    lines.append(LEFT_OUT)
    return lines


def _setup_words(one: Estimated) -> str:
    if one.job.visit is not None:
        return "A visit's hours are hours on site, with nothing beside them."
    setup_h = one.firm.daily_setup_h
    return f"Set-up of {setup_h:g} crew-h a day on site is in the days and in the plan's hours."


def _width_line(one: Estimated) -> str:
    """How far safe hours lie over the likely ones, and how much of it is that the firm is not known yet."""
    percentile = one.firm.planning_percentile
    safe, known = one.rest.crew_h_at(percentile), one.rest.as_if_known().crew_h_at(percentile)
    jobs = len(one.book.learned_from)
    logged = f"has logged {jobs} job{'' if jobs == 1 else 's'}" if jobs else "has logged no job yet"
    over, apart = safe / one.rest.crew_h - 1.0, max(0.0, (safe - known) / one.rest.crew_h)
    name = sure_words(percentile).capitalize()
    why = f" Safe hours are wide because this firm {logged}." if apart > over / 4 else f" This firm {logged}."
    of_it = f"{apart:.0%} of them for what rate book {one.book.edition} does not know of this firm yet"
    return f"{name} hours lie {over:.0%} over those by rates, {of_it}.{why}"


def _explain(console: Console, one: Estimated) -> None:
    """The arithmetic, one phase after the other, and the source of every row used."""
    used: dict[str, None] = {}
    if one.firm.units == METRIC:
        console.print()
        console.print(Text(_US_ARITHMETIC))
    for phase, p in one.found.phases.items():
        console.print()
        console.print(
            Text(
                f"{phase.words}: {p.crew_h:.2f} crew-h = {p.labour_h:.2f} labour-h / "
                f"({people(p.people)} × pace {p.pace:g})",
                style="bold",
            )
        )
        for line, minutes in zip(p.lines, p.line_minutes(), strict=True):
            _explain_line(console, line, minutes, used)
        for factor in p.factors:
            console.print(Text(f"  × {factor.value:.4f}  {factor.words}  [{', '.join(factor.rows)}]"))
            used.update(dict.fromkeys(factor.rows))
        plain = sum(line.labour_h for line in p.lines)
        console.print(Text(f"  lines {plain:.3f} labour-h, with factors {p.labour_h:.3f} labour-h"))
        console.print(Text(f"  lines {sum(p.line_minutes())} crew-min = {p.crew_h:.2f} crew-h likely"))
        console.print(Text(f"  {_spread_words(p)}"))
        if p.unattended_h:
            console.print(Text(f"  {p.unattended_words}"))
    console.print()
    console.print(Text("Sources", style="bold"))
    for key in used:
        console.print(Padding(Text(f"{key}  {_row_words(one.book, key)}"), (0, 0, 0, 2)))


def _explain_line(console: Console, line: Share, minutes: int, used: dict[str, None]) -> None:
    console.print(Text(f"  {line.words}: {line.labour_h:.3f} labour-h, {minutes} crew-min in all"))
    for step in line.steps:
        console.print(Padding(Text(step), (0, 0, 0, 6)))
    if line.rows:
        console.print(Padding(Text(f"[{', '.join(line.rows)}]"), (0, 0, 0, 6)))
    used.update(dict.fromkeys(line.rows))


def _spread_words(p: PhaseEstimate) -> str:
    own, job, firm = p.hours.log_sd, p.job_log_sd, p.shared_log_sd
    return (
        f"log-normal, own spread {own:.3f}, the job's {job:.3f}, not known of the firm {firm:.3f}, skew "
        f"{p.shift:.3f}: safe (80 %) = {p.crew_h:.2f} × exp({p.shift:.3f} + 0.8416 × "
        f"√({own:.3f}² + {job:.3f}² + {firm:.3f}²)) = {p.crew_h_at(80):.2f} crew-h"
    )


def _row_words(book: RateBook, key: str) -> str:
    row = book.rows.get(key)
    if row is None:
        return source_of(book, key)
    return f"{band_words(row)}. {row.source}"


def band_words(row: Rate) -> str:
    """ "1.15 / 1.54 / 2.1 labour-h/cy": low, likely, high."""
    unit = {RowKind.RATE: f"labour-h/{row.unit}", RowKind.SETUP: "labour-h"}.get(row.kind, row.unit)
    return f"{row.low:g} / {row.likely:g} / {row.high:g} {unit}"


def compare_page(console: Console, found: Sequence[Estimated]) -> None:
    """Ways side by side: hours per phase where there is room, the job's safe hours, days, labour-hours."""
    if not found:
        return
    console.print(_heading(found[0]))
    roomy = console.width >= _ROOMY
    phases = [
        phase for phase in found[0].job.order if roomy and any(phase in one.found.phases for one in found)
    ]
    table = _table("way", *(phase.words for phase in phases), "by rates", "safe", "safe days", "labour-h")
    for one in found:
        cells = [_hours(one.found.phases[p].crew_h) if p in one.found.phases else "-" for p in phases]
        labour_h = sum(p.labour_h for p in one.found.phases.values())
        totals = [
            _hours(one.found.crew_h),
            _hours(one.found.crew_h_at(80)),
            _days(one, 80.0),
            _hours(labour_h),
        ]
        table.add_row(*(Text(cell) for cell in [one.way, *cells, *totals]))
    show_table(console, table)
    about = "By rates and safe (8 of 10 jobs take less) in crew-hours; labour-h: all hands together."
    console.print(Text(f"{_editions_line(found)} {about}"))


def estimate_data(one: Estimated, *, explain: bool) -> dict[str, object]:
    """One estimate for `--json`: hours as numbers, days as dates, the arithmetic with `--explain`."""
    found = one.found
    return {
        "job": one.job.code,
        "client": one.job.client,
        "way": one.way,
        "crew": {"name": one.crew.name, "size": one.crew.size, "pace": one.crew.pace},
        "edition": one.book.edition,
        "quantities": [
            {"item": line.item, "quantity": line.quantity, "unit": line.unit, "origin": line.origin.value}
            for line in one.job.lines
        ],
        "crew_h": {"likely": found.crew_h, **{f"p{p}": found.crew_h_at(p) for p in (50, 80, 90)}},
        "phases": {phase.value: _phase_data(p, explain=explain) for phase, p in found.phases.items()},
        "planning_percentile": one.firm.planning_percentile,
        "planned_crew_h": {
            p.value: hours for p, hours in found.planned(one.firm.planning_percentile).items()
        },
        "left_crew_h": {"likely": one.rest.crew_h, **{f"p{p}": one.rest.crew_h_at(p) for p in (50, 80, 90)}},
        "plan_holds": _held_data(one),
        "start": one.start,
        "days": {
            f"p{p:g}": {
                "on_site": d.count,
                "working_days": d.span(one.firm),
                "finish": d.finish,
                "dates": list(d.dates),
            }
            for p, d in sorted(one.days.items())
        },
        "drivers": [
            {"phase": phase.value, "words": line.words, "crew_h": line.crew_h}
            for phase, line in found.drivers()
        ],
        "defaults": list(found.defaults),
        "visits": visits_data(one.job, one.book),
        "cautions": list(one.cautions),
    }


def _held_data(one: Estimated) -> dict[str, object] | None:
    """What the plan holds, in crew-hours; plan None: no plan holds it, the crew is assumed."""
    if one.hours is None:
        return None
    return {
        "plan": one.hours.plan,
        "published": one.hours.published,
        "crew_by_plan": one.by_plan,
        "worked_crew_h": one.hours.worked_h,
        "to_go_crew_h": one.hours.to_go_h,
        "whole_crew_h": one.hours.whole_h,
        "made_now_to_go_crew_h": one.hours.fresh_to_go_h,
        "phases": {
            phase.value: {"crews": list(p.crews), "worked_crew_h": p.worked_h, "to_go_crew_h": p.to_go_h}
            for phase, p in one.hours.phases.items()
        },
    }


def _phase_data(p: PhaseEstimate, *, explain: bool) -> dict[str, object]:
    data: dict[str, object] = {
        "labour_h": p.labour_h,
        "crew_h": {"likely": p.crew_h, **{f"p{q}": p.crew_h_at(q) for q in (50, 80, 90)}},
        "mean_crew_h": p.known.mean,
        "sd_crew_h": p.known.sd,
        "parts": list(p.parts),
        "unattended_h": p.unattended_h,
        "machines": dict(p.machines),
    }
    if explain:
        data["lines"] = list(p.lines)
        data["factors"] = list(p.factors)
        data["own_log_sd"], data["job_log_sd"] = p.hours.log_sd, p.job_log_sd
    return data
