"""The desk that every page stands on: the database's place, the clock, the keys; a request with its person.

A page's function takes a `Visit` and returns a `Page` (template and values), or a redirect with a line said.
Refusals of `flow` become a page with the same line as in the terminal.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from threading import Lock, RLock
from typing import Any, TypeVar, cast

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from planner.errors import BadInput
from planner.web.keys import Keys, Session
from planner.web.work import Work

T = TypeVar("T")
#: So many values are kept at most.
MOST_KEPT = 200
_NOTHING = object()


@dataclass(slots=True)
class Sharing:
    """How others reach this server. base: how they call it, "" while nobody can; hosts: each "name:port"
    under which it answers; begin, end: open and close the door to the office network, None where none is.
    """

    base: str = ""
    hosts: set[str] = field(default_factory=set)
    begin: Callable[[], None] | None = None
    end: Callable[[], None] | None = None


class Memo:
    """What was worked out for a page, until anything stored changes or the minute is over."""

    def __init__(self) -> None:
        """Nothing yet."""
        self._lock = Lock()
        self._making = RLock()
        self._stamp: object = None
        self._kept: dict[object, Any] = {}

    def once(self, stamp: object, key: object, make: Callable[[], T]) -> T:
        """What `make` gives for the key; made again only when the stamp is another one.

        One at a time: who asks for the same meanwhile waits for it instead of working it out as well.
        """
        found = self._found(stamp, key)
        if found is not _NOTHING:
            return cast("T", found)
        with self._making:
            found = self._found(stamp, key)
            if found is not _NOTHING:
                return cast("T", found)
            made = make()
            with self._lock:
                if stamp == self._stamp and len(self._kept) < MOST_KEPT:
                    self._kept[key] = made
            return made

    def forget(self) -> None:
        """Nothing any more: the whole book is another one."""
        with self._lock:
            self._stamp, self._kept = None, {}

    def _found(self, stamp: object, key: object) -> object:
        with self._lock:
            if stamp != self._stamp:
                self._stamp, self._kept = stamp, {}
            return self._kept.get(key, _NOTHING)


@dataclass(frozen=True, slots=True)
class Desk:
    """What one server knows. now: the firm's wall clock; note: what stands on every page, or ""; tables:
    those of the guide that only the terminal knows, by name.
    """

    location: str
    now: Callable[[], datetime]
    keys: Keys
    note: str = ""
    sharing: Sharing = field(default_factory=Sharing)
    work: Work = field(default_factory=Work)
    memo: Memo = field(default_factory=Memo)
    memo_of_chances: Memo = field(default_factory=Memo)
    tables: Mapping[str, Callable[[], Sequence[tuple[str, ...]]]] = field(default_factory=dict)

    def keep_chances(self, played: Mapping[str, str]) -> None:
        """Remember how likely each promise is kept until anything stored changes."""
        self.memo_of_chances.forget()
        self.memo_of_chances.once(self._mark(), "chances", lambda: dict(played))

    def chances(self) -> dict[str, str]:
        """Job -> how likely its promise is kept, as it was played last; {} when something changed since."""
        return self.memo_of_chances.once(self._mark(), "chances", dict[str, str])

    def _mark(self) -> tuple[int, object]:
        from planner.flow.keeping.history import newest_change
        from planner.flow.stored.weather import forecast_mark

        return newest_change(self.location), forecast_mark(self.location)

    def once(self, key: object, make: Callable[[], T]) -> T:
        """A value worked out from what is stored, made once until something changes or the minute is over."""
        return self.memo.once((*self._mark(), self.now()), key, make)


@dataclass(frozen=True, slots=True)
class Visit:
    """One request: who asks, for what, with which form."""

    desk: Desk
    session: Session
    request: Request
    form: FormData = field(default_factory=FormData)

    @property
    def location(self) -> str:
        """Where the database is."""
        return self.desk.location

    @property
    def who(self) -> str:
        """The name that the history keeps."""
        return self.session.who

    @property
    def now(self) -> datetime:
        """The firm's wall clock."""
        return self.desk.now()

    @property
    def today(self) -> date:
        """The day of `now`."""
        return self.now.date()

    def typed(self, name: str, default: str = "") -> str:
        """A field of the form, or of the address, as text."""
        value = self.form.get(name, self.request.query_params.get(name, default))
        return value if isinstance(value, str) else default

    def ticked(self, name: str) -> list[str]:
        """All values of a field of the form, or of the address: the boxes that are ticked."""
        shelf = self.form if self.form else self.request.query_params
        return [value for value in shelf.getlist(name) if isinstance(value, str)]

    def back(self, otherwise: str = "/") -> str:
        """The page of this office that the form came from."""
        typed = self.typed("_from")
        ours = typed.startswith("/") and not typed.startswith(("//", "/\\"))
        return typed if ours and typed.isprintable() else otherwise

    def number(self, name: str) -> int | None:
        """A field as a whole number, None when it is empty or no number."""
        typed = self.typed(name)
        return int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 10 else None

    def upload(self, most: int, ask: str, longer: str = "is it the right one?") -> tuple[str, bytes]:
        """Name and content of the file that the form brought. most: its greatest length [bytes].

        BadInput without one (the fix is `ask`) and for one that is longer (the fix is `longer`).
        """
        found = self.form.get("file")
        if not isinstance(found, UploadFile) or not found.filename:
            raise BadInput("file", "", ask)
        name = found.filename[:100]
        raw = found.file.read(most + 1)
        if len(raw) > most:
            raise BadInput("file", name, f"it is longer than {most} bytes: {longer}")
        return name, raw

    def texts(self) -> dict[str, str]:
        """Every text field of the form but the token."""
        return {k: v for k, v in self.form.items() if isinstance(v, str) and not k.startswith("_")}


@dataclass(frozen=True, slots=True)
class Page:
    """A template of planner/data/web and what it shows. status: of the answer."""

    template: str
    view: Mapping[str, Any]
    status: int = 200


@dataclass(frozen=True, slots=True)
class Go:
    """After a write: where the browser goes next, and the line that is said there."""

    to: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class File:
    """A whole file: a page made for paper, a calendar, a picture."""

    content: str | bytes
    media: str
    name: str = ""
    policy: str = ""


def told(
    title: str,
    text: str,
    back: str,
    words: str = "",
    ways: tuple[tuple[str, str], ...] = (),
    *,
    prose: bool = False,
) -> Page:
    """An answer in the terminal's own words. back: the page it came from; ways: (words, address) to go on.

    prose: lines without a table, which the page may break where the screen ends.
    """
    view = {"title": title, "text": text, "back": back, "words": words, "ways": ways, "prose": prose}
    return Page("season/told.html", view)
