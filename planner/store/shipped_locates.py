"""The utility locate rules, shipped or the firm's own copy, read into domain values."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path

from planner.domain.locate import LocateRule
from planner.errors import BadInput

FILE = "locates.toml"


def locate_rules(folder: Path | None = None) -> dict[str, LocateRule]:
    """State code -> rule; "" is the cautious one for a state that is not listed.

    A `locates.toml` in `folder` adds to the shipped rules or overrides them, state by state. BadInput names
    what is wrong in it.
    """
    rules = _read((files("planner") / "data" / FILE).read_text(encoding="utf-8"), FILE)
    own = folder / FILE if folder else None
    if own is not None and own.is_file():
        rules |= _read(own.read_text(encoding="utf-8"), str(own))
    return rules


def _read(text: str, where: str) -> dict[str, LocateRule]:
    try:
        return {row["state"]: LocateRule(**row) for row in tomllib.loads(text)["rule"]}
    except tomllib.TOMLDecodeError as fault:
        raise BadInput("file", where, f"mend the TOML: {fault}") from None
    except (KeyError, TypeError) as fault:
        raise BadInput("file", where, f"compare it with the shipped {FILE}: {fault}") from None


def locate_rule(state: str, folder: Path | None = None) -> LocateRule:
    """The rule of a state; the cautious assumption where none is listed."""
    rules = locate_rules(folder)
    return rules.get(state.upper(), rules[""])
