"""Pages of the rate book: the editions, the rows of one, and what a refit proposes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from math import exp, log
from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from planner.domain.dates import day_words, long_day
from planner.domain.estimate.rates import LearnedKind, Rate, RateBook
from planner.domain.wording import counted
from planner.report.estimate.estimates import band_words
from planner.report.terminal import show_table

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.hours.backtest import Backtest, Score
    from planner.domain.hours.refit import Lesson, RefitResult
    from planner.domain.hours.slips import Slip
    from planner.domain.season.effects import Effect

#: Change of a job's hours below which it is not shown [crew-hours].
_LEAST_CHANGE_H = 0.25
#: Hours that look ten times off, asked about one by one.
_MOST_SLIPS = 6


def _table(*columns: str) -> Table:
    table = Table(box=None, pad_edge=False)
    for name in columns:
        table.add_column(name, overflow="fold")
    return table


def editions_page(console: Console, books: Sequence[RateBook]) -> None:
    """All editions, newest last."""
    table = _table("edition", "made", "from", "rows", "defaults", "lessons", "jobs", "note")
    for book in books:
        cells = (
            book.edition,
            f"{long_day(book.made_on)}",
            book.parent or "-",
            str(len(book.rows)),
            str(sum(r.is_default for r in book.rows.values())),
            str(len(book.learned)),
            str(len(book.learned_from)),
            book.note,
        )
        table.add_row(*(Text(cell) for cell in cells))
    show_table(console, table)


def book_page(console: Console, book: RateBook, rows: Sequence[Rate]) -> None:
    """The rows of an edition with their sources, and what it has learned."""
    console.print(Text(f"Rate book {book.edition}, made {long_day(book.made_on)}. {book.note}", style="bold"))
    console.print(Text("low / likely / high: the 10th, 50th and 90th percentile, per US unit"))
    table = _table("row", "low / likely / high", "stands on", "what, and where from")
    for row in rows:
        cells = (row.key, band_words(row), str(row.basis), f"{row.words}. {row.source}")
        table.add_row(*(Text(cell) for cell in cells))
    show_table(console, table)
    _learned(console, book)


def rows_data(rows: Sequence[Rate]) -> list[dict[str, object]]:
    """The rows for `--json`, each with what it stands on."""
    return [{**asdict(row), "stands_on": row.basis} for row in rows]


def _learned(console: Console, book: RateBook) -> None:
    console.print()
    if not book.learned:
        console.print(Text("Nothing learned from logs yet: planner rates refit, once jobs are finished."))
        return
    spread = f"{book.spread.job_log_sd:.3f}"
    console.print(
        Text(f"Learned from {counted(len(book.learned_from), 'job')}; spread common to a job {spread}.")
    )
    table = _table("multiplies hours of", "by", "spread (log)", "jobs")
    for x in book.learned:
        factor = exp(-log(2.0) * x.log_mean) if x.kind is LearnedKind.SIZE else x.factor
        cells = (lesson_words(x.kind, x.target), f"{factor:.3f}", f"{x.log_sd:.3f}", str(x.jobs))
        table.add_row(*(Text(cell) for cell in cells))
    show_table(console, table)


def effects_page(console: Console, changes: Sequence[Effect], *, accepted: bool) -> None:
    """What the proposed edition would change in open jobs, and which promises that would move."""
    moved = [e for e in changes if abs(e.after_h - e.before_h) >= _LEAST_CHANGE_H]
    console.print()
    if not moved:
        console.print(Text("No open job's planned hours would change."))
        return
    which = (
        "planner rates adopt moves them on"
        if accepted
        else "once accepted and moved on by planner rates adopt"
    )
    console.print(Text(f"Open jobs, hours to go as a plan would hold them ({which})", style="bold"))
    table = _table("job", "crew", "now", "then", "change", "days", "promised", "")
    for column in table.columns[2:6]:
        column.justify = "right"
    for e in moved:
        change = f"{e.after_h / e.before_h - 1.0:+.0%}" if e.before_h else "-"
        cells = (
            e.job,
            e.crew,
            f"{e.before_h:g}",
            f"{e.after_h:g}",
            change,
            f"{e.more_days:+d}" if e.more_days else "0",
            f"{day_words(e.promised)}" if e.promised else "-",
            "would move its promise" if e.moves_promise else "",
        )
        table.add_row(*(Text(cell) for cell in cells))
    show_table(console, table)
    late = [e.job for e in changes if e.moves_promise]
    if late:
        few = (
            "has fewer days to spare than it would take more"
            if len(late) == 1
            else ("have fewer days to spare than they would take more")
        )
        console.print(Text(f"Warning: {', '.join(late)} {few}; re-plan before you tell a customer anything."))


def refit_page(
    console: Console,
    result: RefitResult,
    tested: Backtest | None,
    changes: Sequence[Effect] = (),
    *,
    accepted: bool,
) -> None:
    """What was learned: every multiplier old and new, the spreads, the backtest, what was left open."""
    if result.book is None:
        console.print(Text(f"No new edition: {result.why}."))
    else:
        verb = "Saved as" if accepted else "Proposed"
        head = f"{verb} rate book {result.book.edition}, from {result.old.edition}: "
        console.print(
            Text(
                f"{head}{counted(len(result.jobs), 'job')} finished, {_begun(result)}"
                f"{counted(result.observations, 'phase')}",
                style="bold",
            )
        )
        console.print(Text("Hours are multiplied by; the interval holds the true value with 80 %."))
        show_table(console, _lessons(result.lessons))
        for line in (_size_line(result.lessons), _spreads(result.old, result.book)):
            if line:
                console.print(Text(line))
        _open_ends(console, result)
        effects_page(console, changes, accepted=accepted)
    console.print()
    if tested is None:
        console.print(Text("No backtest: it needs two finished jobs, one after the other."))
    else:
        _scores(console, tested)
    if result.book is not None and not accepted:
        console.print()
        console.print(Text("Nothing is changed yet. To use it: planner rates refit --accept"))


def _begun(result: RefitResult) -> str:
    return f"{len(result.begun)} begun, " if result.begun else ""


def lesson_words(kind: LearnedKind, target: str) -> str:
    """ "the firm", "crew Heron", "phase set filters", "work of half size", "rock of half size"."""
    name = target.replace("_", " ")
    if kind is LearnedKind.FIRM:
        return "the firm"
    if kind is LearnedKind.SIZE:
        return f"{'work' if target == 'all' else name} of half size"
    return f"{kind.value} {name if kind is LearnedKind.PHASE else target}"


def _size_line(lessons: Sequence[Lesson]) -> str:
    """What was learned of small and large jobs, in words; "" while it may be nothing."""
    for x in lessons:
        if x.kind is LearnedKind.SIZE and x.target == "all" and not x.low <= 1.0 <= x.high:
            way = "longer" if x.new > 1.0 else "less long"
            return f"Small jobs take you {way} than the book says: × {x.new:.2f} at half the usual size."
    return ""


def _lessons(lessons: Sequence[Lesson]) -> Table:
    table = _table("", "old", "new", "change", "80 % interval", "jobs")
    for column in table.columns[1:]:
        column.justify = "right"
    for x in lessons:
        cells = (
            lesson_words(x.kind, x.target),
            f"{x.old:.3f}",
            f"{x.new:.3f}",
            f"{x.new / x.old - 1.0:+.1%}",
            f"{x.low:.3f} to {x.high:.3f}",
            str(x.jobs),
        )
        table.add_row(*(Text(cell) for cell in cells))
    return table


def _spreads(old: RateBook, new: RateBook) -> str:
    scales = ", ".join(
        f"{phase.replace('_', ' ')} × {scale:.2f}" for phase, scale in sorted(new.spread.phase_scale.items())
    )
    return (
        f"Spread common to a job: {old.spread.job_log_sd:.3f}, now {new.spread.job_log_sd:.3f}. "
        f"Spread of each phase against its rows: {scales}."
    )


def _open_ends(console: Console, result: RefitResult) -> None:
    if result.told_apart:
        console.print(
            Text(f"Not told apart yet (3 jobs on either side are needed): {', '.join(result.told_apart)}.")
        )
    asked = {(slip.job, slip.phase) for slip in result.slips}
    for slip in result.slips[:_MOST_SLIPS]:
        console.print(Text(slip_words(slip)))
    if len(result.slips) > _MOST_SLIPS:
        console.print(
            Text(f"{len(result.slips) - _MOST_SLIPS} more look ten times off; none is learned from.")
        )
    damped = [d for d in result.damped if d[:2] not in asked]
    if damped:
        shown = ", ".join(
            f"{job} {phase.replace('_', ' ')} ({weight:.0%})" for job, phase, weight in damped[:6]
        )
        more = f" and {len(damped) - 6} more" if len(damped) > 6 else ""
        console.print(Text(f"Far off, so they count less: {shown}{more}."))


def slip_words(slip: Slip) -> str:
    """The question about hours that look typed ten times off, and where to put them right."""
    return (
        f"Ten times off? {slip.job} {slip.phase.replace('_', ' ')}: {slip.logged_h:.3g} crew-h logged, "
        f"{slip.likely_h:.3g} would fit. Not learned from: put it right before you accept "
        f"(planner log list --job {slip.job})."
    )


def _scores(console: Console, tested: Backtest) -> None:
    console.print(
        Text(
            f"Backtest {long_day(tested.first)} to {long_day(tested.last)}: each job told from jobs finished "
            "before it began.",
            style="bold",
        )
    )
    table = _table("", "cases", "bias", "mean abs. error", "within safe")
    for column in table.columns[1:]:
        column.justify = "right"
    for words, score in (
        ("whole jobs, rates as they are", tested.jobs_before),
        ("whole jobs, with what was learned", tested.jobs_after),
        ("single phases, rates as they are", tested.phases_before),
        ("single phases, with what was learned", tested.phases_after),
        ("single phases, as they were told then", tested.phases_told),
    ):
        table.add_row(words, *_score(score))
    show_table(console, table)
    console.print(
        Text("Bias: + means more hours worked than told, ± its standard error. " + _judged(tested.jobs_after))
    )


def _judged(score: Score) -> str:
    """Whether the jobs' P80 may be honest, in words."""
    told = f"{score.held} of {counted(score.count, 'job')} within the safe hours: "
    told += f"the long run lies between {score.p80_low:.0%} and "
    verdict = (
        "could still be 80 %."
        if score.honest
        else "is not 80 %: safe hours are told too " + ("narrow." if score.p80_held < 0.8 else "wide.")
    )
    return f"{told}{score.p80_high:.0%}, so it {verdict}"


