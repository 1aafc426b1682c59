"""The database: where it is, what it holds, its copies, the findings of the health check."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from planner.domain.dates import moment_figures
from planner.domain.firm.records import BackupCopy, Finding
from planner.domain.wording import counted
from planner.report.keeping.rows import table_of, tell
from planner.report.terminal import show_table

if TYPE_CHECKING:
    from rich.console import Console


def state_page(
    console: Console,
    name: str,
    revision: str | None,
    newest_revision: str,
    size_bytes: int | None,
    entries: Mapping[str, int],
    copies: Sequence[BackupCopy],
) -> None:
    """Where the database is, what it holds, which copies there are."""
    tell(console, f"database  {name}")
    if revision is None:
        tell(console, "form      empty: make it with  planner db create")
    elif revision != newest_revision:
        tell(console, f"form      {revision}, this program needs {newest_revision}: run  planner db upgrade")
    else:
        tell(console, f"form      {revision}, up to date")
    if size_bytes is not None:
        tell(console, f"size      {size_bytes / 1e6:.1f} MB")
    if entries:
        told = ((n, what.replace("_", " ")) for what, n in entries.items())
        tell(console, "holds     " + ", ".join(counted(n, what.removesuffix("s"), what) for n, what in told))
    console.print()
    copies_page(console, copies)


def copies_page(console: Console, copies: Sequence[BackupCopy]) -> None:
    """The backups, newest first."""
    if not copies:
        tell(console, "no backups yet: make one with  planner db backup")
        return
    table = table_of("made", "why", "MB", "file", right=("MB",), fold=("file",))
    for copy in copies:
        table.add_row(moment_figures(copy.made_at), copy.why, f"{copy.size_bytes / 1e6:.1f}", Text(copy.path))
    show_table(console, table)


def findings_page(console: Console, found: Sequence[Finding]) -> None:
    """The findings of the health check, each with its advice."""
    if not found:
        tell(console, "all is well: file, references, published plan, rates, backups")
    for finding in found:
        tell(console, f"{'WRONG' if finding.grave else 'note'}  {finding.what}")
        tell(console, f"       {finding.advice}")
