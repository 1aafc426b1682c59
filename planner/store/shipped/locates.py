"""The utility locate rules, shipped or the firm's own copy, read into domain values."""

from __future__ import annotations

from pathlib import Path

from planner.domain.plain import from_plain
from planner.domain.safety.locate import LocateRule
from planner.errors import collected
from planner.store.shipped.own_file import compared, own_text, shipped_text, table_of

FILE = "locates.toml"


def locate_rules(folder: Path | None = None) -> dict[str, LocateRule]:
    """State code -> rule; "" is the careful one for a state that is not listed.

    A `locates.toml` in `folder` adds to the shipped rules or overrides them, state by state. BadInput names
    what is wrong in it.
    """
    rules = _read(shipped_text(FILE), FILE)
    own = own_text(folder, FILE)
    if own is not None:
        rules |= _read(own, str((folder or Path()) / FILE))
    return rules


def _read(text: str, where: str) -> dict[str, LocateRule]:
    table = table_of(text, where)
    with compared(where, FILE):
        rows = list(enumerate(table["rule"]))
        rules = collected(lambda row: from_plain(LocateRule, row[1], where=f"rule[{row[0]}]"), rows)
    return {rule.state: rule for rule in rules}


def locate_rule(state: str, folder: Path | None = None) -> LocateRule:
    """The rule of a state; the careful assumption where none is listed."""
    rules = locate_rules(folder)
    return rules.get(state.upper(), rules[""])
