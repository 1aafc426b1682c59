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
#: One that a password opened ends sooner: without a request, and in any case [s].
IDLE_OUTSIDE_S, LONGEST_OUTSIDE_S = 2 * 3600.0, 12 * 3600.0
#: Characters of an office password; NIST SP 800-63B-4 (2025), 3.1.1.2: 15 where nothing else is asked.
SHORTEST, LONGEST = 15, 200
COOKIE = "planner_session"


@dataclass(slots=True)
class Session:
    """Who is there. outside: a password opened it; began, last: of its first and newest request [s]."""

    key: str
    who: str
    outside: bool = False
    began: float = 0.0
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

    def open(self, who: str, *, outside: bool = False) -> str:
        """A new session's cookie value."""
        with self._lock:
            return self._open(who, outside=outside)

    def _open(self, who: str, *, outside: bool = False) -> str:
        value, now = secrets.token_urlsafe(32), self._clock()
        self._sessions[_digest(value)] = Session(_digest(value), who, outside, now, now)
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
            idle_s = IDLE_OUTSIDE_S if found.outside else IDLE_S
            if now - found.last > idle_s or (found.outside and now - found.began > LONGEST_OUTSIDE_S):
                del self._sessions[found.key]
                return None
            found.last = now
            return found

    def end(self, session: Session) -> None:
        """Close one session."""
        with self._lock:
            self._sessions.pop(session.key, None)

    def end_others(self, session: Session) -> int:
        """Close every session but this one; how many there were."""
        with self._lock:
            gone = [key for key in self._sessions if key != session.key]
            for key in gone:
                del self._sessions[key]
            return len(gone)

    def form_token(self, session: Session) -> str:
        """The token that this session's forms carry."""
        return hmac.new(self._secret, session.key.encode(), hashlib.sha256).hexdigest()

    def fits(self, session: Session, token: str) -> bool:
        """Whether a form's token is this session's."""
        return hmac.compare_digest(self.form_token(session), token)


class Tries:
    """Wrong tries of one address, counted over `WINDOW_S`: past `most` nothing more is tried for a while.

    All addresses together have ten times as many.
    """

    WINDOW_S = 60.0

    def __init__(self, most: int, clock: Callable[[], float] = time.monotonic) -> None:
        """clock: seconds that only rise; tests hand in their own."""
        self.most = most
        self._clock = clock
        self._wrong: list[tuple[float, str]] = []
        self._lock = Lock()

    def wrong(self, address: str) -> None:
        """One more wrong try from there."""
        with self._lock:
            self._wrong.append((self._clock(), address))

    def too_many(self, address: str) -> bool:
        """Whether so many were wrong that the next from there must wait."""
        with self._lock:
            since = self._clock() - self.WINDOW_S
            self._wrong = [(at, whence) for at, whence in self._wrong if at > since]
            own = sum(whence == address for _, whence in self._wrong)
            return own >= self.most or len(self._wrong) >= 10 * self.most


def digest_of(password: str) -> str:
    """What is kept of a password: an Argon2id digest (RFC 9106) with its salt."""
    from argon2 import PasswordHasher

    return PasswordHasher().hash(password)


def is_it(digest: str, password: str) -> bool:
    """Whether the password is the one of the digest."""
    from argon2 import PasswordHasher
    from argon2.exceptions import Argon2Error, InvalidHash

    try:
        return PasswordHasher().verify(digest, password[:LONGEST])
    except (Argon2Error, InvalidHash):
        return False


def _digest(value: str) -> str:
    return hashlib.sha256(value.encode()).hexdigest()
