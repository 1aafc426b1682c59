"""The day sheet as a page: terminal and JSON. (The phone and paper page is in report.pages.)"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.crew_day.daysheet import DaySheet, Task, Tomorrow
from planner.domain.crew_day.ready import Line
from planner.domain.dates import clock, day_words, long_day
from planner.domain.firm.jobs import Access, Job
from planner.domain.wording import counted
from planner.report.crew_day.misses import miss_data, miss_words
from planner.report.design.data import levels_data
from planner.report.terminal import say
from planner.report.wording import (
    changed_words,
    hours,
    hours_words,
    lead_plan_words,
    one_line,
    phase_words,
    progress_words,
    short_head,
    trip_words,
)

if TYPE_CHECKING:
    from rich.console import Console

DEFER = (
    "Cautions are reminders, not rules of their own: local code, the permit, the maker's sheet "
    "and licensed trades win."
)


def print_sheet(sheet: DaySheet, console: Console) -> None:
    """The day sheet on a terminal."""
    say(console, f"{one_line(sheet.crew)}: {long_day(sheet.day)}", style="bold")
    lead = f"lead {one_line(sheet.lead)}, " if sheet.lead else ""
    planned = "".join(f", {words}" for words in planned_words(sheet))
    say(console, f"{lead}{counted(sheet.people, 'person', 'people')}{planned}  ({lead_plan_words(sheet)})")
    if sheet.why_off or not sheet.tasks:
        say(console, no_work_words(sheet), style="bold")
    if changed_words(sheet):
        say(console, f"! {changed_words(sheet)}", hang=2, style="bold")
    if sheet.short:
        say(console, f"{short_head(sheet.short)}: {one_line(sheet.short)}.", style="bold")
    for text in sheet.runs:
        say(console, f"{one_line(text)}.")
    say(console, daylight_words(sheet))
    if sheet.office:
        say(console, f"Office: {one_line(sheet.office)}")
    for miss in sheet.missed:
        say(console, f"! {miss_words(miss)}", hang=2, style="bold red")
    for advice in sheet.advice:
        style = "bold" if advice.grave else ""
        say(console, f"{'!' if advice.grave else '-'} {advice.text}", hang=2, style=style)
    if sheet.taken:
        _block(console, "WHAT MAY BE DONE", sheet.instead)
    for job in sheet.sites:
        say(console, "")
        say(console, f"WHERE  {site_words(job)}", style="bold")
        for text in site_facts(job):
            say(console, f"  {text}")
    _block(console, "ARRIVES TODAY", sheet.arrives)
    _block(console, f"LOAD IN THE YARD{only_if(sheet)}".upper(), sheet.load)
    _block(console, "TOOLS", sheet.tools)
    for n, task in enumerate(sheet.tasks, 1):
        _task(console, n, task)
    if sheet.idle:
        say(console, "")
        say(console, sheet.idle, hang=4)
    _block(console, "CANNOT WAIT UNTIL TOMORROW", sheet.today)
    _block(console, "IF IT RAINS", () if sheet.taken else sheet.rain)
    _block(console, "CAUTIONS", (*sheet.cautions, *sheet.every_day, DEFER) if sheet.tasks else ())
    say(console, "")
    say(console, tomorrow_words(sheet.tomorrow), style="bold")
    for text in evening_words(sheet.tomorrow):
        say(console, f"  {text}", hang=4)
    say(console, f"Checklist {sheet.edition}; sheet {sheet.mark}; tolerances: {sheet.basis}.", style="dim")


def _task(console: Console, n: int, task: Task) -> None:
    stint = task.stint
    say(console, "")
    if task.pause:
        say(console, task.pause, hang=4)
        say(console, "")
    say(console, f"{n}. {task_title(task)}", style="bold")
    say(console, f"   {day_words_of(task)}")
    for text in beside_words(task):
        say(console, f"   {text}", style="bold")
    for text in filter(None, (task.locate, *task.open_gates)):
        say(console, f"   ! {one_line(text)}", hang=5, style="bold")
    for text in (*filter(None, [task.cleared]), *quantity_words(task), *(trip_words(t) for t in stint.trips)):
        say(console, f"   {one_line(text)}")
    for line in task.ready.lines:
        mark = (
            "[ ]" if not line.hold else "[x] HOLD, signed before:" if line.key in task.signed else "[ ] HOLD"
        )
        wanted = f"  ({wanted_words(line)}: ____ {line.wanted.unit}".rstrip() + ")" if line.wanted else ""
        say(console, f"   {mark} {line.text}{wanted}", hang=7, style="bold" if line.hold else "")
    for text in task.ready.photos:
        say(console, f"   photo: {text}", hang=10)
    for text in task.next_waits:
        say(console, f"   next: {text}", hang=9)


def planned_words(sheet: DaySheet) -> list[str]:
    """The day's planned hours, and what of them is set-up; none on a day without work."""
    if not sheet.tasks or sheet.taken:
        return []
    return list(filter(None, [f"{hours(sheet.crew_h)} planned", sheet.setup]))


