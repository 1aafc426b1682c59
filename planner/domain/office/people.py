"""Customers, neighbors and crews on the office's list: calls, held places, running water, cures, checks."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import groupby

from planner.domain.crew_day.misses import crew_notes, logged_misses
from planner.domain.dates import day_words, moment_words
from planner.domain.firm.calendar import is_working_day, real_hours_later, shift
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import WorkKey
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.season.told_days import told_until
from planner.domain.standing.told import News, news


def call_items(desk: Desk) -> Iterator[OfficeItem]:
    """One call for each customer who was told something else, with all that changed for him.

    It is due on the day when the plan was published: from then on the crews go by the new days. Whoever was
    told nothing is called when his first day comes near.
    """
    begun, until = {b.job for b in desk.season.done}, told_until(desk.season)
    published = desk.plan.published_at.date() if desk.plan.published_at else desk.today
    ahead = timedelta(days=desk.season.firm.weights.tell_days)
    rows = sorted(desk.bookings().values(), key=lambda b: b.job)
    for code, found in groupby(rows, key=lambda b: b.job):
        mine = list(found)
        first, finish = min(b.start for b in mine).date(), max(b.end for b in mine).date()
        promised = desk.season.jobs[code].promised
        heard = news(desk.season.told, code, (first, finish), promised, begun=code in begun, until=until)
        if heard:
            job, knows = desk.season.jobs[code], desk.season.told.get(code)
            said = _said(heard, knows, first, finish, promised)
            if job.visit is not None:
                said = [_visit_said(job, heard, knows, first)]
            words = f"call {desk.season.jobs[code].client} ({code}): {'; '.join(said)}"
            due = max(published, first - ahead) if heard.new else published
            yield OfficeItem(f"call:{code}:{first}:{finish}", Kind.CALL, due, code, words)


def _said(
    heard: News, knows: tuple[date, date] | None, first: date, finish: date, promised: date | None
) -> list[str]:
    """What the customer must hear, in words."""
    against = _against(promised, heard.late)
    if knows is None:
        begins = [f"we start {day_words(first)}"] if heard.new else []
        return [*begins, f"water in {day_words(finish)}{against}"]
    said = [f"we start {day_words(first)} instead of {day_words(knows[0])}"] if heard.moved else []
    if finish != knows[1]:
        instead = "" if heard.late else f" instead of {day_words(knows[1])}"
        said.append(f"water in {day_words(finish)}{instead}{against}")
    return said


def _visit_said(job: Job, heard: News, knows: tuple[date, date] | None, day: date) -> str:
    """The one day of a visit, and the part of it that was promised."""
    instead = f" instead of {day_words(knows[0])}" if knows is not None and knows[0] != day else ""
    return f"we come {day_words(day)}{job.day_part.words}{instead}{_against(job.promised, heard.late)}"


def _against(promised: date | None, late: bool) -> str:
    return f", promised {day_words(promised)}" if late else ""


def hold_items(desk: Desk) -> Iterator[OfficeItem]:
    """Places held for inquiries, due when the hold ends."""
    for hold in desk.holds:
        finish = f", water in {day_words(hold.finish)}" if hold.finish else ""
        words = f"place for {hold.job} is held until {day_words(hold.until)}{finish}: ask the customer"
        pressing = "the hold is over" if hold.until < desk.today else ""
        yield OfficeItem(f"hold:{hold.job}:{hold.until}", Kind.HOLD, hold.until, hold.job, words, pressing)


def night_items(desk: Desk) -> Iterator[OfficeItem]:
    """Water that still runs when the crew has gone home."""
    bookings = desk.bookings()
    for key, work in desk.season.works.items():
        opened = bookings.get(WorkKey(key.job, key.phase, key.part - 1))
        if key.part < 2 or opened is None or key not in bookings:
            continue
        hours = max((a.lag_h for a in work.after if a.before == opened.key), default=0.0)
        full = real_hours_later(opened.end, hours, desk.season.firm.time_zone)
        if hours and full > shift(desk.season.firm, opened.end.date())[-1].end:
            words = (
                f"water runs at {key.job} from {moment_words(opened.end)} to about {moment_words(full)}: "
                "agree who shuts it off and how the level is watched"
            )
            due = opened.end.date()
            yield OfficeItem(f"overnight:{key.job}:{due}", Kind.OVERNIGHT, due, key.job, words)


def cure_items(desk: Desk) -> Iterator[OfficeItem]:
    """Cures that end while the firm is closed: the site waits longer than the sheet says."""
    bookings = desk.bookings()
    for key, work in desk.season.works.items():
        for after in work.after:
            before = bookings.get(after.before)
            if before is None or not after.lag_h or after.before.job != key.job or key.part > 1:
                continue
            cured = real_hours_later(before.end, after.lag_h, desk.season.firm.time_zone)
            if key in bookings and not is_working_day(desk.season.firm, cured.date()):
                words = (
                    f"cure at {key.job} ends {moment_words(cured)}, a day off ({after.why}): "
                    f"{key.phase.words} goes on {day_words(bookings[key].start.date())}, keep people off"
                )
                due = before.end.date()
                yield OfficeItem(f"cure:{key.job}:{key.phase.value}:{due}", Kind.CURE, due, key.job, words)


def missed_items(desk: Desk) -> Iterator[OfficeItem]:
    """Tolerances and hold points that a returned day sheet missed, until they are settled."""
    for miss in logged_misses(desk.logs, desk.marks):
        words = f"{miss.words}; settled: {miss.settled}" if miss.settled else miss.words
        yield OfficeItem(miss.key, Kind.MISSED, miss.day, miss.job, words, "missed on site")


def note_items(desk: Desk) -> Iterator[OfficeItem]:
    """What a crew lead wrote to the office on a returned day sheet, until somebody ticks it."""
    for note in crew_notes(desk.logs):
        words = f'{note.place}: "{note.text}"'
        yield OfficeItem(note.key, Kind.NOTE, note.day, note.job, words)


def design_items(desk: Desk) -> Iterator[OfficeItem]:
    """Jobs that differ from their kept design, due today until one is brought to the other."""
    for code, words in desk.parted.items():
        if code in desk.season.jobs and words:
            yield OfficeItem(
                f"design:{code}", Kind.DESIGN, desk.today, code, words, "the crew digs by the design"
            )
