"""Utility locates on the office's list: ask, ask anew when the dig slipped, renew before the ticket dies."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from planner.domain.changes import day_words
from planner.domain.jobs import GateKind
from planner.domain.locate import (
    CAUTION,
    LocateRule,
    ask_by,
    ask_from,
    clears,
    expires,
    latest_start,
    renew_by,
)
from planner.domain.office import TICKED, Desk, Kind, OfficeItem, moment_words
from planner.domain.phases import Phase

#: Phases that open the ground: the ticket must be alive while they run.
DIGGING = frozenset({Phase.DIG, Phase.SET_FILTERS})


def locate_items(desk: Desk) -> Iterator[OfficeItem]:
    """One item for each job whose digging is still to do and whose ticket is missing, stale or dying."""
    bookings = desk.bookings()
    for code, job in desk.season.jobs.items():
        digs = [b for b in bookings.values() if b.job == code and b.phase in DIGGING]
        if not digs:
            continue
        dig = min(digs, key=lambda b: b.start)
        last = max(b.end for b in digs)
        met = next((g for g in job.gates if g.kind is GateKind.LOCATE and g.met), None)
        asked = _asked(desk, code)
        if asked is None and met is not None:
            asked = ask_by(desk.rule, datetime.combine(met.opens, desk.season.firm.shift_start))
        begun = any(b.job == code for b in desk.season.done)
        if asked is None and not begun:
            yield _ask(desk, code, dig.start)
        elif asked is not None and not begun and not _in_window(desk.rule, asked, dig.start):
            yield _ask_again(desk, code, asked, dig.start)
        elif asked is not None:
            yield from _renewal(desk, code, asked, dig.start, last)


def _asked(desk: Desk, code: str) -> date | None:
    """The day of the latest request that the office has ticked."""
    days = [
        mark.at.date()
        for key, mark in desk.marks.items()
        if mark.state == TICKED
        and mark.at
        and (key == f"locate:{code}" or key.startswith(f"relocate:{code}:"))
    ]
    return max(days, default=None)


def _ask(desk: Desk, code: str, dig: datetime) -> OfficeItem:
    due, first = ask_by(desk.rule, dig), ask_from(desk.rule, dig.date())
    words = f"ask for the utility locate for {code}: digging starts {day_words(dig.date())}"
    if first is not None and first > desk.today:
        words += f"; not before {day_words(first)}"
    pressing = ""
    if due < desk.today:
        clear = clears(desk.rule, datetime.combine(desk.today, desk.season.firm.shift_start))
        pressing = f"too late for {day_words(dig.date())}: asked today it clears {moment_words(clear)}"
    return OfficeItem(f"locate:{code}", Kind.LOCATE, due, code, f"{words}; {CAUTION}", pressing)


def _in_window(rule: LocateRule, asked: date, dig: datetime) -> bool:
    last = latest_start(rule, asked)
    return last is None or dig.date() <= last


def _ask_again(desk: Desk, code: str, asked: date, dig: datetime) -> OfficeItem:
    last = latest_start(desk.rule, asked)
    words = (
        f"ask anew for the locate for {code}: asked {day_words(asked)}, it covers a start up to "
        f"{day_words(last)}, digging now starts {day_words(dig.date())}"
    )
    key = f"relocate:{code}:{asked}"
    return OfficeItem(key, Kind.LOCATE, ask_by(desk.rule, dig), code, f"{words}; {CAUTION}")


def _renewal(desk: Desk, code: str, asked: date, dig: datetime, last: datetime) -> Iterator[OfficeItem]:
    end = expires(desk.rule, asked, dig)
    by = renew_by(desk.rule, asked, dig)
    if end is None or by is None or last <= end:
        return
    words = (
        f"renew the locate for {code}: asked {day_words(asked)}, it dies {moment_words(end)}, "
        f"ground is open until {day_words(last.date())}"
    )
    pressing = "the marks are no longer valid: stop digging" if end.date() < desk.today else ""
    yield OfficeItem(f"relocate:{code}:{asked}", Kind.RENEW, by, code, f"{words}; {CAUTION}", pressing)
