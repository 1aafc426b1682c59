"""Take-off: from a design to the six phases' quantities, in one step.

In: a `Design`, and the job's soil and access where the design leaves them open. Out: a `Takeoff` with every
part of the reckoning and the job's `Line`s, marked computed. `merge` lays new computed lines over a job's:
an entered line stays, and its computed twin is shown beside it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from planner.domain.design.design import STONE_CLASSES, Design, Sheet
from planner.domain.design.layout import Layout, lay_out
from planner.domain.design.shelves import Layer, layers
from planner.domain.firm.jobs import ITEMS, Access, Line, Origin, Soil
from planner.domain.quantities.earthwork import Earthwork, earthwork
from planner.domain.quantities.energy import Choice, choose
from planner.domain.quantities.further import further_amounts, named_ton
from planner.domain.quantities.life import BogSize, Load, bog_size, load
from planner.domain.quantities.liner import Cut, Spread, cut_from_stock, spread
from planner.domain.quantities.stone import Rockwork, rockwork, unload_amounts
from planner.domain.quantities.stormwater import Overflow, overflow
from planner.domain.quantities.waterwork import Waterwork, waterwork
from planner.domain.safety.lifting import people_to_lift
from planner.errors import BadInput


@dataclass(frozen=True, slots=True)
class Linerwork:
    """The sheets of one design. stream: the stream's own piece, None without one.

    liner_ft2: laid area of all pieces; seams_ft: joins in the pond's sheet and the lap of the stream's piece;
    weight_lb: the pond's sheet as cut; people: to lift its folded weight, 0 means a machine or a dolly.
    """

    pond: Spread
    pond_cut: Cut
    stream: Spread | None
    stream_cut: Cut | None
    liner_ft2: float
    underlay_ft2: float
    seams_ft: float
    weight_lb: float
    people: int


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Everything that a design comes to on a site. pump: the one of the user's table that does the duty.

    overflow: the way out of the design storm; load: of the fish; bog: its size.
    """

    design: Design
    soil: Soil
    access: Access
    layers: tuple[Layer, ...]
    layout: Layout
    earth: Earthwork
    sheet: Linerwork
    rock: Rockwork
    water: Waterwork
    pump: Choice | None = None
    overflow: Overflow | None = None
    load: Load | None = None
    bog: BogSize | None = None

    @property
    def lines(self) -> tuple[Line, ...]:
        """The job's lines, computed, in the order of work; items that come to nothing are left out."""
        amounts = self._amounts()
        return tuple(
            Line(item, round(amounts[item], 2), Origin.COMPUTED, f"from design {self.design.name}"[:200])
            for item in ITEMS
            if round(amounts.get(item, 0.0), 2) > 0.0
        )

    def amount(self, item: str) -> float:
        """What the design comes to of one item; 0 when nothing."""
        return self._amounts().get(item, 0.0)

    def _amounts(self) -> dict[str, float]:
        design, earth, rock, pump = self.design, self.earth, self.rock, self.water.pumping
        stream = design.falls.stream if design.falls else None
        return {
            "dig_machine_cy": earth.machine_cy,
            "dig_hand_cy": earth.hand_cy,
            "berm_cy": earth.balance.berm_cy,
            "haul_off_cy": earth.balance.surplus_loose_cy,
            "truck_cy": design.site.truck_cy if earth.balance.surplus_loose_cy > 0.0 else 0.0,
            "filter_boxes": float(len(design.boxes)),
            "box_dig_cy": earth.box_cy,
            "liner_ft2": self.sheet.liner_ft2,
            "underlayment_ft2": self.sheet.underlay_ft2,
            "seams_ft": self.sheet.seams_ft,
            **{STONE_CLASSES[name][2]: ton for name, ton in rock.class_ton.items()},
            "gravel_ton": rock.gravel_ton,
            "waterfall_ton": rock.falls_ton,
            "pipe_ft": self.layout.pipe_ft * pump.lines if pump else 0.0,
            "connections": float(pump.connections) if pump else 0.0,
            "sealed_joints": float(len(design.boxes)),
            "fill_gal": self.water.fill_gal,
            "hose_gpm": self.water.filled.mean_gpm,
            "edge_ft": design.outline.rim_ft + (2.0 * stream.length_ft if stream else 0.0),
            **further_amounts(design, self.water, self.bog),
            **unload_amounts(rock, design.stone, named_ton(design)),
        }


def take_off(design: Design, soil: Soil = Soil.LOAM, access: Access = Access.MACHINE) -> Takeoff:
    """Reckon a design; its own soil and access win over the job's.

    Raises BadInput where the steps cannot be cut under the outline.
    """
    soil, access = design.site.soil or soil, design.site.access or access
    cut = layers(design.outline, design.steps, design.viewing, design.basins)
    layout = lay_out(design)
    rock = rockwork(design, cut)
    water = waterwork(design, cut, rock.displaced_ft3, layout.pipe_ft)
    fish = load(design.fish, water.surface_ft2, water.net_gal) if design.fish else None
    return Takeoff(
        design=design,
        soil=soil,
        access=access,
        layers=cut,
        layout=layout,
        earth=earthwork(design, cut, soil, access),
        sheet=linerwork(design, cut),
        rock=rock,
        water=water,
        pump=choose(water.pumping, design.pumps),
        overflow=overflow(design.storm, water.surface_ft2),
        load=fish,
        bog=bog_size(design.bog, water.pumping.duty_gpm if water.pumping else 0.0, fish)
        if design.bog
        else None,
    )


