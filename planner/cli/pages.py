"""Writing page files: one place for what can go wrong with a path."""

from __future__ import annotations

from pathlib import Path

from planner.cli import edge
from planner.errors import BadInput


def write_page(path: Path, text: str | bytes, field: str = "--page") -> None:
    """Write `text` to `path` whole, and say so on stderr. Raises BadInput when the path cannot be written."""
    content = text.encode("utf-8") if isinstance(text, str) else text
    try:
        path.write_bytes(content)
    except OSError as fault:
        reason = fault.strerror or "cannot be written"
        raise BadInput(field, str(path), f"{reason.lower()}: choose another file name") from None
    edge.say(f"wrote {path} ({max(1, round(len(content) / 1000))} kB)")
