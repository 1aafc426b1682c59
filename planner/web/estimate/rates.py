"""The rate book: its editions and rows, out as a table and back, jobs moved on to the newest."""

from __future__ import annotations

from base64 import b64decode, b64encode
from typing import TYPE_CHECKING

from planner.errors import BadInput
from planner.report.terminal import as_text
from planner.web.desk import File, Go, Page, Visit

if TYPE_CHECKING:
    from planner.domain.estimate.rates import Rate, RateBook

#: A table of rates is at most so long [bytes].
TABLE_BYTES = 1_000_000


def rates(visit: Visit) -> Page:
    """The editions, and the rows of one of them; narrowed by how their names begin, or to shipped guesses."""
    from planner.flow.estimate.estimates import rate_book, rate_books
    from planner.report.estimate.rates import book_page, editions_page

    books = rate_books(visit.location)
    book = rate_book(visit.location, visit.typed("edition") or None)
    begins, guesses = visit.typed("row").strip(), visit.typed("defaults") == "yes"
    rows = [r for r in book.rows.values() if r.key.startswith(begins) and (r.is_default or not guesses)]
    view = {
        "editions": as_text(lambda console: editions_page(console, books)),
        "names": [b.edition for b in books],
        "edition": book.edition,
        "row": begins,
        "guesses": guesses,
        "text": as_text(lambda console: book_page(console, book, rows)),
        "many": len(rows),
    }
    return Page("estimate/rates.html", view)


def export(visit: Visit) -> File:
    """The rows of an edition as a CSV table."""
    from planner.domain.estimate.rate_sheet import written
    from planner.flow.estimate.estimates import rate_book

    book = rate_book(visit.location, visit.typed("edition") or None)
    return File(written(book), "text/csv; charset=utf-8", f"rates-{book.edition}.csv")


def look(visit: Visit) -> Page:
    """What a table of the firm's own rates would change; nothing is kept yet."""
    from planner.report.estimate.rates import book_page

    name, raw = visit.upload(TABLE_BYTES, "choose the table (CSV) first")
    book, rows = _read(visit, raw, name, dry_run=True)
    view = {
        "name": name,
        "text": as_text(lambda console: book_page(console, book, rows)),
        "content": b64encode(raw).decode(),
        "edition": visit.typed("edition").strip(),
        "words": visit.typed("note").strip(),
    }
    return Page("estimate/rates_seen.html", view)


def read_in(visit: Visit) -> Go:
    """Keep the table that was looked at as a new edition."""
    name = visit.typed("name") or "rates.csv"
    try:
        raw = b64decode(visit.typed("content"), validate=True)
    except ValueError:
        raise BadInput("file", name, "choose it again: the form does not hold it whole") from None
    book, _ = _read(visit, raw, name, dry_run=False)
    said = f"kept as rate book {book.edition}; jobs told before keep theirs until they are moved on"
    return Go("/rates", said)


def _read(visit: Visit, raw: bytes, name: str, *, dry_run: bool) -> tuple[RateBook, list[Rate]]:
    from planner.flow.estimate.estimates import import_rates
    from planner.flow.keeping.paths import text_of

    return import_rates(
        *(visit.location, text_of(raw, name), name[:100], visit.today),
        who=visit.who,
        edition=visit.typed("edition").strip() or None,
        note=visit.typed("note").strip(),
        dry_run=dry_run,
    )


def adopt(visit: Visit) -> Go:
    """Let the newest edition tell jobs that an older one told; every inquired and sold one unless named."""
    from planner.flow.stored.editions import move_on

    codes = [code for code in visit.typed("jobs").replace(",", " ").split() if code]
    newest, moved = move_on(visit.location, codes, visit.who)
    said = f"rate book {newest.edition} tells {', '.join(moved)} from now on; now plan again"
    return Go("/rates", said if moved else f"nothing changed: rate book {newest.edition} tells them already")


#: (address, what answers, whether it writes)
PAGES = (
    ("/rates", rates, False),
    ("/rates/table.csv", export, False),
    ("/rates/look", look, True),
    ("/rates/read", read_in, True),
    ("/rates/adopt", adopt, True),
)
