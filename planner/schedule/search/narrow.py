"""A job's chain with fewer choices, and only the days on which they lie.

A choice through which every way is dearer than a known plan leaves is not needed any more (fixing by reduced
costs: Dantzig, Fulkerson and Johnson, Operations Research 2, 1954; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from planner.schedule.kernel.chain import END, FIRST, WIDTH
from planner.schedule.model.shop import Option
from planner.schedule.search.chains import Chain


@dataclass(slots=True)
class Narrow:
    """chain: its starts and ends counted from slot `low`, where a day begins, all within `width` slots and
    `days` days. kinds: options that differ in who works, when or with what; begins, until: where each choice
    begins and ends in a row of `width` + 1 numbers for each kind."""

    chain: Chain
    low: int
    width: int
    days: int
    kinds: list[Option]
    begins: Any
    until: Any


def narrow(chain: Chain, day_slots: int, keep: Any = None, low: int = 0) -> Narrow | None:
    """The chain with the choices that `keep` is true for, from slot `low` on; None when a task has none."""
    import numpy as np

    if keep is not None and not keep.all():
        smaller = _kept(chain, keep)
        if smaller is None:
            return None
        chain = smaller
    first = int(chain.start.min()) // day_slots * day_slots
    days = (int(chain.end.max()) - 1 - first) // day_slots + 1
    width = days * day_slots
    chain = replace(chain, start=chain.start - first, end=chain.end - first, ready=chain.ready - first)
    number: dict[Any, int] = {}
    kinds: list[Option] = []
    rows = []
    for span in chain.spans:
        key = id(span.option.axis), span.option.workers, span.option.uses
        if key not in number:
            number[key] = len(kinds)
            kinds.append(span.option)
        rows.append(np.full(span.end - span.first, number[key] * (width + 1), dtype=np.int64))
    row = np.concatenate(rows)
    return Narrow(chain, low + first, width, days, kinds, row + chain.start, row + chain.end)


def _kept(chain: Chain, keep: Any) -> Chain | None:
    """The chain with these choices; None when a task has none."""
    import numpy as np

    place = np.concatenate(([0], np.cumsum(keep)))
    spans, ways, option_at = [], [], [0]
    for task in range(len(chain.option_at) - 1):
        for number in range(chain.option_at[task], chain.option_at[task + 1]):
            span = chain.spans[number]
            first, end = int(place[span.first]), int(place[span.end])
            if first == end:
                continue
            spans.append(replace(span, first=first, end=end, k=span.k[keep[span.first : span.end]]))
            way = chain.ways[WIDTH * number : WIDTH * (number + 1)].copy()
            way[FIRST], way[END] = first, end
            ways.append(way)
        option_at.append(len(ways))
        if option_at[-1] == option_at[-2]:
            return None
    return replace(
        chain,
        spans=spans,
        ways=np.concatenate(ways),
        option_at=np.array(option_at, dtype=np.int64),
        start=chain.start[keep],
        end=chain.end[keep],
        ready=chain.ready[keep],
        cost=chain.cost[keep],
    )