def no_work_words(sheet: DaySheet) -> str:
    """ "No work today: rain." and, where work was planned, what its lead does."""
    words = f"No work today{': ' + one_line(sheet.why_off) if sheet.why_off else ''}."
    if not sheet.taken:
        return words
    return f"{words} Do not load before the office says so; it says too when the work goes on."


def only_if(sheet: DaySheet) -> str:
    """What is added to the head of a list that counts only when the work goes on after all."""
    return ", only if the office sends you after all" if sheet.taken else ""


def day_words_of(task: Task) -> str:
    """Where the day stands in the booking, with the break inside it."""
    return "; ".join(filter(None, (progress_words(task.stint), task.meal)))


def _block(console: Console, title: str, lines: Sequence[str]) -> None:
    if lines:
        say(console, "")
        say(console, title, style="bold")
        for text in lines:
            say(console, f"  - {text}", hang=4)


def site_words(job: Job) -> str:
    """Code, client and address in one line."""
    return ", ".join(filter(None, (f"{one_line(job.code)}  {one_line(job.client)}", one_line(job.address))))


def site_facts(job: Job) -> list[str]:
    """What the crew should know of the site."""
    ways = {
        Access.MACHINE: "machine reaches the hole",
        Access.NARROW: "narrow gate: barrows only",
        Access.HAND: "no machine access",
    }
    facts = [f"{ways[job.access]}; {job.soil.value}{'; wet ground' if job.wet else ''}"]
    if job.visit is not None:
        facts = [job.visit_words]
    if job.site_notes:
        facts.append(f"note: {one_line(job.site_notes)}")
    return facts


def task_title(task: Task) -> str:
    """ "7:00 to 15:30  P-014 dig  8 h"."""
    stint = task.stint
    helps = f"  (helping {one_line(stint.booking.lead)})" if stint.helps else ""
    span = f"{clock(stint.start)} to {clock(stint.end)}"
    return f"{span}  {one_line(stint.key.job)} {phase_words(stint)}  {hours_words(stint)}{helps}"


def quantity_words(task: Task) -> list[str]:
    """The whole phase's quantities in one line; empty when none were entered."""
    if not task.quantities:
        return []
    head = "whole phase, both crews" if task.beside else "whole phase"
    amounts = (
        f"{q.words} {q.amount}" + (f" (yours about {q.own})" if q.own else "") for q in task.quantities
    )
    return [f"{head}: " + "; ".join(amounts)]


def beside_words(task: Task) -> list[str]:
    """Who else works on the task, and whose part is what; empty when the crew is alone."""
    if not task.beside:
        return []
    with_whom = " and ".join(
        f"{one_line(c.name)} ({counted(c.size, 'person', 'people')}"
        + (f", lead {one_line(c.lead)})" if c.lead else ")")
        for c in task.beside
    )
    part = f"by hands {100 * task.share:.0f} % of the phase is yours"
    if not task.stint.helps:
        return [f"{with_whom} helps; you lead: machine, material, measures and hold points are yours; {part}"]
    lead = one_line(task.stint.booking.lead)
    return [
        f"with {with_whom}: {lead} leads, brings machine and material, measures and signs the hold points; "
        f"ask {lead} before each next step; {part}"
    ]


def wanted_words(line: Line) -> str:
    """What to measure and its band."""
    assert line.wanted is not None
    return f"{line.wanted.what}: {line.wanted.words}"


