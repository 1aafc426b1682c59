"""Hostile and half-right values, and command lines made of them from a seed."""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import typer

from planner.cli.main import app

TEXTS = (
    "", " ", "x", "[bold]x[/bold]", "[/]", "[link=http://x]y", "'", '"', "`rm -rf .`", "$(x)",
    "; DROP TABLE jobs", "=1+1", "@SUM(1)", "-", "--", "-x", "--help=", "🪨", "e\u0301Ł→", "\u202eabc",
    "\x1b[31m", "a\tb", "a\nb", "a\r\n", "\udcff", "n" * 500, "n" * 100_000, "%s%n", "{0}", "\\", "None",
    "null", "true", "\x01x",
)  # fmt: skip
NUMBERS = (
    "0", "1", "-1", "2", "3.5", "1e3", "1e308", "1e999", "-1e-300", "nan", "inf", "-inf", "NaN", "0x10",
    "1_000", "١٢", "1,5", "1.5.2", "999999999999999999999999", "4611686018427387904", "2147483648",
    "-2147483649", "12 cy", "3m", "96F", "35C", "1e-320", "00012", "+7",
)  # fmt: skip
DATES = (
    "2027-04-05", "2027-04-06", "today", "tomorrow", "2026-02-30", "2027-02-29", "2028-02-29", "0001-01-01",
    "9999-12-31", "1999-12-31", "2100-12-31", "2000-01-01", "2027-03-14", "2027-11-07", "2027-W15",
    "2027-W54", "2027-04-05T07:00", "2027-03-14T02:30", "05.04.2027", "4/5/27", "20270405", "-2027-04-05",
    "2027-4-5",
)  # fmt: skip
NAMES = ("P-1", "P-2", "P-3", "P-9", "North", "South", "Nobody", "all", "excavator", "barrow", "p-1")
WORDS = (
    "dig", "set filters", "set_filters", "liner", "rock", "plumbing", "fill", "sold", "inquiry",
    "under way", "done", "cancelled", "machine", "narrow gate", "hand only", "clay", "deposit", "permit",
    "utility locate", "jobs", "firm", "crews", "gates", "quantities", "days-off", "machines", "OH", "ZZ",
    "us", "metric", "mon-fri", "America/New_York", "dig_machine_cy=3", "pipe_m=1e400", "liner_ft2=-1",
    "late_day=3", "excavator=1", "excavator", "plumbing,stonework",
)  # fmt: skip
FILES = (
    "season.sqlite3", "./season.sqlite3", "season.backups", "jobs.csv", "firm.json", "pond.toml",
    "sheet.txt", "junk.bin", "none.csv", ".", "..", "/", "/dev/null", "/dev/full", "/dev/zero",
    "/proc/self/environ", "../../escape.csv", "-", "a\x01b.csv", "n" * 300, "new/folder/x.csv", "~",
    "$HOME/x", "x.html", "nul", "con.csv", " ", "season.sqlite3-journal",
)  # fmt: skip

#: parameter name (or its beginning) -> the pool that half-right values come from
LIKELY: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("file", FILES), ("page", FILES), ("out", FILES), ("source", FILES), ("to", FILES), ("backup", FILES),
    ("day", DATES), ("week", DATES), ("first", DATES), ("last", DATES), ("until", DATES), ("start", DATES),
    ("since", DATES), ("promised", DATES), ("opens", DATES), ("arrives", DATES), ("again", DATES),
    ("asked", DATES), ("season_", DATES), ("crew", NAMES), ("job", NAMES), ("code", NAMES), ("name", NAMES),
    ("key", NAMES), ("kind", WORDS), ("phase", WORDS), ("status", WORDS), ("access", WORDS),
    ("soil", WORDS), ("skills", WORDS), ("machines", WORDS), ("quantit", WORDS), ("weight", WORDS),
    ("noun", WORDS), ("state", WORDS), ("units", WORDS), ("weekdays", WORDS), ("country", WORDS),
    ("time_zone", WORDS), ("item", WORDS), ("size", WORDS),
)  # fmt: skip
EVERYTHING = TEXTS + NUMBERS + DATES + NAMES + WORDS + FILES

#: Commands that search get a short limit, and are drawn less often.
SEARCHING = {"plan make", "replan", "what-if", "promise ask", "promise hold", "chance show"}
#: Reads the terminal for its text when told "-"; ends no sooner than the reader.
SHORT = ("--seconds", "0.3")


def commands() -> dict[str, Any]:
    """Path of each command -> the command."""
    found: dict[str, Any] = {}

    def walk(command: Any, path: tuple[str, ...]) -> None:
        if hasattr(command, "commands"):
            for name, inner in command.commands.items():
                walk(inner, (*path, name))
        else:
            found[" ".join(path)] = command

    walk(typer.main.get_command(app), ())
    return found


def lines(seed: int, count: int) -> Iterator[list[str]]:
    """`count` command lines: arguments mostly of the right kind, options some of the time."""
    chance = random.Random(seed)
    known = commands()
    names = sorted(known)
    weights = [1 if name in SEARCHING else 8 for name in names]
    for _ in range(count):
        name = chance.choices(names, weights)[0]
        yield [*name.split(), *_words(chance, name, known[name])]


def _words(chance: random.Random, name: str, command: Any) -> list[str]:
    words: list[str] = []
    for parameter in command.params:
        if parameter.name == "help":
            continue
        argument = type(parameter).__name__.endswith("Argument")
        if argument:
            words += [_value(chance, parameter.name) for _ in range(_times(chance, parameter))]
        elif parameter.opts[0] == "--seconds":
            words += SHORT
        elif parameter.name == "seasons":
            words += ["--seasons", chance.choice(("1", "20", "0", "-1", "x"))]
        elif chance.random() < 0.25:
            words.append(parameter.opts[0])
            if not getattr(parameter, "is_flag", False):
                words.append(_value(chance, parameter.name))
    if name == "promise ask":
        words += ["--size", "small"][: 2 * (chance.random() < 0.5)]
    return words


def _times(chance: random.Random, parameter: Any) -> int:
    if parameter.nargs == -1:
        return chance.choice((0, 1, 1, 3))
    if not parameter.required:
        return chance.choice((0, 1))
    return chance.choices((1, 0, 2), (20, 1, 1))[0]


def _value(chance: random.Random, name: str) -> str:
    if chance.random() < 0.6:
        for begins, pool in LIKELY:
            if name.startswith(begins):
                return chance.choice(pool)
        return chance.choice(NUMBERS)
    return chance.choice(EVERYTHING)
