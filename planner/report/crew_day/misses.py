"""Missed checks on every page: the same words, first, until the office settles them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.crew_day.misses import LoggedMiss
from planner.report.terminal import say
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console

SETTLE = "Settle one: planner office settle KEY WORD"


def miss_words(miss: LoggedMiss) -> str:
    """ "MISSED P-014 dig, North, Tue Apr 6: hold point not signed: ...", and the word that settled it."""
    settled = f"; settled: {one_line(miss.settled)}" if miss.settled else ""
    return f"MISSED {one_line(miss.words)}{settled}"


def print_misses(console: Console, misses: Sequence[LoggedMiss]) -> None:
    """The open misses, before everything else on a page of the office, with the keys that settle them."""
    if not misses:
        return
    say(console, f"Missed on site, still open: {len(misses)}", style="bold red")
    for miss in misses:
        say(console, f"  ! {miss_words(miss)}", hang=4, style="bold red")
        say(console, f"    [{miss.key}]", style="dim")
    say(console, f"  {SETTLE}")
    say(console, "")


def miss_data(miss: LoggedMiss) -> dict[str, Any]:
    """One miss for `--json`."""
    return {
        "key": miss.key,
        "job": miss.job,
        "phase": miss.phase.value,
        "crew": miss.crew,
        "day": miss.day.isoformat(),
        "text": miss.text,
        "settled": miss.settled,
    }
