"""Pages about plans: the list, one plan's standing, what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from planner.domain.dates import day_words, long_moment, moment_words
from planner.domain.firm.firm import Firm, Weights
from planner.domain.season.cost import COUNTED
from planner.domain.season.plan import Plan
from planner.domain.standing.stale import stale_words
from planner.domain.standing.standing import JobStanding, PlanStanding
from planner.domain.wording import counted, number
from planner.report.terminal import show_table
from planner.report.wording import one_line, plan_words, spare_words

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.firm.records import PlanHead


def money(cents: int) -> str:
    """Whole dollars: "$12,345"."""
    return f"${cents / 100:,.0f}"


def thinned_words(gone: Sequence[int]) -> str:
    """Which drafts were removed, by their numbers.

    >>> thinned_words([3, 4, 7])
    'removed 3 drafts, 3 to 7'
    """
    if not gone:
        return "no draft is that old"
    return f"removed {counted(len(gone), 'draft')}, {gone[0]} to {gone[-1]}"


def versions_page(console: Console, heads: Sequence[PlanHead]) -> None:
    """All plans, newest first."""
    if not heads:
        console.print(Text("no plan yet: make one with  planner plan make"))
        return
    table = Table(box=None, pad_edge=False)
    for name, side in (
        ("plan", "right"),
        ("made", "left"),
        ("told", "left"),
        ("how good", "left"),
        ("cost", "right"),
    ):
        table.add_column(name, justify="right" if side == "right" else "left")
    table.add_column("note", overflow="fold")
    for head in heads:
        told = f"{moment_words(head.published_at)}" if head.published_at else "draft"
        table.add_row(
            str(head.number),
            f"{moment_words(head.made_at)}",
            told,
            head.state,
            money(head.total_cents),
            Text(head.note),
        )
    show_table(console, table)


def plan_page(
    console: Console, plan: Plan, standing: PlanStanding, firm: Firm, before: Plan | None = None
) -> None:
    """One plan: its promises, its cost by name beside that of the plan `before`, and each job's days."""
    console.print(Text(headline(plan, standing), style="bold"))
    console.print(Text(quality(plan, standing)))
    if standing.moved:
        console.print(Text(one_line(stale_words(standing.moved)), style="bold"))
    console.print()
    show_table(console, _costs(costs(plan, standing, firm, before), before))
    console.print()
    table = Table(box=None, pad_edge=False)
    for name in ("job", "client", "first day", "last day", "crews", "promised", ""):
        table.add_column(name, overflow="ellipsis" if name == "client" else "fold", no_wrap=name == "client")
    table.columns[1].max_width = 24
    for job in standing.jobs:
        table.add_row(*_row(job))
    show_table(console, table)


def headline(plan: Plan, standing: PlanStanding) -> str:
    """ "Plan 3, draft: 22 jobs, 21 of 22 promises kept"."""
    told = f" {long_moment(plan.published_at)}" if plan.published_at else ""
    name = plan_words(plan.number, plan.published_at is not None).split(":")[0].capitalize()
    kept = f"{standing.kept} of {counted(standing.promised, 'promise')} kept"
    return f"{name}{told}: {counted(len(standing.jobs), 'job')}, {kept}"


def quality(plan: Plan, standing: PlanStanding) -> str:
    """How good the plan is known to be; a gap only where a bound was proved."""
    parts = [plan.state.value]
    if standing.better_than_rule is not None and plan.dispatch_cents:
        parts.append(f"{cheaper_words(standing.better_than_rule)} ({money(plan.dispatch_cents)})")
    if standing.gap is not None:
        parts.append(f"at most {standing.gap:.1%} above the cheapest possible plan")
    else:
        parts.append("can't say how close this is to the cheapest plan")
    return "; ".join(parts)


def progress_line(stage: str, best_cents: int, late_jobs: int, improvement: float, elapsed_s: float) -> str:
    """One live line while the scheduler works.

    >>> progress_line("local search", 1234500, 2, 0.31, 4.2)
    'local search: best $12,345, 2 late, 31% cheaper than sending the first free crew, 4 s'
    """
    late = "none late" if not late_jobs else f"{late_jobs} late"
    return f"{stage}: best {money(best_cents)}, {late}, {cheaper_words(improvement)}, {elapsed_s:.0f} s"


def cheaper_words(share: float) -> str:
    """How a plan stands against the best simple rule: each work to the first crew that is free.

    >>> cheaper_words(0.18), cheaper_words(0.0)
    ('18% cheaper than sending the first free crew', 'no cheaper than sending the first free crew')
    """
    much = f"{share:.0%}" if round(share, 2) > 0 else "no"
    return f"{much} cheaper than sending the first free crew"


def gap_words(best_cents: int, bound_cents: int | None) -> str:
    """How far the best may be from the cheapest, as the end of a progress line.

    >>> gap_words(114000, 100000), gap_words(114000, None)
    (', at most 14% above the cheapest possible plan', '')
    """
    if not bound_cents or bound_cents <= 0:
        return ""
    return f", at most {max(0.0, best_cents / bound_cents - 1):.0%} above the cheapest possible plan"


