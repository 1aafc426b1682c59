"""What a time clock's file calls things: its columns, people, jobs and phases, told once and kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from planner.domain.plain import from_plain, to_plain
from planner.errors import BadInput, collected

#: What a file may tell of a stretch; those that it must tell.
PARTS = ("person", "crew", "day", "in", "out", "job", "phase")
NEEDED = ("person", "in", "out", "job", "phase")
#: What the office writes for work that is no phase of a pond: the yard, a drive, a course.
NOT_LOGGED = "none"


@dataclass(frozen=True, slots=True)
class ClockWords:
    """columns: part -> the file's column, its own name when missing; people: person -> crew; jobs: the
    file's word -> a job's code; phases: the file's word -> a phase, or "none" for hours that are not logged;
    less_meal: the clock runs through the meal, so that the firm's break is taken off.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    people: Mapping[str, str] = field(default_factory=dict)
    jobs: Mapping[str, str] = field(default_factory=dict)
    phases: Mapping[str, str] = field(default_factory=dict)
    less_meal: bool = False

    def column(self, part: str) -> str:
        """The column of the file that holds this part, as the reader of files spells it."""
        return self.columns.get(part, part).strip().lower()


def words_of(table: Mapping[str, Any], where: str) -> ClockWords:
    """The words of a TOML table; BadInput for what is none."""
    words = from_plain(ClockWords, table, where=where)
    _check_columns(words.columns, where)
    return words


def as_text(words: ClockWords) -> str:
    """The words as the TOML file in which they are kept."""
    import tomli_w

    return tomli_w.dumps(to_plain(words))


def with_told(
    words: ClockWords,
    *,
    columns: Sequence[str] = (),
    people: Sequence[str] = (),
    jobs: Sequence[str] = (),
    phases: Sequence[str] = (),
    less_meal: bool | None = None,
) -> ClockWords:
    """With what is told now, each as "the file's word = ours" (a column: "in = Clock In")."""
    told = {"column": columns, "person": people, "site": jobs, "work": phases}
    pairs = {name: dict(collected(partial(_pair, name), texts)) for name, texts in told.items()}
    _check_columns(pairs["column"], "--column")
    return replace(
        words,
        columns={**words.columns, **pairs["column"]},
        people={**words.people, **pairs["person"]},
        jobs={**words.jobs, **pairs["site"]},
        phases={**words.phases, **pairs["work"]},
        less_meal=words.less_meal if less_meal is None else less_meal,
    )


def told_lines(words: ClockWords, lines: Sequence[str]) -> ClockWords:
    """With what a form's lines tell, each as "column in=Clock In", "person ...", "site ..." or "work ..."."""
    told: dict[str, list[str]] = {"column": [], "person": [], "site": [], "work": []}
    for line in filter(None, map(str.strip, lines)):
        kind, _, text = line.partition(" ")
        if kind.lower() not in told:
            raise BadInput("words", line, f"begin each line with one of: {', '.join(told)}")
        told[kind.lower()].append(text)
    return with_told(
        words, columns=told["column"], people=told["person"], jobs=told["site"], phases=told["work"]
    )


def _pair(name: str, text: str) -> tuple[str, str]:
    left, sign, right = text.partition("=")
    if not (sign and left.strip() and right.strip()):
        example = {
            "column": "in=Clock In",
            "person": "Ann Lee=North",
            "site": "Okoro pond=P-014",
            "work": "Excavation=dig",
        }[name]
        raise BadInput(f"--{name}", text, f'write both sides of an equals sign, like "{example}"')
    return left.strip(), right.strip()


def _check_columns(columns: Mapping[str, str], where: str) -> None:
    for part in columns:
        if part not in PARTS:
            raise BadInput("column", part, f"use one of: {', '.join(PARTS)}", where=where)
