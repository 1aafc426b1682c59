"""The phase rules as shipped, or the firm's own copy of the file, as domain values."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from planner.domain.firm.phases import SKILLS, Follows, Phase, PhaseRule
from planner.errors import BadInput, collected
from planner.store.shipped.own_file import compared, own_text, shipped_text, table_of

NAME = "phase_rules.toml"


def phase_rules(folder: Path | None = None) -> Mapping[Phase, PhaseRule]:
    """Phase -> PhaseRule, the six and the visit's; from `folder`/phase_rules.toml when that file exists.

    Raises BadInput, or BadInputs, naming each entry that cannot be read as a rule.
    """
    own = own_text(folder, NAME)
    table = table_of(shipped_text(NAME) if own is None else own, NAME)
    with compared(NAME, NAME):
        rules = collected(lambda phase: _rule(phase, table.get(phase.value, {})), Phase)
        return dict(zip(Phase, rules, strict=True))


def _rule(phase: Phase, row: Mapping[str, Any]) -> PhaseRule:
    unknown = set(row.get("skills", ())) - set(SKILLS)
    if unknown:
        raise BadInput(
            f"{phase}.skills", ", ".join(sorted(unknown)), f"use one of {', '.join(SKILLS)}", where=NAME
        )
    return PhaseRule(
        phase=phase,
        follows=tuple(collected(lambda entry: _follows(phase, entry), row.get("follows", ()))),
        skills=frozenset(row.get("skills", ())),
        machines=dict(row.get("machines", {})),
        helpers=int(row.get("helpers", 1)),
        best_size=int(row.get("best_size", 3)),
    )


def _follows(phase: Phase, entry: Mapping[str, Any]) -> Follows:
    try:
        before = Phase(entry.get("before", ""))
    except ValueError:
        raise BadInput(
            f"{phase}.follows.before", entry.get("before"), "name one of the six phases", where=NAME
        ) from None
    share, lag_h = float(entry.get("share", 1.0)), float(entry.get("lag_h", 0.0))
    if before.rank >= phase.rank or not 0 < share <= 1 or lag_h < 0:
        raise BadInput(
            f"{phase}.follows",
            dict(entry),
            "an earlier phase, a share over 0 to 1, a lag of 0 or more",
            where=NAME,
        )
    return Follows(before, share, lag_h, str(entry.get("why", "")))
