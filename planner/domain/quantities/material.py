"""One row of the materials list, in the merchant's units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.domain.firm.phases import Phase
from planner.units import to_shown

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