def linerwork(design: Design, cut: tuple[Layer, ...]) -> Linerwork:
    """Take the sheets off a design."""
    sheet, overlap_ft = design.sheet, design.sheet.overlap_in / 12.0
    pond = spread(cut, overlap_ft)
    stream = _stream_piece(design, overlap_ft)
    pond_cut = _from_stock(pond, sheet)
    stream_cut = _from_stock(stream, sheet) if stream else None
    liner_ft2 = pond.area_ft2 + (stream.area_ft2 if stream else 0.0)
    seams_ft = pond_cut.seams_ft
    if stream and stream_cut:
        seams_ft += stream_cut.seams_ft + stream.width_ft
    weight_lb = pond.area_ft2 * sheet.lb_ft2
    return Linerwork(
        pond=pond,
        pond_cut=pond_cut,
        stream=stream,
        stream_cut=stream_cut,
        liner_ft2=liner_ft2,
        underlay_ft2=liner_ft2 * sheet.underlay_layers,
        seams_ft=seams_ft,
        weight_lb=weight_lb,
        people=people_to_lift(weight_lb, design.reach),
    )


def _from_stock(piece: Spread, sheet: Sheet) -> Cut:
    return cut_from_stock(piece.length_ft, piece.width_ft, sheet.stock_ft, sheet.lap_in / 12.0, sheet.cut_ft)


def _stream_piece(design: Design, overlap_ft: float) -> Spread | None:
    """The stream's rectangle: bed and both banks across; length, falls and overlaps along."""
    falls = design.falls
    if falls is None or falls.stream is None:
        return None
    stream = falls.stream
    across = stream.width_ft + 2.0 * stream.depth_in / 12.0 + 2.0 * overlap_ft
    along = stream.length_ft + falls.height_in / 12.0 + 2.0 * overlap_ft
    return Spread(max(along, across), min(along, across), 0.0)


#: Items that tell parts of one whole: an entered figure in one may stand for the others too.
WHOLES: tuple[tuple[str, ...], ...] = (
    ("dig_machine_cy", "dig_hand_cy"),
    ("boulder_small_ton", "boulder_medium_ton", "boulder_large_ton"),
)


@dataclass(frozen=True, slots=True)
class Change:
    """One item of a merge: what the job held, what the design computes, what the job will hold.

    kept: an entered value that stays although the design computes another; within: the entered items that
    tell the same earth or stone, so that the computed value is not added to them.
    """

    item: str
    before: float
    computed: float
    after: float
    kept: bool
    within: tuple[str, ...] = ()

    @property
    def changes(self) -> bool:
        """True when the job's amount changes."""
        return abs(self.after - self.before) > 0.005


def merge(
    old: Iterable[Line], computed: Iterable[Line], take: Collection[str] = ()
) -> tuple[tuple[Line, ...], tuple[Change, ...]]:
    """Lay computed lines over a job's: new lines for the job, and every item that differs.

    Computed lines replace computed ones. An item with an entered line keeps it, unless `take` names the
    item. A computed item that the job does not hold yet is not added beside an entered one of the same whole
    (`WHOLES`): the earth would be told twice. Computed items that the design no longer has are dropped.
    """
    old, computed = tuple(old), tuple(computed)
    strangers = sorted(set(take) - set(ITEMS))
    if strangers:
        raise BadInput("take-computed", ", ".join(strangers), f"name items of the job: {', '.join(ITEMS)}")
    entered = {line.item for line in old if line.origin is Origin.ENTERED} - set(take)
    within = _within_entered(old, entered, take)
    kept = [line for line in old if line.item in entered and line.origin is Origin.ENTERED]
    fresh = [line for line in computed if line.item not in entered and line.item not in within]
    result = sorted([*kept, *fresh], key=lambda line: list(ITEMS).index(line.item))
    changes = []
    for item in ITEMS:
        before, said, after = (_amount(lines, item) for lines in (old, computed, result))
        if abs(before - said) > 0.005 or abs(after - before) > 0.005:
            changes.append(Change(item, before, said, after, item in entered, within.get(item, ())))
    return tuple(result), tuple(changes)


def _within_entered(
    old: tuple[Line, ...], entered: Collection[str], take: Collection[str]
) -> dict[str, tuple[str, ...]]:
    """Item that the job does not hold -> the entered items of its whole."""
    held = {line.item for line in old}
    found: dict[str, tuple[str, ...]] = {}
    for whole in WHOLES:
        mine = tuple(item for item in whole if item in entered)
        found |= {item: mine for item in whole if mine and item not in held and item not in take}
    return found


def _amount(lines: Iterable[Line], item: str) -> float:
    return sum(line.quantity for line in lines if line.item == item)
