"""The shipped utility locate rules, read from planner/data/locates.toml into domain values."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files

from planner.domain.locate import LocateRule


@lru_cache(maxsize=1)
def locate_rules() -> dict[str, LocateRule]:
    """State code -> rule; "" is the cautious one for a state that is not listed."""
    text = (files("planner") / "data" / "locates.toml").read_text(encoding="utf-8")
    return {row["state"]: LocateRule(**row) for row in tomllib.loads(text)["rule"]}


def locate_rule(state: str) -> LocateRule:
    """The rule of a state; the cautious assumption where none is listed."""
    rules = locate_rules()
    return rules.get(state.upper(), rules[""])
