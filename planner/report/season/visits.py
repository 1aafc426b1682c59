"""Visits as a table: what, where, how long, when promised."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.report.keeping.rows import date_words, table_of, tell
from planner.report.terminal import show_table
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console


def visits_page(console: Console, visits: Sequence[Job], units: str) -> None:  # noqa: ARG001
    """One line a visit."""
    if not visits:
        tell(console, "no visits: add one with  planner visit add CODE KIND --pond JOB")
        return
    table = table_of(
        "visit", "what", "client", "status", "h", "hands", "not before", "promised",
        right=("h", "hands"), fold=("visit", "client"),
    )  # fmt: skip
    for job in visits:
        table.add_row(
            Text(job.code),
            job.visit.value if job.visit else "",
            Text(one_line(job.client)),
            job.status.value,
            f"{job.on_site_h:g}" if job.on_site_h is not None else "rates",
            str(job.hands),
            date_words(job.release(Phase.VISIT)),
            date_words(job.promised) + job.day_part.mark + (f"; {job.repeats}" if job.repeats else ""),
        )
    show_table(console, table)


def grown_lines(made: Sequence[str]) -> list[str]:
    """Which visits the kept rules made, and how a rule ends; no line for none.

    >>> grown_lines(["V-07-280501"])
    ['Made by their kept rules: V-07-280501 (a rule ends with: planner visit repeat CODE none)']
    """
    ends = "a rule ends with: planner visit repeat CODE none"
    return [f"Made by their kept rules: {', '.join(made)} ({ends})"] if made else []


def repeated_words(made: Sequence[str], there: Sequence[str], rule: str = "") -> str:
    """Which visits a rule made, and which stood there already; rule: as it was typed.

    >>> repeated_words(["V-07-280501"], []), repeated_words([], [], "none")
    ('made V-07-280501', 'the rule is ended; visits that are there stay')
    """
    if rule.strip().lower() == "none":
        return "the rule is ended; visits that are there stay"
    told = f"made {', '.join(made)}" if made else "the rule is kept; it made none yet"
    return told + (f"; there already: {', '.join(there)}" if there else "")
