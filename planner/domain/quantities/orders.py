"""Orders: all that must be ordered for one job, and how long before its phase.

In: the job, its kept design taken off where there is one, the firm's lead times. Out: `Material` rows, and
`Order`s that put together what is ordered in one go. The materials list, the office's list and the load on
the day sheet all read them here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from planner.domain.firm.jobs import ITEMS, Job
from planner.domain.firm.phases import Phase
from planner.domain.quantities.further_materials import Asked, further_materials
from planner.domain.quantities.material import Material
from planner.domain.quantities.materials import materials
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.quantities.trucks import Truck
from planner.domain.wording import in_figures, shown
from planner.units import US

#: What stands where nothing says how much.
NOT_KNOWN = "amount not known, no design is kept with the job"
#: A material row -> the job's quantity that calls for it.
CALLED_BY: Mapping[str, str] = {
    "haul_load": "haul_off_cy",
    "filter_boxes": "filter_boxes",
    "skimmer": "filter_boxes",
    "waterfall_box": "filter_boxes",
    "pad_gravel": "filter_boxes",
    "liner": "liner_ft2",
    "stream_liner": "liner_ft2",
    "underlayment": "underlayment_ft2",
    "seam_tape": "seams_ft",
    "boulder_small": "boulder_small_ton",
    "boulder_medium": "boulder_medium_ton",
    "boulder_large": "boulder_large_ton",
    "gravel": "gravel_ton",
    "waterfall_stone": "waterfall_ton",
    "foam": "waterfall_ton",
    "pump": "pipe_ft",
    "pipe": "pipe_ft",
    "fittings": "connections",
    "cement": "connections",
    "sealant": "sealed_joints",
    "mats": "mats_ft",
    "site_fence": "site_fence_ft",
    "toilet": "toilets",
    "topsoil": "topsoil_cy",
    "lawn_seed": "seed_ft2",
    "sod": "sod_ft2",
    "mulch": "mulch_cy",
    "rubbish_load": "rubbish_cy",
    "dewatering_pump": "dewater_days",
    "overflow_pipe": "overflow_ft",
    "erosion_mat": "swale_ft",
    "dechlorinator": "dechlorinator_oz",
    "float_valve": "auto_fills",
    "fill_line": "auto_fills",
    "named_boulder": "named_boulder_ton",
    "footing_base": "footing_cy",
    "bog_gravel": "bog_gravel_ton",
    "bog_liner": "bog_ft2",
    "bog_pipe": "bog_ft2",
    "uv_unit": "uv_units",
    "plants": "plants",
    "fish": "fish",
    "test_kit": "water_tests",
    "leaf_net": "leaf_net_ft2",
    "air_stone": "winter_closings",
}
#: Rows that a job without a design needs too, though its quantities do not say how much: their words.
_NOT_COUNTED = {
    "pad_gravel": "crushed base under boxes",
    "foam": "stone foam behind the falls",
    "pump": "pump",
    "cement": "primer and solvent cement",
}
#: What is ordered by the piece.
_COUNTED = frozenset({"truckload", "box", "pump", "piece", "can", "tube", "unit", "day", "plant", "kit"})
#: Rows that the load names by themselves, beside the quantity that calls for them.
ORDERED = ("haul_load", "clean_fill", *_NOT_COUNTED)
#: Rows that stand for several boxes or sheets of a design; without one a single row tells them all.
_DESIGNED = frozenset({"skimmer", "waterfall_box", "stream_liner"})
#: Words of rows whose quantity is told by the work, not by the material.
_NET_WORDS = {
    "haul_load": "spoil to haul off, loose",
    "filter_boxes": "filter boxes",
    "seam_tape": "seam tape and primer",
    "fittings": "fittings for connections",
    "sealant": "sealant for liner joints",
}


@dataclass(frozen=True, slots=True)
class LeadTime:
    """One order: the rows of materials it holds, working days of lead, and of spare time before the phase.

    spare_days: so many working days before its phase begins it should lie in the yard (0: that morning).
    supplier: who brings it, "" when the firm has named none; pick_up: his yard; to: "site" or "yard"; drop:
    where on the site, "" for the usual place; wait_days: calendar days from a visit to the work that waits.
    """

    key: str
    words: str
    materials: tuple[str, ...]
    lead_days: int
    spare_days: int
    supplier: str = ""
    pick_up: str = ""
    to: str = "yard"
    drop: str = ""
    wait_days: int = 0


@dataclass(frozen=True, slots=True)
class LeadTimes:
    """All orders, and how long before use a rented machine is booked; shorter gaps than gap_days keep it."""

    orders: tuple[LeadTime, ...]
    book_days: int = 5
    gap_days: int = 5
    truck: Truck = field(default_factory=Truck)

    def named(self, key: str) -> LeadTime | None:
        """The order, or the person from outside, of that key; None when there is none."""
        return next((lead for lead in self.orders if lead.key == key), None)

    def spare_days(self, material: str) -> int:
        """How many working days before its phase a material should be on site; 0 for one of no order."""
        return next((lead.spare_days for lead in self.orders if material in lead.materials), 0)


@dataclass(frozen=True, slots=True)
class Order:
    """What is ordered in one go for one job. net: by the job's quantities, without waste and stock sizes."""

    lead: LeadTime
    rows: tuple[Material, ...]
    net: bool

    @property
    def phases(self) -> frozenset[Phase]:
        """The phases that use it."""
        return frozenset(row.phase for row in self.rows)

    def words(self, units: str) -> str:
        """Each row with its amount: "liner, pond 520 ft2 as 1 of 20 ft x 26 ft; underlayment 330 ft2"."""
        told = "; ".join(f"{row.words} {order_words(row, units)}" for row in self.rows)
        return f"net, no design is kept: {told}" if self.net else told