def search_words(plan: Plan) -> str:
    """What was spent on a plan that was just made, and what it brought."""
    spent = plan.search
    assert spent is not None
    rule = "none" if plan.dispatch_cents is None else money(plan.dispatch_cents)
    bound = "none proven" if plan.bound_cents is None else money(plan.bound_cents)
    cores = "" if spent.cores == 1 else f" on each of {spent.cores} cores"
    return (
        f"Price {money(plan.cost.total_cents)}, rule's price {rule}, bound {bound}; seed {plan.seed},"
        f" {spent.steps:,} steps{cores}, {spent.wall_s:.1f} s of wall,"
        f" {spent.processor_s:.1f} s of processor."
    )


def search_data(plan: Plan) -> dict[str, object]:
    """The same for `--json`."""
    spent = plan.search
    assert spent is not None
    return {
        "price_cents": plan.cost.total_cents,
        "rule_cents": plan.dispatch_cents,
        "bound_cents": plan.bound_cents,
        "seed": plan.seed,
        "steps": spent.steps,
        "cores": spent.cores,
        "wall_s": round(spent.wall_s, 2),
        "processor_s": round(spent.processor_s, 2),
    }


def plan_data(plan: Plan, standing: PlanStanding, before: Plan | None = None) -> dict[str, object]:
    """The plan for `--json`: money in cents, times as ISO 8601, bookings in order of start."""
    return {
        "before": None
        if before is None
        else {"number": before.number, "total_cents": before.cost.total_cents},
        "number": plan.number,
        "made_at": plan.made_at,
        "published_at": plan.published_at,
        "note": plan.note,
        "seed": plan.seed,
        "state": plan.state.value,
        "cost_cents": dict(plan.cost.cents),
        "total_cents": plan.cost.total_cents,
        "dispatch_cents": plan.dispatch_cents,
        "bound_cents": plan.bound_cents,
        "promised": standing.promised,
        "kept": standing.kept,
        "stale": [m.words for m in standing.moved],
        "jobs": list(standing.jobs),
        "bookings": [
            {
                "job": b.job,
                "phase": b.phase.value,
                "part": b.key.part,
                "crews": list(b.crews),
                "machines": [{"kind": use.kind, "unit": use.unit} for use in b.machines],
                "start": b.start,
                "end": b.end,
                "crew_h": b.all_crew_h,
            }
            for b in sorted(plan.bookings, key=lambda b: (b.start, b.key))
        ],
    }


def costs(plan: Plan, standing: PlanStanding, firm: Firm, before: Plan | None) -> list[tuple[str, ...]]:
    """Each term that one of both plans pays, and the total: its name, the plan's dollars, how they are
    reckoned; with `before` its dollars and the change between the two.

    Not how, where the firm was changed since the plan was made: its prices may have been others.
    """
    old = before.cost.cents if before else {}
    known = not any(m.noun == "firm" for m in standing.moved)
    rows = []
    for name in dict.fromkeys([*plan.cost.cents, *old]):
        cents = plan.cost.cents.get(name, 0)
        if cents or old.get(name):
            beside = _beside(cents, None if before is None else old.get(name, 0))
            rows.append((name, *beside, _reckoned(firm.weights, name, cents) if known else ""))
    total = _beside(plan.cost.total_cents, None if before is None else before.cost.total_cents)
    return [*rows, ("total", *total, "")]


def _reckoned(weights: Weights, name: str, cents: int) -> str:
    """How a term comes to its dollars: "8 days late at $250"."""
    if name not in COUNTED or not cents:
        return {"moved": "by job, near or later", "machine moves": "at each machine's price"}.get(name, "")
    field, one, many = COUNTED[name]
    price = getattr(weights, field)
    if not price:
        return ""
    much = round(cents / 100 / price, 1)
    return f"{number(much)} {one if much == 1 else many} at ${price:,.{0 if price % 1 == 0 else 2}f}"


def _costs(rows: Sequence[tuple[str, ...]], before: Plan | None) -> Table:
    """The terms as a table."""
    table = Table(box=None, pad_edge=False, show_header=before is not None)
    table.add_column("cost", no_wrap=True)
    table.add_column("this plan", justify="right", no_wrap=True)
    if before is not None:
        table.add_column(f"plan {before.number}", justify="right", no_wrap=True)
        table.add_column("change", justify="right", no_wrap=True)
    table.add_column("how")
    for row in rows:
        table.add_row(*row, style="bold" if row[0] == "total" else None)
    return table


def _beside(cents: int, before: int | None) -> tuple[str, ...]:
    if before is None:
        return (money(cents),)
    sign = "-" if cents < before else "+" if cents > before else ""
    return money(cents), money(before), f"{sign}{money(abs(cents - before))}"


def _row(job: JobStanding) -> tuple[Text, ...]:
    note = one_line(job.hindrance) or spare_words(job.spare_days)
    cells = (
        job.code,
        job.client,
        f"{day_words(job.first)}",
        f"{day_words(job.last)}",
        " > ".join(job.crews),
        f"{day_words(job.promised)}" if job.promised else "-",
        note.upper() if job.late else note,
    )
    return tuple(Text(cell) for cell in cells)
