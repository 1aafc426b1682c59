"""Writing page files: one place for what can go wrong with a path."""

from __future__ import annotations

from pathlib import Path

from planner.cli import edge


def write_page(path: Path, text: str | bytes, field: str = "--page", *, readable: bool = False) -> None:
    """Write `text` to `path` whole, and say so on stderr. Raises BadInput when the path cannot be written.

    A page whose path ends in .pdf is printed. readable: others on this computer may read it too; else only
    its owner.
    """
    from planner.flow.keeping.paths import write

    if isinstance(text, str) and path.suffix.lower() == ".pdf":
        from planner.flow.crew_day.printing import as_pdf

        text = as_pdf(text)
    content = text.encode("utf-8", errors="replace") if isinstance(text, str) else text
    write(path, content, field, readable=readable)
    edge.say(f"wrote {path} ({max(1, round(len(content) / 1000))} kB)")
