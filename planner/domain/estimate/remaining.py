"""Work left in a phase that is begun: the plan's hours, corrected by how it goes.

The estimate and the hours so far are two witnesses. The further the phase is, the more its own pace counts:
left = planned x (1 - share) x ((1 - share) + spent / planned). At share 0 that is the plan, near the end it
is what the pace so far says. A default, to be calibrated; kept within a third and three times the plan.
"""

from __future__ import annotations

from collections.abc import Sequence

SLOWEST, QUICKEST = 3.0, 1 / 3


def going_factor(planned_h: float, spent_h: float, share: float) -> float:
    """How much longer (over 1) or shorter the rest takes than planned.

    planned_h: of the whole phase [crew-hours]; spent_h: so far; share: done, 0 to 1.

    >>> going_factor(20, 10, 0.5)
    1.0
    >>> going_factor(20, 15, 0.5)
    1.25
    """
    if planned_h <= 0 or share <= 0:
        return 1.0
    return max(QUICKEST, min(SLOWEST, (1 - share) + spent_h / planned_h))


def share_from_hours(parts_h: Sequence[float], spent_h: float) -> float:
    """The share that hours alone suggest when nobody said it: never more than nine tenths.

    parts_h: planned hours of each part of the phase [crew-hours]. They are worked through one after the
    other, and each is an equal share of the whole: once the hour of opening the water is spent, half is done.

    >>> share_from_hours([20], 5), share_from_hours([20], 50)
    (0.25, 0.9)
    >>> share_from_hours([1, 3], 1), share_from_hours([1, 3], 2.5)
    (0.5, 0.75)
    """
    share, left_h = 0.0, spent_h
    ahead = [part_h for part_h in parts_h if part_h > 0]
    for part_h in ahead:
        share += min(1.0, left_h / part_h) / len(ahead)
        left_h = max(0.0, left_h - part_h)
    return min(0.9, share)
