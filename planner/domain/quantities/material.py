"""One row of the materials list, in the merchant's units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.domain.firm.phases import Phase
from planner.units import to_shown

#: share added for waste: cutting, breakage, spillage (defaults, to be calibrated)
WASTE: dict[str, float] = {
    "underlayment": 0.05,
    "boulder_small": 0.05,
    "boulder_medium": 0.05,
    "boulder_large": 0.05,
    "gravel": 0.10,
    "waterfall_stone": 0.05,
    "pad_gravel": 0.10,
    "pipe": 0.05,
    "seam_tape": 0.05,
}
#: (value, US unit) -> the same in the words of the firm's units
Say = Callable[[float, str], str]


@dataclass(frozen=True, slots=True)
class Material:
    """One row. needed: net, in `unit`; order: in `order_unit`, waste and stock size included.

    order: 0 where nothing says how much. order_size: what one ordered unit is, in words. price_usd: per
    ordered unit, None when the design has none.
    """

    key: str
    words: str
    phase: Phase
    needed: float
    unit: str
    order: float
    order_unit: str
    order_size: str = ""
    price_usd: float | None = None

    def cost_usd(self, units: str) -> float | None:
        """Price of the order, priced by the unit that `units` shows; None without a price."""
        if self.price_usd is None:
            return None
        return to_shown(self.order, self.order_unit, units)[0] * self.price_usd


def wasted(key: str, needed: float) -> float:
    """What must be bought so that `needed` can be used.

    >>> wasted("gravel", 10.0), wasted("pump", 1.0)
    (11.0, 1.0)
    """
    return needed * (1.0 + WASTE.get(key, 0.0))
