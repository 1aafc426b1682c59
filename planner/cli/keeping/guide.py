"""`planner guide`: the whole reference, read from the code by topic, on the screen or as one page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Annotated, Any

import typer

from planner.cli import edge
from planner.errors import BadInput

#: code -> meaning; a test holds it against the errors
EXIT_CODES: dict[int, str] = {
    0: "done",
    1: "refused: the state does not allow it (a stale plan, a locked or damaged file), or "
    "`planner db check` found something",
    2: "wrong input or usage; nothing was changed",
    3: "proven: no plan fits; the rows that clash are named",
    4: "no plan found in the time allowed; a longer `--seconds` may find one",
    5: "the change is kept, but the answer could not be written (a full disk): do not repeat it, look with "
    "`planner history list`",
    130: "stopped with Ctrl-C outside a search (inside one, the best plan so far is kept)",
}
#: variable -> meaning
VARIABLES: dict[str, str] = {
    "PLANNER_DB": "the database file or PostgreSQL URL; `--db` wins",
    "PLANNER_USER": "your name in the history",
    "PLANNER_NOW": "pretend it is that moment (`2027-04-05T06:45`): for rehearsals and tests",
    "PLANNER_BROWSER": "the program that prints a page whose name ends in .pdf; else the first one found",
    "PLANNER_COMPILED": "0: never the compiled search; 1: wait until it is ready; else use it when it is",
    "COLUMNS": "width of tables in a pipe (140 without); in a terminal its own width counts",
    "NO_COLOR": "no colors; a pipe never gets any",
}


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("guide")(guide)


def _topics(incomplete: str) -> list[str]:
    from planner.flow.keeping.guide import topics

    return [name for name in topics() if name.startswith(incomplete)]


def guide(
    topic: Annotated[
        str | None,
        typer.Argument(help="A topic; all for the whole; the list of them without.", autocompletion=_topics),
    ] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Write the whole guide as one page.")] = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """The whole reference by topic: every command, option, column, key, setting and rate.

    Example: planner guide design-file
    """
    from planner.flow.keeping.guide import TABLES, text_of, topics
    from planner.report.keeping import guide as pages

    known = topics()
    if topic is not None and topic not in (*known, "all"):
        from planner.domain.spelling import did_you_mean

        raise BadInput("TOPIC", topic, did_you_mean(topic, known, f"use one of: {', '.join(known)}, all"))
    tables = {**TABLES, **terminal_tables()}
    if html is not None:
        from planner.cli.pages import write_page

        chosen = list(known) if topic in (None, "all") else [str(topic)]
        write_page(html, pages.guide_html({n: pages.filled(text_of(n), tables) for n in chosen}), "--html")
        return
    if topic is None:
        edge.show("guide", dict(known), lambda c: pages.topics_page(c, known), as_json=as_json)
        return
    chosen = list(known) if topic == "all" else [topic]
    texts = {name: pages.filled(text_of(name), tables) for name in chosen}
    edge.show("guide", texts, lambda c: pages.guide_page(c, texts), as_json=as_json)


def terminal_tables() -> dict[str, Callable[[], list[tuple[str, ...]]]]:
    """The tables of the guide that tell of the terminal itself."""
    return {"commands": commands_table, "exits": exits_table, "variables": variables_table}


def commands_table() -> list[tuple[str, ...]]:
    """Every command, and each of its words and options, as Typer knows them."""
    rows: list[tuple[str, ...]] = [("command", "what")]
    for words, command in every_command():
        rows.append((f"**planner {words}**", " ".join((command.help or "").split())))
        rows += [(_name(p), _help(p)) for p in command.params if _name(p) != "--help, -h"]
    return rows


def every_command() -> Iterator[tuple[str, Any]]:
    """(its words, Typer's command) for every command, groups joined to their members."""
    from planner.cli.main import app

    def below(command: Any, words: str) -> Iterator[tuple[str, Any]]:
        for name, member in getattr(command, "commands", {}).items():
            whole = f"{words} {name}".strip()
            if getattr(member, "commands", None):
                yield from below(member, whole)
            else:
                yield whole, member

    yield from below(typer.main.get_command(app), "")


def _name(param: Any) -> str:
    if param.param_type_name == "argument":
        return str(param.metavar or param.name).upper()
    return ", ".join(param.opts)


def _help(param: Any) -> str:
    usual = param.default
    shown = "" if usual in (None, False, True, "") or callable(usual) else f" [{usual}]"
    return f"{getattr(param, 'help', '') or ''}{shown}{' (needed)' if param.required else ''}"


def exits_table() -> list[tuple[str, ...]]:
    """The exit codes."""
    return [("code", "meaning"), *((str(code), words) for code, words in EXIT_CODES.items())]


def variables_table() -> list[tuple[str, ...]]:
    """The environment variables that are read."""
    return [("variable", "meaning"), *VARIABLES.items()]
