"""Files in and out: CSV for the office's spreadsheets, the whole firm as one file."""

from __future__ import annotations

from base64 import b64decode, b64encode
from binascii import Error as NoBase64

from planner.errors import BadInput
from planner.flow.keeping.files import FIRM
from planner.web.desk import File, Go, Page, Visit

#: A sheet that is looked at first goes through the form once more: at most so long [bytes].
SHEET_BYTES = 3_000_000
#: A whole firm's file is at most so long here [bytes]; a longer one is read in by the terminal.
FIRM_BYTES = 11_000_000


def tables(_: Visit) -> Page:
    """What can be written and read, kind by kind."""
    from planner.flow.keeping.kinds import KINDS

    return Page("keeping/tables.html", {"kinds": list(KINDS), "firm": FIRM})


def export(visit: Visit) -> File:
    """One kind as CSV, or the whole firm as JSON."""
    from planner.flow.keeping import files

    kind = visit.request.path_params["kind"]
    if kind == FIRM:
        return File("".join(files.export_firm(visit.location)), "application/json", "firm.json")
    text = files.export_text(visit.location, kind, to_file=True)
    return File(text, "text/csv; charset=utf-8", f"{kind}.csv")


def template(visit: Visit) -> File:
    """An empty sheet of one kind with an example to fill in."""
    from planner.flow.keeping.files import template_text

    kind = visit.request.path_params["kind"]
    return File(template_text(visit.location, kind), "text/csv; charset=utf-8", f"{kind}-empty.csv")


def look(visit: Visit) -> Page:
    """What a sheet would change; nothing is changed yet."""
    from planner.flow.keeping.files import import_bytes
    from planner.report.keeping.imports import imported_lines, remark_lines

    kind, name, raw = visit.typed("kind"), *_chosen(visit, SHEET_BYTES)
    done = import_bytes(visit.location, visit.who, kind, name, raw, dry_run=True, today=visit.today)
    view = {
        "kind": kind,
        "name": name,
        "lines": imported_lines(done.rows, done.added, done.changed),
        "remarks": [*([done.dates] if done.dates else []), *remark_lines(done.remarks)],
        "content": b64encode(raw).decode(),
        "changes": bool(done.added or done.changed),
    }
    return Page("keeping/table_seen.html", view)


def read_in(visit: Visit) -> Go:
    """Read a sheet in that was looked at: all of it or nothing."""
    from planner.flow.keeping.files import import_bytes
    from planner.report.keeping.imports import imported_lines

    kind, name = visit.typed("kind"), visit.typed("name") or "sheet.csv"
    try:
        raw = b64decode(visit.typed("content"), validate=True)
    except (NoBase64, ValueError):
        raise BadInput("file", name, "choose it again: the form does not hold it whole") from None
    done = import_bytes(visit.location, visit.who, kind, name, raw, dry_run=False, today=visit.today)
    return Go("/firm/tables", f"{name}: {'; '.join(imported_lines(done.rows, done.added, done.changed))}")


def read_firm(visit: Visit) -> Go:
    """Fill an empty book from a whole firm's file; refused when it is not empty."""
    from planner.flow.keeping.files import load_firm_file
    from planner.report.keeping.imports import firm_lines

    name, raw = _chosen(visit, FIRM_BYTES)
    counts = load_firm_file(visit.location, visit.who, name, raw, dry_run=False)
    return Go("/", f"{name} is read in: {', '.join(firm_lines(counts))}")


def _chosen(visit: Visit, most: int) -> tuple[str, bytes]:
    """Name and content of the file that the form brought."""
    return visit.upload(most, "choose the file first", "use `planner import`")


#: (address, what answers, whether it writes)
PAGES = (
    ("/firm/tables", tables, False),
    ("/firm/tables/look", look, True),
    ("/firm/tables/read", read_in, True),
    ("/firm/tables/firm", read_firm, True),
    ("/firm/tables/{kind}-empty.csv", template, False),
    ("/firm/tables/{kind}.csv", export, False),
    ("/firm/tables/{kind}.json", export, False),
)
