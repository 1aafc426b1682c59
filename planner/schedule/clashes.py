"""Why no plan fits: the smallest set of rows that clash, in trade words.

In: a season. Out: sentences that name the rows, empty when nothing is proven. Each check proves by itself
that every plan must break a rule.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from planner.domain.phases import WorkKey
from planner.domain.season import Season, Work
from planner.schedule.door import open_modes


def find_clashes(season: Season) -> list[str]:
    """Every clash found, in the works' order; empty when none is proven."""
    found = [reason for key, work in season.works.items() for reason in _no_way(season, key, work)]
    if found:
        return found
    found += list(_fixed_pairs(season))
    return found


def _no_way(season: Season, key: WorkKey, work: Work) -> Iterator[str]:
    """A work that no crew may do: no way of working is left by skills, pins and machines."""
    if work.fixed is not None or open_modes(season, work):
        return
    if not work.modes:
        yield f"{key.words}: no way of working (no crew may do it, or it has no hours)"
        return
    able = sorted({m.crews[0] for m in work.modes if all(c in season.crews for c in m.crews)})
    skilled = [c for c in able if work.skills <= season.crews[c].skills]
    if not skilled:
        yield f"{key.words} needs {_words(work.skills)}: no crew has it"
    elif work.only_crew is not None and work.only_crew not in skilled:
        yield f"{key.words} is pinned to {work.only_crew}, who may not do it ({_words(work.skills)})"
    else:
        kinds = {k: n for m in work.modes for k, n in m.machines.items()}
        for kind, need in kinds.items():
            have = season.machines[kind].units if kind in season.machines else 0
            if have < need:
                yield f"{key.words} needs {need} {kind}: the firm has {have}"


def _words(skills: frozenset[str]) -> str:
    return " and ".join(sorted(skills)) or "a crew"


def _fixed_pairs(season: Season) -> Iterator[str]:
    """Two fixed bookings that cannot both stand: one crew twice, or one machine twice."""
    rows = sorted((w.fixed for w in season.works.values() if w.fixed), key=lambda b: (b.start, b.key))
    for a, b in combinations(rows, 2):
        if a.end <= b.start or b.end <= a.start:
            continue
        for crew in sorted(set(a.crews) & set(b.crews)):
            yield (
                f"{crew} is booked on {a.key.words} until {a.end:%d %b %H:%M}"
                f" and on {b.key.words} from {b.start:%d %b %H:%M}: both are fixed"
            )
        for use in sorted(set(a.machines) & set(b.machines)):
            yield (
                f"{use.kind} {use.unit} is held by {a.key.words} until {a.end:%d %b %H:%M}"
                f" and by {b.key.words} from {b.start:%d %b %H:%M}: both are fixed"
            )
