"""Utility locates on the office's list: ask, ask anew when the dig slipped, hear the answers, renew.

How a locate stands is `locate_standing`'s word; here it becomes what the office must do, and by when.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.domain.dates import day_words, moment_words
from planner.domain.firm.actuals import of_jobs, progress
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.safety.locate import CAUTION, ask_from
from planner.domain.standing.locate_standing import LocateStanding, LocateState, locate_standings


def locate_items(desk: Desk) -> Iterator[OfficeItem]:
    """What each locate calls for whose digging is still to do: two ticks, asked and cleared."""
    so_far = progress(of_jobs(desk.logs, desk.season.jobs))
    for found in locate_standings(desk.locates, desk.season.jobs, desk.bookings().values(), so_far).values():
        if found.state in {LocateState.NONE, LocateState.SLIPPED}:
            yield _ask(desk, found)
            continue
        if found.state is LocateState.DIES:
            pressing = "the marks are no longer valid: stop digging" if found.grave else ""
            yield _item(found, found.key, Kind.RENEW, f"{found.job}: {found.words}", pressing)
        if found.state is LocateState.HOLDS:
            pressing = "nobody has said that it does: stop digging" if found.grave else ""
            words = f"ask for {found.job}: {found.words} until {day_words(found.last.date())}"
            yield _item(found, found.key, Kind.RENEW, words, pressing)
        if not found.cleared:
            yield _answers(found)


def _item(found: LocateStanding, key: str, kind: Kind, words: str, pressing: str) -> OfficeItem:
    return OfficeItem(key, kind, found.by, found.job, f"{words}; {CAUTION}", pressing)


def _ask(desk: Desk, found: LocateStanding) -> OfficeItem:
    dig = day_words(found.dig.date())
    if found.asked is None:
        words = f"ask for the utility locate for {found.job}: digging starts {dig}"
    else:
        words = f"ask anew for the locate for {found.job}: {found.words}"
    first = ask_from(desk.rule, found.dig.date())
    if first is not None and first > desk.today:
        words += f"; not before {day_words(first)}"
    pressing = ""
    if found.begun:
        pressing = found.words
    elif found.by < desk.today or found.grave:
        pressing = f"too late for {dig}: asked today it clears {moment_words(found.clear)}"
    return _item(found, found.key, Kind.LOCATE, words, pressing)


def _answers(found: LocateStanding) -> OfficeItem:
    """The second tick: the notice is over and every owner has answered."""
    words = (
        f"hear every owner's answer to the locate for {found.job}, asked {day_words(found.asked)}: "
        f"clear {moment_words(found.clear)} at the earliest, digging starts {day_words(found.dig.date())}"
    )
    pressing = ""
    if found.state is LocateState.TOO_LATE:
        pressing = f"too late for {day_words(found.dig.date())}: re-plan, or move the dig"
    elif found.grave and found.state is LocateState.ASKED:
        pressing = "the dig is due: no digging before every owner has answered"
    due = found.clear.date()
    key = f"cleared:{found.job}:{found.asked}"
    return OfficeItem(key, Kind.CLEARED, due, found.job, f"{words}; {CAUTION}", pressing)
