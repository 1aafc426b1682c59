"""`planner rates ...`: look at the rate book, learn from logs, out to a table and back, moving jobs on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge
from planner.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.estimate.rates import Rate, RateBook

group = typer.Typer(
    help="The rate book: look, learn from logged hours, out and back.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Edition = Annotated[str | None, typer.Option(help="Edition; the newest when left out.")]


def register(app: typer.Typer) -> None:
    """Add the group `rates`."""
    app.add_typer(group, name="rates")


@group.command(name="list")
def list_editions(as_json: edge.JsonFlag = False) -> None:
    """List all editions of the rate book, oldest first.

    Example: planner rates list
    """
    from planner.flow.estimate.estimates import rate_books
    from planner.report.estimate import rates as pages

    books = rate_books(edge.location())
    data = [_head(book) for book in books]
    edge.show("rate editions", data, lambda console: pages.editions_page(console, books), as_json=as_json)


@group.command()
def show(
    keys: Annotated[
        list[str] | None,
        typer.Argument(help="Beginnings of row names, like dig or rock.set; all when left out."),
    ] = None,
    edition: Edition = None,
    defaults: Annotated[
        bool, typer.Option("--defaults", help="Only rows that are still shipped guesses.")
    ] = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Show an edition: every row with low, likely, high and its source, and what logs taught.

    Example: planner rates show dig.hand

    Example: planner rates show --defaults
    """
    from planner.flow.estimate.estimates import rate_book
    from planner.report.estimate import rates as pages

    book = rate_book(edge.location(), edition)
    rows = _chosen(book, keys or [], defaults=defaults)
    data = {
        **_head(book),
        "rows": pages.rows_data(rows),
        "learned": list(book.learned),
        "spread": book.spread,
    }
    edge.show("rates", data, lambda console: pages.book_page(console, book, rows), as_json=as_json)


@group.command()
def refit(
    accept: Annotated[
        bool, typer.Option("--accept", help="Save the proposed edition and use it from now on.")
    ] = False,
    start_from: Annotated[
        str | None, typer.Option("--from", help="Edition to learn on top of; the newest when left out.")
    ] = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """Learn from the logged hours of finished jobs: propose the next edition, and test it on the past.

    Nothing is overwritten: older editions stay, and old estimates can be made again with theirs.

    Example: planner rates refit

    Example: planner rates refit --accept
    """
    from planner.flow.estimate.estimates import refit_rates
    from planner.report.estimate import rates as pages

    done = refit_rates(edge.location(), edge.today(), accept=accept, who=edge.who(), start_from=start_from)
    data = pages.refit_data(done.result, done.tested, done.changes, accepted=done.accepted)

    def page(console: Console) -> None:
        pages.refit_page(console, done.result, done.tested, done.changes, accepted=done.accepted)

    edge.show("rates refit", data, page, as_json=as_json)


@group.command()
def adopt(
    jobs: Annotated[
        list[str] | None,
        typer.Argument(
            help="Job codes; every inquired and sold job when left out.",
            show_default=False,
            autocompletion=complete.job_codes,
        ),
    ] = None,
) -> None:
    """Let the newest edition tell jobs that an older one told: their hours, then the next plan's.

    Without it every job keeps the edition that told it.

    Example: planner rates adopt P-014 P-015
    """
    from planner.flow.stored.editions import move_on

    newest, moved = move_on(edge.location(), list(jobs or []), edge.who())
    if not moved:
        edge.say(f"nothing changed: rate book {newest.edition} tells them already")
        return
    edge.say(f"rate book {newest.edition} tells {', '.join(moved)} from now on; next: planner replan")


@group.command(name="export")
def export_rows(
    file: Annotated[Path, typer.Argument(help="File to write, like rates.csv; - for the screen.")],
    edition: Edition = None,
) -> None:
    """Write the rows of an edition as a CSV table.

    Example: planner rates export rates.csv
    """
    from planner.domain.estimate.rate_sheet import written
    from planner.flow.estimate.estimates import rate_book
    from planner.flow.keeping.paths import write

    text = written(rate_book(edge.location(), edition))
    if str(file) == "-":
        typer.echo(text, nl=False)
        return
    write(file, text)
    edge.say(f"wrote {file}: change low, likely, high, then planner rates import {file}")


@group.command(name="import")
def import_rows(
    file: Annotated[
        Path, typer.Argument(help="CSV with the columns key, low, likely, high (source, words).")
    ],
    edition: Annotated[
        str | None, typer.Option(help="Name of the new edition; year-month when left out.")
    ] = None,
    note: Annotated[str, typer.Option(help="A few words to know the edition by.")] = "",
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Check and show, save nothing.")] = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Take the firm's own rates from a CSV table into a new edition; all faults are told at once.

    Example: planner rates import rates.csv --note "our own stone rates"
    """
    from planner.flow.estimate.estimates import import_rates
    from planner.flow.keeping.paths import read_text
    from planner.report.estimate import rates as pages

    text = read_text(file)
    book, rows = import_rates(
        edge.location(),
        text,
        file.name,
        edge.today(),
        who=edge.who(),
        edition=edition,
        note=note,
        dry_run=dry_run,
    )
    data = {**_head(book), "saved": not dry_run, "rows": pages.rows_data(rows)}
    edge.show("rates import", data, lambda console: pages.book_page(console, book, rows), as_json=as_json)
    saved = f"saved as rate book {book.edition}; jobs told before keep theirs until planner rates adopt"
    edge.say("checked, nothing saved" if dry_run else saved)


def _chosen(book: RateBook, keys: list[str], *, defaults: bool) -> list[Rate]:
    rows = [r for r in book.rows.values() if not defaults or r.is_default]
    for key in keys:
        if not any(r.key.startswith(key) for r in book.rows.values()):
            raise BadInput("row", key, "no row begins so; planner rates show lists them all")
    return [r for r in rows if not keys or any(r.key.startswith(key) for key in keys)]


def _head(book: RateBook) -> dict[str, object]:
    return {
        "edition": book.edition,
        "made_on": book.made_on,
        "note": book.note,
        "parent": book.parent,
        "row_count": len(book.rows),
        "defaults": sum(r.is_default for r in book.rows.values()),
        "jobs": list(book.learned_from),
    }
