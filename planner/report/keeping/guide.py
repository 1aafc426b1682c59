"""The guide as a person reads it: Markdown with its tables filled in, on a terminal or as one HTML page.

Only the Markdown that the topics use is known: headings, paragraphs, lists, fenced blocks, tables; `code`,
**strong** and [links](#topic) inside a line.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

from planner.report.pages import page
from planner.report.terminal import say, show_table

if TYPE_CHECKING:
    from rich.console import Console

Rows = Sequence[tuple[str, ...]]
_TABLE = re.compile(r"^@table (\S+)$", re.MULTILINE)
_FENCE = re.compile(r"^```.*$")
#: A line that a person types.
_COMMAND = re.compile(r"\s*(?:\$ )?planner [a-z-]")
#: How a line begins that is no paragraph.
_OTHERS = ("#", "|", "- ", "```")


@dataclass(frozen=True, slots=True)
class Block:
    """One piece of a topic. kind: title, head, text, list, code or table; rows: of a table, heads first."""

    kind: str
    text: str = ""
    items: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


def filled(text: str, tables: Mapping[str, Callable[[], Rows]]) -> str:
    """`text` with each "@table NAME" replaced by that table as Markdown; KeyError for an unknown one."""
    return _TABLE.sub(lambda found: _as_markdown(tables[found[1]]()), text)


def _as_markdown(rows: Rows) -> str:
    lines = ["| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |" for row in rows]
    return "\n".join([lines[0], "|" + "---|" * len(rows[0]), *lines[1:]])


def blocks(text: str) -> Iterator[Block]:
    """The pieces of a topic in order."""
    lines = text.splitlines()
    at = 0
    while at < len(lines):
        begins = at
        line = lines[at]
        at += 1
        if not line.strip():
            continue
        if _FENCE.match(line):
            while at < len(lines) and not _FENCE.match(lines[at]):
                at += 1
            at += 1
            yield Block("code", "\n".join(lines[begins + 1 : at - 1]))
        elif line.startswith("#"):
            yield Block("title" if line.startswith("# ") else "head", line.lstrip("# "))
        elif line.startswith("|"):
            at = _while(lines, at, lambda one: one.startswith("|"))
            rows = [_cells(one) for one in lines[begins:at] if not one.startswith("|---")]
            yield Block("table", rows=tuple(rows))
        elif line.startswith("- "):
            at = _while(lines, at, lambda one: one.startswith(("- ", "  ")))
            yield Block("list", items=_items(lines[begins:at]))
        else:
            at = _while(lines, at, lambda one: bool(one.strip()) and not one.startswith(_OTHERS))
            yield Block("text", " ".join(one.strip() for one in lines[begins:at]))


def _while(lines: Sequence[str], at: int, holds: Callable[[str], bool]) -> int:
    while at < len(lines) and holds(lines[at]):
        at += 1
    return at


def _cells(line: str) -> tuple[str, ...]:
    return tuple(cell.strip().replace("\\|", "|") for cell in re.split(r"(?<!\\)\|", line.strip())[1:-1])


def _items(lines: Sequence[str]) -> tuple[str, ...]:
    parts = re.split(r"^- ", "\n".join(lines), flags=re.MULTILINE)
    return tuple(" ".join(part.split()) for part in parts if part.strip())


def bare(text: str) -> str:
    """A line without its marks: what a terminal shows."""
    return re.sub(r"\[([^\]]+)\]\([^)]*\)", r"\1", text).replace("**", "").replace("`", "")


def topics_page(console: Console, topics: Mapping[str, str]) -> None:
    """The list of topics."""
    wide = max(map(len, topics))
    for name, words in topics.items():
        say(console, f"{name:<{wide}}  {words}", hang=wide + 2)
    say(console, "")
    say(
        console,
        "planner guide TOPIC shows one, planner guide all the whole, --html FILE makes it a page",
    )


def guide_page(console: Console, texts: Mapping[str, str]) -> None:
    """The topics one below the other."""
    before = ""
    for text in texts.values():
        for block in blocks(text):
            if before not in ("", "head"):
                say(console, "")
            _say(console, block)
            before = "head" if block.kind == "title" else block.kind


def _say(console: Console, block: Block) -> None:
    if block.kind in ("title", "head"):
        say(console, bare(block.text).upper() if block.kind == "title" else bare(block.text), style="bold")
    elif block.kind == "code":
        for line in block.text.splitlines():
            for row in _fitting(f"  {line}", console.width):
                console.out(row, highlight=False)
    elif block.kind == "list":
        for item in block.items:
            say(console, f"- {bare(item)}", hang=2)
    elif block.kind == "table":
        _say_table(console, block.rows)
    else:
        say(console, bare(block.text))


def _fitting(line: str, width: int) -> list[str]:
    """A line of a fenced block in rows of `width`: its comment above it, a command broken before its options,
    an answer's sentence at its spaces. Columns stay as they were printed.
    """
    command, sign, comment = line.partition("  # ")
    if len(line) <= width:
        return [line]
    if sign and command.strip():
        rows = [f"  # {row}" for row in wrap(comment, max(20, width - 4))]
        return [*rows, *_fitting(command.rstrip(), width)]
    indent = " " * (len(line) - len(line.lstrip()))
    if _COMMAND.match(line):
        return _broken(re.split(r" (?=-)", line.strip()), indent, width)
    if "   " in line.strip():
        return [line]
    return wrap(
        line.strip(),
        max(20, width),
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def _broken(parts: Sequence[str], indent: str, width: int) -> list[str]:
    """A command's words in rows that a shell reads as one line."""
    rows = [indent + parts[0]]
    for part in parts[1:]:
        if len(rows[-1]) + len(part) + 3 <= width:
            rows[-1] += f" {part}"
        else:
            rows[-1] += " \\"
            rows.append(f"{indent}    {part}")
    return rows


def _say_table(console: Console, rows: Rows) -> None:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in rows[0]:
        table.add_column(bare(head), overflow="fold")
    for row in rows[1:]:
        table.add_row(*(Text(bare(cell), style="bold" if "**" in cell else "") for cell in row))
    show_table(console, table)


def guide_html(texts: Mapping[str, str]) -> str:
    """The topics as one HTML file that needs no network."""
    parts = {name: list(blocks(text)) for name, text in texts.items()}
    titles = {name: next((b.text for b in found if b.kind == "title"), name) for name, found in parts.items()}
    return page("guide.html", style="guide.css", parts=parts, titles=titles, marked=marked)


def marked(text: str) -> str:
    """A line of Markdown as safe HTML: everything escaped, then `code`, **strong** and links made."""
    from markupsafe import Markup, escape

    safe = str(escape(text))
    safe = re.sub(r"`([^`]+)`", r"<code>\1</code>", safe)
    safe = re.sub(r"\*\*([^*]+)\*\*", r"<strong>\1</strong>", safe)
    safe = re.sub(r"\[([^\]]+)\]\((#[a-z-]+)\)", r'<a href="\2">\1</a>', safe)
    return Markup(safe)
