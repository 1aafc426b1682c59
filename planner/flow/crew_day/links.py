"""A crew's own link: the word in it opens that crew's days and nothing else; renewed or cut at any time.

Kept beside the database, for its owner only: one secret and, for each crew, how often its link was renewed.
The word is a keyed digest of both, so no word is stored, and an old one stops to fit when it is renewed.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
from dataclasses import dataclass, field
from pathlib import Path

from planner.errors import BadInput, PlannerError
from planner.flow.keeping.paths import beside, write
from planner.store.engine import Store

FILE = "crew-links.json"
#: Length of the word in a link [hex digits]: 128 bits.
WORD = 32


@dataclass(slots=True)
class _Links:
    """secret: of this office; turns: crew -> how often its link was renewed; absent: it has none."""

    secret: str
    turns: dict[str, int] = field(default_factory=dict)


def crew_words(location: str) -> dict[str, str]:
    """Crew -> the word of its link, for the crews that have one."""
    kept = _read(_place(location))
    return {} if kept is None else {crew: _word(kept, crew) for crew in kept.turns}


def crew_of(location: str, word: str) -> str | None:
    """The crew whose link holds the word, None when no link does (any more)."""
    found = [crew for crew, own in crew_words(location).items() if hmac.compare_digest(own, word)]
    with Store(location).reading() as book:
        return found[0] if found and book.has_crew(found[0]) else None


def renew_link(location: str, crew: str) -> str:
    """A new link for the crew; the old one stops to work. Returns its word. BadInput for an unknown crew."""
    with Store(location).reading() as book:
        if not book.has_crew(crew):
            raise BadInput("crew", crew, "unknown crew: see `planner crew list`")
    place = _place(location)
    kept = _read(place) or _Links(secrets.token_hex(32))
    kept.turns[crew] = kept.turns.get(crew, secrets.randbelow(1_000_000)) + 1
    _write(place, kept)
    return _word(kept, crew)


def cut_link(location: str, crew: str) -> bool:
    """Take the crew's link away; False when it had none."""
    place = _place(location)
    kept = _read(place)
    if kept is None or crew not in kept.turns:
        return False
    del kept.turns[crew]
    kept.secret = kept.secret if kept.turns else secrets.token_hex(32)
    _write(place, kept)
    return True


def _place(location: str) -> Path:
    return beside(location, FILE)


def _word(kept: _Links, crew: str) -> str:
    said = f"{crew}\n{kept.turns[crew]}".encode()
    return hmac.new(bytes.fromhex(kept.secret), said, hashlib.sha256).hexdigest()[:WORD]


def _read(place: Path) -> _Links | None:
    if not place.exists():
        return None
    try:
        data = json.loads(place.read_text("utf-8"))
        turns = {str(crew): int(n) for crew, n in data["turns"].items()}
        bytes.fromhex(data["secret"])
        return _Links(str(data["secret"]), turns)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        raise PlannerError(f"{place} cannot be read: take it away, then renew the crews' links") from None


def _write(place: Path, kept: _Links) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    write(place, json.dumps({"secret": kept.secret, "turns": kept.turns}))