def tomorrow_words(tomorrow: Tomorrow) -> str:
    """Tomorrow in one line."""
    if tomorrow.day is None:
        return "Next: no work planned for this crew in the next two weeks."
    what = "; ".join(
        f"{one_line(s.key.job)} {phase_words(s)} {hours_words(s)} from {clock(s.start)}"
        for s in tomorrow.stints
    )
    return f"Next: {day_words(tomorrow.day)}: {what}"


def daylight_words(sheet: DaySheet) -> str:
    """Sunrise and sunset in one line."""
    light = sheet.daylight
    if light is None:
        return "Daylight: not known, the site and the depot have no coordinates."
    if light.sunrise is None or light.sunset is None:
        return "Daylight: the sun does not rise or set here today."
    return f"Daylight {clock(light.sunrise)} to {clock(light.sunset)}"


def sheet_data(sheet: DaySheet) -> dict[str, Any]:
    """The sheet for `--json`."""
    return {
        "crew": sheet.crew,
        "day": sheet.day.isoformat(),
        "plan": sheet.plan_number,
        "published": sheet.published,
        "stale": [m.words for m in sheet.moved],
        "mark": sheet.mark,
        "checklist": sheet.edition,
        "people": sheet.people,
        "crew_h": round(sheet.crew_h, 2),
        "office": sheet.office,
        "why_off": sheet.why_off,
        "setup": sheet.setup,
        "idle": sheet.idle,
        "changed": [m.words for m in sheet.changed],
        "short_day": sheet.short,
        "runs": list(sheet.runs),
        "sunrise": _clock_or_none(sheet, "sunrise"),
        "sunset": _clock_or_none(sheet, "sunset"),
        "missed_open": [miss_data(m) for m in sheet.missed],
        "weather": [{"text": a.text, "grave": a.grave} for a in sheet.advice],
        "tasks": [_task_data(t, sheet.units) for t in sheet.tasks],
        "arrives": list(sheet.arrives),
        "load": list(sheet.load),
        "tools": list(sheet.tools),
        "cannot_wait": list(sheet.today),
        "rain": list(sheet.rain),
        "may_be_done_instead": list(sheet.instead),
        "cautions": [*sheet.cautions, *sheet.every_day],
        "tomorrow": tomorrow_words(sheet.tomorrow),
        "load_this_evening": list(sheet.tomorrow.load),
    }


def evening_words(tomorrow: Tomorrow) -> list[str]:
    """What to load this evening for the crew's next day, in one line; none when nothing is loaded for it."""
    loaded = "; ".join(map(one_line, tomorrow.load))
    return [f"Load this evening: {loaded}"] if loaded else []


def _clock_or_none(sheet: DaySheet, which: str) -> str | None:
    moment = getattr(sheet.daylight, which) if sheet.daylight else None
    return moment.strftime("%H:%M") if moment else None


def _task_data(task: Task, units: str) -> dict[str, Any]:
    stint = task.stint
    return {
        "job": stint.key.job,
        "client": task.job.client,
        "address": task.job.address,
        "phase": stint.key.phase.value,
        "part": stint.key.part,
        "start": stint.start.isoformat(timespec="minutes"),
        "end": stint.end.isoformat(timespec="minutes"),
        "crew_h": round(stint.crew_h, 2),
        "share_after": round(stint.share_after, 3),
        "helps": stint.booking.lead if stint.helps else None,
        "with": [crew.name for crew in task.beside],
        "share_of_hands": round(task.share, 3),
        "quantities": [{"what": q.words, "amount": q.amount, "own": q.own} for q in task.quantities],
        "machines": [trip_words(t) for t in stint.trips],
        "towed": [trip.towed for trip in stint.trips if trip.truck],
        "pause": task.pause,
        "meal": task.meal,
        "locate": task.locate,
        "locate_cleared": task.cleared,
        "open_gates": list(task.open_gates),
        "levels": levels_data(task.levels, units) if task.levels else None,
        "steps": [_line_data(line, line.key in task.signed) for line in task.ready.lines],
        "photos": list(task.ready.photos),
        "next": list(task.next_waits),
    }


def _line_data(line: Line, signed: bool) -> dict[str, Any]:
    wanted = line.wanted
    measure = None
    if wanted is not None:
        measure = {"what": wanted.what, "unit": wanted.unit, "low": wanted.low, "high": wanted.high}
    return {"key": line.key, "text": line.text, "hold": line.hold, "signed": signed, "measure": measure}