def job_materials(job: Job, takeoff: Takeoff | None, units: str = US) -> tuple[Material, ...]:
    """All that must be ordered for a job: with waste and stock sizes where its design is taken off.

    Without a design: the job's own net quantities, and what they call for without saying how much.
    """
    return materials(takeoff, units) if takeoff else tuple(_net_rows(job, units))


def orders(rows: Sequence[Material], leads: LeadTimes, *, net: bool) -> tuple[Order, ...]:
    """The rows put together by what is ordered in one go, in the order of the lead times."""
    found = []
    for lead in leads.orders:
        mine = tuple(row for row in rows if row.key in lead.materials)
        if mine:
            found.append(Order(lead, mine, net))
    return tuple(found)


def by_supplier(found: Sequence[Order]) -> dict[str, list[Order]]:
    """Supplier -> what is ordered there; an order without one stands alone under its own words."""
    grouped: dict[str, list[Order]] = {}
    for order in found:
        grouped.setdefault(order.lead.supplier or order.lead.words, []).append(order)
    return grouped


def order_words(row: Material, units: str) -> str:
    """The amount to order as every screen tells it: "520 ft2 as 1 of 20 ft x 26 ft", "2 cans"."""
    if row.order <= 0.0:
        return f"({NOT_KNOWN})"
    amount, size = amount_words(row, units), row.order_size
    if row.order_unit == "truckload":
        return f"{amount} of {size}"
    if " of " in size or " off " in size:
        return f"{amount} as {size}" if size[:1].isdigit() else f"{amount} in {size}"
    return f"{amount}, {size}" if row.order_unit == "box" else amount


def amount_words(row: Material, units: str) -> str:
    """The bare amount to order: "520 ft2", "2 cans", "1 box"."""
    amount = in_figures(row.order, row.order_unit, units)
    if row.order == 1.0 or row.order_unit not in _COUNTED:
        return amount
    return f"{amount}{'es' if row.order_unit == 'box' else 's'}"


def load_words(rows: Sequence[Material], units: str) -> dict[str, str]:
    """What each of the job's quantities comes to when it is loaded: item -> the rows that it calls for.

    Rows that no quantity counts stand under their own key with "order_" before it.
    """
    found = {f"order_{key}": order_words(row, units) for key in ORDERED for row in rows if row.key == key}
    for item in CALLED_BY.values():
        mine = [row for row in rows if CALLED_BY.get(row.key) == item and row.key not in ORDERED]
        if len(mine) == 1:
            found[item] = order_words(mine[0], units)
        elif mine:
            found[item] = "; ".join(f"{row.words} {order_words(row, units)}" for row in mine)
    return found


def _net_rows(job: Job, units: str) -> list[Material]:
    def say(value: float, unit: str) -> str:
        return shown(value, unit, units)

    rows = further_materials(Asked(job.amount, say))
    for key, item in CALLED_BY.items():
        needed = job.amount(item)
        if needed <= 0.0 or key in _DESIGNED or ITEMS[item].further:
            continue
        kind = ITEMS[item]
        if key in _NOT_COUNTED:
            rows.append(Material(key, _NOT_COUNTED[key], kind.phase, needed, kind.unit, 0.0, kind.unit))
            continue
        words = _NET_WORDS.get(key, kind.words)
        rows.append(Material(key, words, kind.phase, needed, kind.unit, needed, kind.unit))
    return sorted(rows, key=lambda row: row.phase.rank)