def _score(score: Score) -> tuple[str, str, str, str]:
    return (
        str(score.count),
        f"{score.bias:+.1%} ± {score.bias_error:.1%}",
        f"{score.mape:.1%}",
        f"{score.held} of {score.count} ({score.p80_low:.0%} to {score.p80_high:.0%})",
    )


def refit_data(
    result: RefitResult, tested: Backtest | None, changes: Sequence[Effect] = (), *, accepted: bool
) -> dict[str, object]:
    """The refit for `--json`."""
    return {
        "old_edition": result.old.edition,
        "new_edition": result.book.edition if result.book else None,
        "accepted": accepted,
        "why": result.why,
        "jobs": list(result.jobs),
        "begun": list(result.begun),
        "observations": result.observations,
        "lessons": list(result.lessons),
        "job_log_sd": {
            "old": result.old.spread.job_log_sd,
            "new": result.book.spread.job_log_sd if result.book else None,
        },
        "phase_scale": dict(result.book.spread.phase_scale) if result.book else {},
        "damped": [{"job": job, "phase": phase, "weight": weight} for job, phase, weight in result.damped],
        "ten_times_off": [
            {"job": x.job, "phase": x.phase, "logged_crew_h": x.logged_h, "likely_crew_h": x.likely_h}
            for x in result.slips
        ],
        "not_told_apart": list(result.told_apart),
        "backtest": tested,
        "open_jobs": [{"moves_promise": e.moves_promise, **asdict(e)} for e in changes],
    }
