"""A state's utility locate rule, and what follows from one request, as a page and as data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from planner.domain.dates import clock, day_words
from planner.domain.safety.locate import (
    CAUTION,
    LocateRule,
    checked_words,
    clears,
    expires,
    latest_start,
    renew_by,
    terms,
)
from planner.domain.standing.locate_standing import LocateStanding
from planner.report.terminal import say
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console


#: Digs without trouble yet that a page names before it only counts the rest.
MOST = 3


def locates_block(console: Console, found: Sequence[LocateStanding], *, most: int = MOST) -> None:
    """Locates that are not clear: every one that stops its dig, the next of the others, the rest counted."""
    lines = locate_lines(found, most=most)
    if lines:
        say(console, "Utility locates that are not clear:", style="bold")
        for line in lines:
            say(console, f"  {line}", hang=4)


def locate_lines(
    found: Sequence[LocateStanding], *, most: int = MOST, where: str = "planner office list --all"
) -> list[str]:
    """One line a locate, with "!" where the dig may not go on as it is planned; where: the rest is seen."""
    grave, others = [s for s in found if s.grave], [s for s in found if not s.grave]
    lines = [f"! {locate_line(s)}" for s in grave] + [f"  {locate_line(s)}" for s in others[:most]]
    if len(others) > most:
        rest = len(others) - most
        lines.append(f"  and {rest} later {'dig' if rest == 1 else 'digs'}: {where}")
    return lines


def locate_line(standing: LocateStanding) -> str:
    """ "L08 Okoro, dig Mon Apr 5 7:00: no locate on file: ask by Wed Mar 31"."""
    name = " ".join(filter(None, (one_line(standing.job), one_line(standing.client))))
    return f"{name}, dig {day_words(standing.dig.date())} {clock(standing.dig)}: {standing.words}"


def locates_data(found: Iterable[LocateStanding]) -> list[dict[str, Any]]:
    """The same for `--json`."""
    return [
        {
            "job": s.job,
            "state": s.state.value,
            "dig": s.dig,
            "asked": s.asked,
            "clear": s.clear if s.asked else None,
            "cleared": s.cleared,
            "dies": s.dies,
            "grave": s.grave,
            "words": s.words,
            "key": s.key,
        }
        for s in found
    ]


def rule_page(console: Console, rule: LocateRule, asked: datetime | None) -> None:
    """The rule, its source and the caution; with a request its dates too."""
    say(console, f"{rule.words}: {terms(rule)}.", style="bold")
    if rule.note:
        say(console, rule.note)
    if asked is not None:
        for line in request_words(rule, asked):
            say(console, f"  {line}", hang=4)
    say(console, f"source: {rule.source}; {rule.as_of}")
    say(console, checked_words(rule))
    say(
        console,
        f"Laws change: {CAUTION}. Private lines (irrigation, lighting, gas to a grill) need their own.",
    )


def request_words(rule: LocateRule, asked: datetime) -> list[str]:
    """What follows from a request: when it clears, the latest start, when the ticket dies."""
    clear = clears(rule, asked)
    lines = [f"asked {_moment(asked)}: clears {_moment(clear)}"]
    last = latest_start(rule, asked.date())
    if last is not None:
        lines.append(f"work starts by {day_words(last)}, else ask anew")
    end, renew = expires(rule, asked.date(), clear), renew_by(rule, asked.date(), clear)
    if end is not None and renew is not None:
        lines.append(
            f"started as soon as it clears, the ticket dies {_moment(end)}: renew by {day_words(renew)}"
        )
    return lines


def request_data(rule: LocateRule, asked: datetime | None) -> dict[str, Any]:
    """The rule for `--json`, and the dates of the request, null without one."""
    clear = clears(rule, asked) if asked else None
    return {
        "rule": rule,
        "asked": asked,
        "clears": clear,
        "latest_start": latest_start(rule, asked.date()) if asked else None,
        "expires": expires(rule, asked.date(), clear) if asked and clear else None,
        "renew_by": renew_by(rule, asked.date(), clear) if asked and clear else None,
        "caution": CAUTION,
    }


def _moment(moment: datetime) -> str:
    return f"{day_words(moment.date())} {moment:%H:%M}"
