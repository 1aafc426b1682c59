"""Files in and out: CSV for the office's spreadsheets, and the whole firm as one JSON file."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from planner.cli import edge
from planner.errors import BadInput

KINDS = ("jobs", "quantities", "gates", "crews", "machines", "trucks", "people", "days-off", "firm")


def _kinds(incomplete: str) -> list[str]:
    return [k for k in KINDS if k.startswith(incomplete)]


KindName = Annotated[
    str, typer.Argument(metavar="KIND", help=f"One of: {', '.join(KINDS)}.", autocompletion=_kinds)
]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("import")(import_file)
    app.command("export")(export_file)


def import_file(
    kind: KindName,
    file: Annotated[
        str | None, typer.Argument(help="The CSV file (for firm: the JSON file).", show_default=False)
    ] = None,
    template: Annotated[
        str | None, typer.Option(metavar="FILE", help="Write an empty file with an example to fill in.")
    ] = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Only say what would change.")] = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Read a CSV file, or a whole firm as JSON; all or nothing.

    A whole firm goes into an empty database.

    Example: planner import jobs jobs.csv --dry-run
    """
    from planner.flow.keeping import files
    from planner.report.keeping import imports as words

    where, who = edge.location(), edge.who()
    if template is not None:
        files.write_template(where, kind, template)
        edge.say(f"wrote {template}; fill it in below its remarks, then: planner import {kind} {template}")
        if as_json:
            edge.show("import", {"wrote": template, "kind": kind}, lambda _: None, as_json=True)
        return
    if file is None:
        raise BadInput(
            "FILE", "missing", "name the file to read, or write one to fill in with --template FILE"
        )
    if kind == files.FIRM:
        counts = files.import_firm(where, who, file, dry_run=dry_run)
        lines = words.firm_lines(counts)
        data: object = {"dry_run": dry_run, "read": counts}
    else:
        done = files.import_file(where, who, kind, file, dry_run=dry_run, today=edge.today())
        if done.dates:
            edge.say(f"note: {done.dates}")
        for remark in words.remark_lines(done.remarks):
            edge.say(f"note: {remark}")
        lines = words.imported_lines(done.rows, done.added, done.changed)
        data = {"dry_run": dry_run, "rows": done.rows, "added": done.added, "changed": done.changed}
    edge.show("import", data, lambda c: c.print("\n".join(lines)), as_json=as_json)
    edge.say(
        "nothing was changed (--dry-run)"
        if dry_run
        else "imported; next: planner job list, planner plan make"
    )


def export_file(
    kind: KindName,
    file: Annotated[str | None, typer.Argument(help="Where to; to the screen when left out.")] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace the file when it exists.")] = False,
    readable: edge.ReadableFlag = False,
) -> None:
    """Write a CSV file, or the whole firm as JSON.

    Example: planner export jobs jobs.csv
    """
    from planner.flow.keeping import files

    where, to_file = edge.location(), file not in (None, "-")
    whole = kind == files.FIRM
    text = files.export_firm(where) if whole else files.export_text(where, kind, to_file=to_file)
    if file is None or not to_file:
        sys.stdout.write("".join(text))  # read first: a slow reader of the screen must not hold the database
        return
    files.write_export(file, text, overwrite=overwrite, readable=readable)
    edge.say(f"wrote {file}")
