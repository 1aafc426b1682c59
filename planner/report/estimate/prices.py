"""A job's price for the owner, and the proposal for the client: terminal, page, data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.domain.dates import long_day
from planner.domain.firm.jobs import ITEMS
from planner.domain.firm.money import markup_of
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.wording import shown
from planner.report.pages import page
from planner.report.terminal import say
from planner.report.wording import one_line

if TYPE_CHECKING:
    from datetime import date

    from rich.console import Console

    from planner.domain.season.pricing import Priced, Step

#: What a proposal says is not in it when the job does not ask for it: item -> words.
_NOT_ASKED = {
    "electrician_visits": "electrical work, by a licensed electrician under his own permit",
    "seed_ft2": "seeding",
    "sod_ft2": "sod",
    "plants": "plants",
    "fish": "fish",
    "spring_openings": "opening in later springs",
    "winter_closings": "closing for winter",
}
#: What no proposal of this work includes unless it is written above.
_NEVER = (
    "fees of permits and inspections",
    "rock, roots, buried waste or ground water that nobody could see before digging, beyond the allowance",
    "private lines that nobody marked (sprinklers, lights, drains): please show them to us",
)


def price_page(console: Console, found: Priced) -> None:
    """What it costs and what is asked, for the owner."""
    price, money = found.price, found.money
    say(
        console,
        f"{one_line(found.job.code)}  {one_line(found.job.client)}: ${price.asked_usd:,.0f}",
        style="bold",
    )
    for part in price.parts:
        marked = f" (cost ${part.cost_usd:,.0f})" if part.asked_usd != part.cost_usd else ""
        say(console, f"  {part.name:<17} ${part.asked_usd:>9,.0f}  {part.words}{marked}", hang=4)
    rows = (
        ("overhead", price.overhead_usd, f"{100 * money.overhead:g} % of the parts"),
        (
            "margin",
            price.margin_usd,
            f"{100 * money.margin:g} % of the price, a markup of {100 * markup_of(money.margin):.1f} %",
        ),
        (
            "allowance",
            price.allowance_usd,
            f"{100 * money.allowance:g} % of what is asked, for what nobody can see",
        ),
    )
    for name, usd, words in rows:
        say(console, f"  {name:<17} ${usd:>9,.0f}  {words}", hang=4)
    say(
        console,
        f"Hours at {found.firm.planning_percentile:g} of 100 jobs, set-up of the days on site included.",
    )
    for text in unpriced_lines(found):
        say(console, text, hang=2, style="bold")
    say(console, "Own figures: money.toml beside the database (planner guide own-files).")


def unpriced_lines(found: Priced) -> list[str]:
    """What has no price yet, in one line; none when all has."""
    if not found.price.unpriced:
        return []
    return [f"! Not in the price, no price is known: {'; '.join(map(one_line, found.price.unpriced))}"]


def scope_lines(found: Priced) -> list[tuple[str, str]]:
    """(phase, its quantities) in the order of work."""
    rows = []
    for phase in ORDER:
        told = [
            f"{ITEMS[line.item].words} "
            f"{shown(line.quantity, line.unit.replace('count', ''), found.firm.units)}"
            for line in found.job.lines
            if line.phase is phase and line.quantity > 0 and line.item != "hose_gpm"
        ]
        if told:
            rows.append((phase.words, ", ".join(told)))
    return rows


def left_out(found: Priced) -> list[str]:
    """What is not in it."""
    asked = [words for item, words in _NOT_ASKED.items() if found.job.amount(item) <= 0]
    apart = [f"material and hours that are priced apart: {'; '.join(map(one_line, found.price.unpriced))}"]
    return [*(apart if found.price.unpriced else []), *asked, *_NEVER]


def step_words(step: Step) -> tuple[str, str]:
    """(what it is tied to, its planned day)."""
    if step.due == "deposit":
        return "deposit, to hold the days", "when you say yes"
    name = "when all is done" if step.due == "finish" else f"when {Phase(step.due).words} is done"
    return name, f"planned {long_day(step.day)}" if step.day else "day to be agreed"


def proposal_page(console: Console, found: Priced, today: date) -> None:
    """The proposal as text."""
    say(console, f"{one_line(found.firm.name)}  {one_line(found.firm.phone)}".rstrip(), style="bold")
    say(console, f"Proposal of {long_day(today)} for {one_line(found.job.client)}", style="bold")
    say(console, one_line(found.job.address))
    say(console, "")
    say(console, "What we do", style="bold")
    for phase, words in scope_lines(found):
        say(console, f"  {phase}: {one_line(words)}", hang=4)
    say(console, "")
    say(console, days_words(found))
    say(console, "")
    say(console, f"Price: ${found.price.asked_usd:,.0f}", style="bold")
    say(console, allowance_words(found))
    for step in found.steps:
        name, day = step_words(step)
        say(console, f"  ${step.usd:>12,.2f}  {name}; {day}", hang=17)
    say(console, "")
    say(console, "Not in it", style="bold")
    for words in left_out(found):
        say(console, f"  - {words}", hang=4)
    say(console, "")
    say(console, closing_words())


def days_words(found: Priced) -> str:
    """When the work is planned."""
    if found.first is None or found.last is None:
        return "The days are agreed with you before we begin."
    return (
        f"Planned from {long_day(found.first)} to {long_day(found.last)}; rain moves days, and we call you."
    )


def allowance_words(found: Priced) -> str:
    """What the allowance is for."""
    usd = round(found.price.allowance_usd)
    return (
        f"Of it ${usd:,.0f} is an allowance for what nobody can see before digging. We use it only after we "
        "spoke with you, and take what is not used off the last payment."
    )


def closing_words() -> str:
    """What stands over this page."""
    return "A contract that both sign, the permit and local rules come before this page."


def proposal_html(found: Priced, today: date) -> str:
    """The proposal as one HTML file."""
    return page(
        "proposal.html",
        found=found,
        today=today,
        scope=scope_lines(found),
        days=days_words(found),
        allowance=allowance_words(found),
        steps=[(step.usd, *step_words(step)) for step in found.steps],
        left_out=left_out(found),
        closing=closing_words(),
    )


def price_data(found: Priced) -> dict[str, Any]:
    """Price and payment steps for `--json`."""
    price = found.price
    return {
        "job": found.job.code,
        "asked_usd": price.asked_usd,
        "parts": [
            {
                "part": p.name,
                "words": p.words,
                "cost_usd": round(p.cost_usd, 2),
                "asked_usd": round(p.asked_usd, 2),
            }
            for p in price.parts
        ],
        "overhead_usd": round(price.overhead_usd, 2),
        "margin_usd": round(price.margin_usd, 2),
        "allowance_usd": round(price.allowance_usd, 2),
        "labour_h": round(price.labour_h, 2),
        "burdened_labour_h_usd": round(price.usd_h, 4),
        "unpriced": list(price.unpriced),
        "payments": [{"due": s.due, "amount_usd": s.usd, "day": s.day} for s in found.steps],
    }
