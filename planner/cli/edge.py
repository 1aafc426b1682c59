"""The edge: where the clock is read, answers are printed, and refusals become one line and an exit code.

Commands compute through `flow`, then call `show` once. stdout carries the answer, stderr the talk. Every
reading command takes `--json`; its envelope is {"planner": NAME, "format": 1, "data": ...}.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from datetime import date, datetime
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TextIO, TypeVar

import typer

from planner.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

D = TypeVar("D", bound=date)

#: `as_json: JsonFlag = False` in a command's signature.
JsonFlag = Annotated[bool, typer.Option("--json", help="Print the answer as JSON with a format version.")]

#: `readable: ReadableFlag = False` in a command that writes a file with names, addresses or prices.
ReadableFlag = Annotated[
    bool, typer.Option("--readable", help="Others on this computer may read the file too.")
]


def location() -> str:
    """Where the database is: --db, else PLANNER_DB, else the user's data folder. A path or a URL."""
    chosen = os.environ.get("PLANNER_DB", "")
    if chosen:
        return chosen
    import platformdirs

    return str(Path(platformdirs.user_data_dir("planner", appauthor=False)) / "season.sqlite3")


def who() -> str:
    """The name written into the history: PLANNER_USER, else the login name, else "office"."""
    return os.environ.get("PLANNER_USER") or os.environ.get("USER") or "office"


def now() -> datetime:
    """The firm's wall clock, naive local time to the minute; PLANNER_NOW (ISO 8601) replaces it in
    rehearsals.
    """
    fixed = os.environ.get("PLANNER_NOW", "")
    if fixed:
        try:
            found = datetime.fromisoformat(fixed).replace(tzinfo=None)
        except ValueError:
            raise BadInput("PLANNER_NOW", fixed, "write a date and time like 2027-04-05T06:45") from None
        return _in_reach(found, "PLANNER_NOW", fixed)
    from planner.flow.keeping.database import firm_now

    found = firm_now(location()).replace(second=0, microsecond=0)
    if not 2000 <= found.year <= 2100:
        raise BadInput("clock", f"{found:%Y-%m-%d}", "set the date of this computer, then repeat")
    return found


def today() -> date:
    """The date of `now`."""
    return now().date()


def day(text: str | None, field: str, default: date | None = None, *, back: bool = False) -> date:
    """A day as a person types it; the default, else today, when nothing was typed.

    back: the name of a weekday means one that has been.
    """
    from planner.domain.firm import entry

    if text is None:
        return default or today()
    _use_the_firms_dates(text)
    return entry.day(field, text, today(), back=back)


def moment(text: str, field: str) -> datetime:
    """A day and a time of day as a person types them."""
    from planner.domain.firm import entry

    _use_the_firms_dates(text)
    return entry.moment(field, text, today())


def _use_the_firms_dates(text: str) -> None:
    """Only figures like 5/4/2027 need the firm's setting to be read before they are."""
    if text[:1].isdigit() and not text[:4].isdigit():
        from planner.flow.keeping.firm import load_firm

        load_firm(location())


def _in_reach(found: D, field: str, text: str) -> D:
    """`found` when its year is one that the planner reckons with."""
    if not 2000 <= found.year <= 2100:
        raise BadInput(field, text, "choose a year from 2000 to 2100")
    return found


def console(*, stderr: bool = False, width: int | None = None) -> Console:
    """A console that neither colors nor cuts when its output is a pipe, and never reads markup."""
    from rich.console import Console

    stream = sys.stderr if stderr else sys.stdout
    if width is None and not stream.isatty():
        width = _size("COLUMNS") or 140
    return Console(file=stream, markup=False, highlight=False, emoji=False, width=width, soft_wrap=False)


def _size(name: str) -> int:
    """The columns or lines that the environment asks for; 0 when it asks for none that a page could have."""
    asked = os.environ.get(name, "")
    return min(int(asked), 1000) if asked.isascii() and asked.isdigit() and len(asked) < 10 else 0


def tolerate_odd_terminals() -> None:
    """What a terminal says of itself stops no command: a width that is no number, an alphabet without "×"."""
    for name in ("COLUMNS", "LINES"):
        if not _size(name):
            os.environ.pop(name, None)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper) and not _unicode(stream):
            stream.reconfigure(errors="replace")


def _unicode(stream: TextIO) -> bool:
    return (stream.encoding or "utf-8").lower().replace("-", "") == "utf8"


def show(name: str, data: Any, page: Callable[[Console], None], *, as_json: bool) -> None:
    """Print the answer once: `data`, or what it gives when called, as JSON, or `page` on the console."""
    if as_json:
        data = data() if callable(data) else data
        envelope = {"planner": name, "format": 1, "data": data}
        json.dump(envelope, sys.stdout, default=_plain, indent=2, ensure_ascii=not _unicode(sys.stdout))
        sys.stdout.write("\n")
    else:
        page(console())


def say(text: str) -> None:
    """One line of talk on stderr; nothing in it moves the cursor or forges a line of its own."""
    sys.stderr.write(plain(text) + "\n")


def plain(text: str) -> str:
    """`text` as a terminal may show it: what is not printable is spelt out."""
    joiner = "\u200d"  # joins the parts of one picture
    return "".join(c if c.isprintable() or c == joiner else repr(c)[1:-1] for c in text)


def confirm(question: str, *, yes: bool) -> None:
    """Ask before something dangerous: `--yes` answers; without a terminal and without it, refuse."""
    if yes:
        return
    if not sys.stdin.isatty():
        raise BadInput("--yes", "missing", f"{question} Say --yes to go ahead without being asked.")
    typer.confirm(question, abort=True)


def agrees(question: str) -> bool:
    """Ask for something more that may as well be left; no, where nobody sits at a terminal."""
    return sys.stdin.isatty() and typer.confirm(question, default=False)


def _plain(value: object) -> object:
    """What `json` cannot write by itself: dates, times, enums, sets, tuples of names."""
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, set | frozenset):
        return sorted(value, key=str)
    if hasattr(value, "__dataclass_fields__"):
        return {name: getattr(value, name) for name in value.__dataclass_fields__}
    return str(value)
