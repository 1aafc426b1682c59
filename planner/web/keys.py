"""Keys to the house: the start link that works once, sessions behind a cookie, and the token in every form.

Sessions live in memory and end with the program or after `IDLE_S` without a request. A cookie's value is kept
only as its digest; a form's token is the keyed digest of its session, so it is worth nothing elsewhere.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock

#: A session ends after so long without a request [s].
IDLE_S = 12 * 3600.0
COOKIE = "planner_session"


@dataclass(slots=True)
class Session:
    """Who is there. crew: the crew whose link it is, "" for the office. last: of the newest request [s]."""

    key: str
    who: str
    crew: str = ""
    last: float = 0.0
    notes: list[str] = field(default_factory=list)

    def say(self, text: str) -> None:
        """Keep a line for the next page that this person sees."""
        if text:
            self.notes.append(text)

    def take_notes(self) -> list[str]:
        """The lines kept, once."""
        taken, self.notes = self.notes, []
        return taken


class Keys:
    """The sessions of one server."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        """clock: seconds that only rise; tests hand in their own."""
        self._clock = clock
        self._secret = secrets.token_bytes(32)
        self._starts: dict[str, str] = {}
        self._sessions: dict[str, Session] = {}
        self._lock = Lock()

    def start_link(self, who: str) -> str:
        """A new token that opens one session for `who`, once."""
        token = secrets.token_urlsafe(24)
        with self._lock:
            self._starts[_digest(token)] = who
        return token

    def redeem(self, token: str) -> str | None:
        """The cookie's value for a start token, None when it is unknown or used."""
        with self._lock:
            who = self._starts.pop(_digest(token), None)
            return None if who is None else self._open(who)

    def open(self, who: str, crew: str = "") -> str:
        """A new session's cookie value."""
        with self._lock:
            return self._open(who, crew)

    def _open(self, who: str, crew: str = "") -> str:
        value = secrets.token_urlsafe(32)
        self._sessions[_digest(value)] = Session(_digest(value), who, crew, self._clock())
        return value

    def session(self, value: str | None) -> Session | None:
        """The live session of a cookie's value."""
        if not value:
            return None
        with self._lock:
            found = self._sessions.get(_digest(value))
            now = self._clock()
            if found is None:
                return None
            if now - found.last > IDLE_S:
                del self._sessions[found.key]
                return None
            found.last = now
            return found

    def end(self, session: Session) -> None:
        """Close one session."""
        with self._lock:
            self._sessions.pop(session.key, None)

    def end_crew(self, crew: str) -> None:
        """Close every session that a crew's link opened."""
        with self._lock:
            for key in [k for k, s in self._sessions.items() if s.crew == crew]:
                del self._sessions[key]

    def form_token(self, session: Session) -> str:
        """The token that this session's forms carry."""
        return hmac.new(self._secret, session.key.encode(), hashlib.sha256).hexdigest()

    def fits(self, session: Session, token: str) -> bool:
        """Whether a form's token is this session's."""
        return hmac.compare_digest(self.form_token(session), token)


class Tries:
    """Wrong links, counted over `WINDOW_S`: past `MOST_WRONG` nothing more is tried for a while."""

    MOST_WRONG = 20
    WINDOW_S = 60.0

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        """clock: seconds that only rise; tests hand in their own."""
        self._clock = clock
        self._wrong: list[float] = []
        self._lock = Lock()

    def wrong(self) -> None:
        """One more wrong try."""
        with self._lock:
            self._wrong.append(self._clock())

    def too_many(self) -> bool:
        """Whether so many were wrong that the next must wait."""
        with self._lock:
            since = self._clock() - self.WINDOW_S
            self._wrong = [at for at in self._wrong if at > since]
            return len(self._wrong) >= self.MOST_WRONG


def _digest(value: str) -> str:
    return hashlib.sha256(value.encode()).hexdigest()
