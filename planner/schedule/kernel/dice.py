"""The search's own dice: the same throws in plain Python and in machine code, whatever else runs.

In: the notes, whose first number is what the next throw comes from.
"""

from __future__ import annotations

from planner.schedule.kernel.compiling import njit
from planner.schedule.kernel.layout import (
    Row,
)


@njit
def draw(notes: Row) -> int:
    """The next 32 random bits (xorshift; Marsaglia, Journal of Statistical Software 8(14), 2003, from
    memory)."""
    x = notes[0]
    x = x ^ ((x << 13) & 0xFFFFFFFF)
    x = x ^ (x >> 17)
    x = x ^ ((x << 5) & 0xFFFFFFFF)
    notes[0] = x
    return x


@njit
def below(notes: Row, count: int) -> int:
    """A whole number from 0 to count - 1."""
    return (draw(notes) * count) >> 32


@njit
def chance(notes: Row) -> float:
    """A number from 0 to under 1."""
    return draw(notes) / 4294967296.0
