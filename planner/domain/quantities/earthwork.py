"""Earth: what a design digs, by machine and by hand, the box seats, the berm, and what is hauled.

In: a design and its layers. Out: `Earthwork`, bank cubic yards by layer. The machine leaves a skin for the
shovel (`trim_in`) on walls and floors, and cannot cut a shelf narrower than its bucket; without access for a
machine all is hand work.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.domain.design.design import Berm, Box, Design, Site
from planner.domain.design.earth import Balance, balance, berm_ft3, cy, prismoid_ft3, truckloads
from planner.domain.design.shelves import Layer, inward
from planner.domain.firm.jobs import Access, Soil


@dataclass(frozen=True, slots=True)
class Earthwork:
    """Yards of one design. layer_cy: bank, rim first; pads_ft3: tamped gravel under the boxes.

    machine_cy and hand_cy: bank, of the pond only; box_cy: bank of the seats; backfill_cy: bank put back.
    balance: spoil after berm and backfill; loads: trucks to haul off (or to bring, when short).
    """

    layer_cy: tuple[float, ...]
    machine_cy: float
    hand_cy: float
    box_cy: float
    backfill_cy: float
    pads_ft3: float
    balance: Balance
    loads: int

    @property
    def pond_cy(self) -> float:
        """Bank yards of the hole."""
        return self.machine_cy + self.hand_cy


def earthwork(design: Design, layers: Sequence[Layer], soil: Soil, access: Access) -> Earthwork:
    """Take the earth off a design for a site's soil and access."""
    layer_cy = tuple(cy(layer.volume_ft3()) for layer in layers)
    total_cy = sum(layer_cy)
    machine_cy = machine_part_cy(layers, design.site) if access is Access.MACHINE else 0.0
    seats = [_seat(box) for box in design.boxes]
    box_cy = cy(sum(hole for hole, _, _ in seats))
    backfill_cy = cy(sum(back for _, back, _ in seats))
    spoil = balance(total_cy + box_cy - backfill_cy, cy(_berm_ft3(design)), soil)
    return Earthwork(
        layer_cy=layer_cy,
        machine_cy=min(machine_cy, total_cy),
        hand_cy=max(0.0, total_cy - machine_cy),
        box_cy=box_cy,
        backfill_cy=backfill_cy,
        pads_ft3=sum(pad for _, _, pad in seats),
        balance=spoil,
        loads=truckloads(max(spoil.surplus_loose_cy, spoil.shortage_loose_cy), design.site.truck_cy),
    )


def machine_part_cy(layers: Sequence[Layer], site: Site) -> float:
    """What a machine with `site.bucket_in` digs of the hole [bank cy], the shovel's skin left on."""
    trim_ft = site.trim_in / 12.0
    ft3 = 0.0
    for number, layer in enumerate(layers):
        foot = _foot(layers, number)
        if 0.0 < layers[foot].step.shelf_in < site.bucket_in and foot + 1 < len(layers):
            ft3 += float(inward(layers[foot + 1].top, trim_ft).area) * layer.height_ft
            continue
        levels = (layer.top_ft, (layer.top_ft + layer.bottom_ft) / 2.0, layer.bottom_ft)
        top, middle, bottom = (float(inward(layer.outline_at(z), trim_ft).area) for z in levels)
        ft3 += prismoid_ft3(top, middle, bottom, layer.height_ft)
    floor_skin_ft3 = trim_ft * float(inward(layers[0].top, trim_ft).area)
    return cy(max(0.0, ft3 - floor_skin_ft3))


def _foot(layers: Sequence[Layer], number: int) -> int:
    """The layer on whose shelf the wall through layer `number` ends: a wall may be cut in several layers."""
    while number + 1 < len(layers) and layers[number].step.shelf_in == 0.0:
        number += 1
    return number


def _seat(box: Box) -> tuple[float, float, float]:
    """Hole, backfill and pad of one box [ft3]."""
    pad_ft3 = (box.length_in + 2 * box.room_in) * (box.width_in + 2 * box.room_in) * box.pad_in / 1728.0
    if box.dug_in <= 0.0:
        return 0.0, 0.0, pad_ft3
    plan_in2 = (box.length_in + 2 * box.room_in) * (box.width_in + 2 * box.room_in)
    hole_ft3 = plan_in2 * (box.dug_in + box.pad_in) / 1728.0
    box_ft3 = box.length_in * box.width_in * min(box.dug_in, box.height_in) / 1728.0
    return hole_ft3, hole_ft3 - box_ft3 - pad_ft3, pad_ft3


def _berm_ft3(design: Design) -> float:
    berm: Berm | None = design.falls.berm if design.falls else None
    if berm is None:
        return 0.0
    top_ft = berm.width_ft / 3.0 if berm.top_width_ft is None else berm.top_width_ft
    return berm_ft3(berm.length_ft, berm.width_ft, berm.height_in / 12.0, top_ft)
