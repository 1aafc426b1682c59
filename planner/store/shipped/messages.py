"""Messages to clients, from planner/data/messages.toml or the firm's own copy, into domain values."""

from __future__ import annotations

from pathlib import Path

from planner.domain.office.messages import MessageText, checked
from planner.store.shipped.own_file import compared, own_text, shipped_text, table_of

FILE = "messages.toml"


def message_texts(folder: Path | None = None) -> tuple[MessageText, ...]:
    """The texts; one of the firm's own file in `folder` replaces the shipped one. BadInput on a fault."""
    texts = {text.key: text for text in _read(shipped_text(FILE), FILE)}
    own = own_text(folder, FILE)
    if own is not None:
        texts |= {text.key: text for text in _read(own, str((folder or Path()) / FILE))}
    return tuple(texts.values())


def _read(text: str, where: str) -> list[MessageText]:
    table = table_of(text, where)
    with compared(where, FILE):
        rows = [(str(r["key"]), str(r["words"]), str(r["text"]).strip()) for r in table.get("message", [])]
    return [checked(MessageText(*row), where) for row in rows]
