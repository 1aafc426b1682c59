"""What can be promised, as a page and as data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words, long_day
from planner.domain.season.promise import Earlier, Offer
from planner.report.season.plans import money
from planner.report.terminal import say
from planner.report.wording import one_line, spare_words, sure_words

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.firm.jobs import Gate
    from planner.domain.firm.records import Hold

#: What the two days know, and what they do not.
LEFT_OUT = (
    "The day to promise counts the spread of hours, wet spells, sick people, broken machines, late "
    "deliveries and the jobs before it, not plans to come. planner estimate leaves out weather and jobs."
)
#: So many hurt jobs are named on the page; the data holds all.
NAMED = 6


def promise_page(console: Console, offer: Offer) -> None:
    """The two dates to choose from, and what an earlier one costs whom."""
    client = f" {one_line(offer.client)}" if offer.client else ""
    say(console, f"{offer.job}{client}: {advice(offer)}", style="bold")
    percent, name = f"{offer.percentile:.0f} %", sure_words(offer.percentile)
    say(
        console,
        f"  {name:<14}{long_day(offer.percentile_day)}: kept in {percent} of the played seasons",
        hang=16,
    )
    say(
        console,
        f"  earliest      {long_day(offer.earliest)}: if all goes as planned; no promise suffers",
        hang=16,
    )
    hours = f"{offer.crew_h:g} crew-h" if offer.crew_h else ""
    say(console, f"  place         {offer.crew}, from {day_words(offer.start)}: {hours}", hang=16)
    for gate in offer.waits:
        say(console, f"  waits for     {wait_words(gate)}", hang=16)
    if offer.shifted:
        moved = ", ".join(offer.shifted[:NAMED]) + (" ..." if len(offer.shifted) > NAMED else "")
        say(console, f"  moved for it  {moved}, inside their promises", hang=16)
    for line in others_lines(offer):
        say(console, line, hang=16)
    for earlier in offer.earlier:
        for line in earlier_words(earlier):
            say(console, line, hang=16)
    if not offer.earlier:
        say(console, "  earlier       no earlier place was found, even at others' cost", hang=16)
    say(console, f"  {LEFT_OUT}", hang=2)


def advice(offer: Offer) -> str:
    """What to do: "promise Fri May 7, 2027."; or that no day of this season is sure enough."""
    if offer.in_season:
        return f"promise {long_day(offer.percentile_day)}."
    sure = f"with {offer.percentile:.0f} %"
    if offer.earlier:
        return (
            f"no day of this season is kept {sure} without hurting another: choose an earlier one, or wait."
        )
    return f"no day of this season is kept {sure}, not even before others: promise next season."


def others_lines(offer: Offer) -> list[str]:
    """What the place does to the chances of others."""
    change = f"{offer.kept_change:+.1f} of their promises kept on average (±{offer.kept_error:.1f})"
    if not offer.others:
        return [f"  others        no promise loses 2 points or more: {change}"]
    named = [
        f"{o.job} {one_line(o.client)[:24]} {o.before_chance:.0%} to {o.then_chance:.0%}"
        for o in offer.others[:NAMED]
    ]
    more = f" and {len(offer.others) - NAMED} more" if len(offer.others) > NAMED else ""
    return [f"  others        {', '.join(named)}{more}: {change}"]


def wait_words(gate: Gate) -> str:
    """ "utility locate (asked today): dig not before Thu Apr 8"."""
    return f"{gate.kind.value} ({one_line(gate.note)}): {gate.phase.words} not before {day_words(gate.opens)}"


def earlier_words(earlier: Earlier) -> list[str]:
    """ "earlier  Fri May 7, 2027 would cost $1,250 more and make 2 jobs late: ..."."""
    hurt = earlier.hurts
    jobs = (
        "makes no promise late on paper"
        if not hurt
        else f"makes {len(hurt)} {'job' if len(hurt) == 1 else 'jobs'} later"
    )
    days = sum(h.late_days for h in hurt)
    named = [f"{h.job} {one_line(h.client)[:24]} {spare_words(-h.late_days)}" for h in hurt[:NAMED]]
    more = f" and {len(hurt) - NAMED} more" if len(hurt) > NAMED else ""
    price = money(abs(earlier.more_cents))
    costs = f"costs {price} more" if earlier.more_cents >= 0 else f"costs {price} less"
    if round(earlier.kept_change, 1):
        jobs = f"{jobs}, others keep {earlier.kept_change:+.1f} promises on average"
    line = f"  earlier       {long_day(earlier.finish)} {costs} and {jobs}"
    return [line + (f" ({days} working days late in all): {', '.join(named)}{more}" if hurt else "")]


def promise_data(offer: Offer) -> dict[str, Any]:
    """The offer for `--json`; the plan behind it is left out."""
    return {
        "job": offer.job,
        "client": offer.client,
        "crew": offer.crew,
        "start": offer.start,
        "crew_h": offer.crew_h,
        "waits": list(offer.waits),
        "earliest": offer.earliest,
        "percentile_day": offer.percentile_day,
        "percentile": offer.percentile,
        "in_season": offer.in_season,
        "others": list(offer.others),
        "kept_change": offer.kept_change,
        "kept_error": offer.kept_error,
        "moved_inside_promises": list(offer.shifted),
        "earlier": list(offer.earlier),
    }


def held_words(hold: Hold) -> str:
    """A place that is held from now on."""
    days = f"{day_words(hold.start)} to {day_words(hold.finish)}" if hold.start and hold.finish else ""
    return f"held for {hold.job} until {day_words(hold.until)}: {hold.crew}, {days}"


def holds_page(console: Console, holds: Sequence[Hold]) -> None:
    """The places held."""
    if not holds:
        say(console, "no place is held: planner promise hold JOB --until DAY")
    for hold in holds:
        when = (
            f"{day_words(hold.start)} to {day_words(hold.finish)}"
            if hold.start and hold.finish
            else "no days"
        )
        note = f" ({one_line(hold.note)})" if hold.note else ""
        say(console, f"{hold.job}: {hold.crew} {when}, held until {day_words(hold.until)}{note}", hang=4)
