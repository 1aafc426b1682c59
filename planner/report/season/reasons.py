"""Why jobs start when they do, and what would help: the page and the data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.crew_day.pauses import Before
from planner.domain.dates import day_words
from planner.domain.season.plan import Plan
from planner.domain.standing.reasons import Reason, Relief
from planner.domain.standing.trade_gates import Appointment
from planner.report.crew_day.board import appointment_data, gap_data
from planner.report.terminal import say
from planner.report.wording import one_line, plan_words, spare_words

if TYPE_CHECKING:
    from rich.console import Console

#: Links of a chain that the page shows before it skips to the cause.
LINKS = 3


def why_page(
    console: Console,
    plan: Plan,
    found: Sequence[Reason],
    eased: Sequence[Relief],
    gaps: Mapping[str, Sequence[Before]],
    comes: Mapping[str, Sequence[Appointment]],
) -> None:
    """One paragraph per job: the chain from its start back to the cause, its days to spare, the hours before
    its work that are no work, and who comes from outside."""
    name = plan_words(plan.number, plan.published_at is not None).split(":")[0]
    say(console, f"{name.capitalize()}: what holds each job's start, back to a cause to act on", style="bold")
    for reason in found:
        say(console, "")
        say(console, f"{one_line(reason.job)}  {spare_words(reason.spare_days)}", style="bold")
        chain = [one_line(link.text) for link in reason.chain]
        if len(chain) > LINKS + 1:
            chain = [*chain[:LINKS], f"({len(chain) - LINKS - 1} more links)", chain[-1]]
        for n, text in enumerate(chain):
            say(console, f"  {'because ' if n else ''}{text}", hang=4)
        for crew, day, gap in gaps.get(reason.job, ()):
            say(console, f"  {day_words(day)} {one_line(crew)} {one_line(gap.words)}", hang=4)
        for one in comes.get(reason.job, ()):
            say(console, f"  {one_line(one.words)}", hang=4)
    if eased:
        say(console, "")
        say(console, "What would help most, each laid again by itself:", style="bold")
        for relief in eased:
            say(console, f"  {one_line(relief.text)}", hang=4)


def why_data(
    plan: Plan,
    found: Sequence[Reason],
    eased: Sequence[Relief],
    gaps: Mapping[str, Sequence[Before]],
    comes: Mapping[str, Sequence[Appointment]],
) -> dict[str, Any]:
    """The same for `--json`."""
    return {
        "plan": plan.number,
        "published": plan.published_at is not None,
        "jobs": [
            {
                "job": r.job,
                "spare_working_days": r.spare_days,
                "chain": [{"work": link.key.words, "kind": link.kind, "text": link.text} for link in r.chain],
                "gaps": [gap_data(*each) for each in gaps.get(r.job, ())],
                "from_outside": [appointment_data(one) for one in comes.get(r.job, ())],
            }
            for r in found
        ],
        "reliefs": list(eased),
    }
