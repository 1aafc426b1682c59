"""The guide's shipped text: one Markdown file a topic, and the meaning of each key of the design file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

#: name of a topic -> what it answers, in the order of reading
TOPICS: dict[str, str] = {
    "browser": "the whole job in a browser, crew links, sharing, TLS",
    "morning": "today, board, day sheet, the office's list",
    "friday": "what crews send back, logged hours",
    "replan": "lost time, a new plan, older plans, promises, what if",
    "ahead": "season, chances, calendars",
    "design": "from the site to quantities, materials, pump, drawing; what a pond asks for besides",
    "estimate": "what a job takes, and why",
    "rates": "the rate book: look, learn, import; every row",
    "records": "jobs, crews, machines, firm, files, history",
    "database": "state, copies, check, upgrade, restore, a server for several desks",
    "commands": "every command with its options",
    "settings": "the firm's settings and money weights",
    "files": "every column of every CSV file, the firm as JSON",
    "design-file": "every key of the design file",
    "phases": "which phase follows which, and what it needs",
    "own-files": "data files that a firm may make its own",
    "outputs": "what each output carries, and never carries",
    "environment": "exit codes, environment variables",
    "glossary": "the words, one meaning each",
    "changes": "what is new in each version",
}


@cache
def topic_text(name: str) -> str:
    """The Markdown of one topic as shipped; a line "@table NAME" stands for a table made from the code."""
    return (files("planner") / "data" / "guide" / f"{name}.md").read_text("utf-8")


@cache
def design_words() -> Mapping[str, Mapping[str, str]]:
    """Table of the design file -> key without its unit -> what it means."""
    text = (files("planner") / "data" / "design_keys.toml").read_text("utf-8")
    return tomllib.loads(text)
