"""A state's utility locate rule, and what follows from one request, as a page and as data."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from planner.domain.locate import (
    CAUTION,
    LocateRule,
    checked_words,
    clears,
    expires,
    latest_start,
    renew_by,
    terms,
)
from planner.report.terminal import say
from planner.report.wording import day_words

if TYPE_CHECKING:
    from rich.console import Console


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
