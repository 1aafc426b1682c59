"""The tables of the guide: columns, keys, settings, weights, rules, rates, read from the code that uses them.

A table is a list of rows of text; its first row holds the heads.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, fields
from typing import Any

from planner.domain.design.declared import DesignKey, design_keys
from planner.domain.design.design import PRICED
from planner.domain.firm.fields import (
    CREW_FIELDS,
    FIRM_FIELDS,
    JOB_FIELDS,
    MACHINE_FIELDS,
    TRUCK_FIELDS,
    Field,
)
from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import ITEMS
from planner.domain.firm.phases import ORDER
from planner.domain.safety.weather_rows import COLUMNS as WEATHER_COLUMNS
from planner.flow.keeping.kinds import KINDS
from planner.store.shipped.guide import TOPICS, design_words, topic_text
from planner.store.shipped.rates import shipped_rate_book
from planner.store.shipped.rules import phase_rules
from planner.units import METRIC

Rows = list[tuple[str, ...]]


def topics() -> Mapping[str, str]:
    """Name of a topic -> what it answers, in the order of reading."""
    return TOPICS


def text_of(topic: str) -> str:
    """The topic's Markdown as shipped, its tables not yet filled in."""
    return topic_text(topic)


def kinds_table() -> Rows:
    """Each kind of CSV file with its columns."""
    rows: Rows = [("kind", "what", "needed", "further columns")]
    for kind in KINDS.values():
        rest = [column for column in kind.columns("us") if column not in kind.needed]
        rows.append((kind.name, kind.words, ", ".join(kind.needed), ", ".join(rest)))
    return rows


def columns_table() -> Rows:
    """What each column of jobs, crews, machines and trucks takes."""
    rows: Rows = [("file", "column", "metric", "takes")]
    files = {"jobs": JOB_FIELDS, "crews": CREW_FIELDS, "machines": MACHINE_FIELDS, "trucks": TRUCK_FIELDS}
    for file, nouns in files.items():
        for f in nouns:
            metric = f.name(METRIC)
            rows.append((file, f.name(), "" if metric == f.name() else metric, takes(f)))
    return rows


def takes(f: Field) -> str:
    """What a field takes, in words: "number; depth", "choice: sand, loam, ..."."""
    kind = ", ".join(c.value for c in f.choices) if f.choices else _PLAIN[f.kind]
    words = f"; {f.words}" if f.words else ""
    return f"{kind}{words}{'; may be empty' if f.optional else ''}"


#: What each kind of field takes, for a person.
_PLAIN = {
    "line": "text",
    "text": "text",
    "number": "number",
    "whole": "whole number",
    "flag": "yes or no",
    "day": "a day",
    "clock": "a time of day",
    "weekdays": "weekdays",
    "words": "words with blanks between",
}


def items_table() -> Rows:
    """Each quantity of a job with its phase and unit."""
    rows = [(i.phase.words, key, i.unit, i.words) for key, i in ITEMS.items()]
    return [("phase", "item", "unit", "what"), *rows]


def design_table() -> Rows:
    """Each key of the design file: its table, what it takes, what it means."""
    words = design_words()
    rows = [
        (found.table or "(top)", _with_ending(found), found.takes, found.default, meaning(words, found))
        for found in design_keys()
    ]
    own = ("[pump_line]", "fitting_lengths", "a table", "", words["pump_line"]["fitting_lengths"])
    return [("table", "key", "takes", "default", "meaning"), *rows, own]


def meaning(words: Mapping[str, Mapping[str, str]], found: DesignKey) -> str:
    """What a key means. Raises KeyError for a key without words."""
    return words[found.table.strip("[]") or "top"][found.key]


def _with_ending(found: DesignKey) -> str:
    """The key as most write it: the ending of its own unit first."""
    unit = found.takes.rsplit(" ", 1)[-1]
    ending = unit if unit in found.endings else next(iter(found.endings), "")
    return f"{found.key}_{ending}" if ending else found.key


def prices_table() -> Rows:
    """What a design may give a price for."""
    return [("key of [prices]",), *((key,) for key in PRICED)]


def settings_table() -> Rows:
    """The firm's settings with their shipped values."""
    usual, words = Firm(), described(Firm)
    rows = [(f.attr, f.write(getattr(usual, f.attr), "us"), words.get(f.attr, "")) for f in FIRM_FIELDS]
    return [("setting", "shipped", "meaning"), *rows]


def weights_table() -> Rows:
    """What the scheduler weighs, in dollars."""
    words = described(Weights)
    rows = [(f.name, f"{_usual(f):g}", words.get(f.name, "")) for f in fields(Weights)]
    return [("weight", "dollars", "for"), *rows]


def _usual(f: Any) -> Any:
    return f.default if f.default is not MISSING else f.default_factory()


def described(noun: type) -> dict[str, str]:
    """Field -> what the docstring of its class says of it ("field: words.")."""
    names = [f.name for f in fields(noun)]
    text = " ".join((noun.__doc__ or "").split())
    parts = re.split(rf"\b({'|'.join(names)}): ", text)
    return {name: words.strip().rstrip(".;") for name, words in zip(parts[1::2], parts[2::2], strict=True)}


def phases_table() -> Rows:
    """Which phase follows which, and what each needs."""
    rows: Rows = [("phase", "after", "skills", "machines", "crews at most", "best size")]
    for phase, rule in ((phase, phase_rules()[phase]) for phase in ORDER):
        after = "; ".join(_after(f.before.words, f.share, f.lag_h, f.why) for f in rule.follows)
        machines = ", ".join(f"{n} {key}" for key, n in rule.machines.items())
        skills = ", ".join(sorted(rule.skills))
        rows.append((phase.words, after, skills, machines, str(rule.helpers), str(rule.best_size)))
    return rows


def _after(before: str, share: float, lag_h: float, why: str) -> str:
    part = f"{100 * share:g} % of the " if share < 1 else ""
    lag = f" and {lag_h:g} h" if lag_h else ""
    return f"{part}{before}{lag} ({why})"


def rates_table() -> Rows:
    """Every row of the shipped rate book with its kind, what it stands on, and its source."""
    book = shipped_rate_book()
    rows = [
        (
            r.key,
            str(r.kind),
            r.unit,
            f"{r.low:g} / {r.likely:g} / {r.high:g}",
            str(r.basis),
            f"{r.words}. {r.source}",
        )
        for r in book.rows.values()
    ]
    return [("row", "kind", "unit", "low / likely / high", "stands on", "what, and where from"), *rows]


def weather_table() -> Rows:
    """The columns of a forecast's file."""
    return [("column", "holds"), *WEATHER_COLUMNS.items()]


#: name after "@table" in a topic -> the table
TABLES: dict[str, Callable[[], Sequence[tuple[str, ...]]]] = {
    "kinds": kinds_table,
    "columns": columns_table,
    "items": items_table,
    "design": design_table,
    "prices": prices_table,
    "settings": settings_table,
    "weights": weights_table,
    "phases": phases_table,
    "rates": rates_table,
    "weather": weather_table,
}
