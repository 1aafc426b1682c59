"""A pond's design: everything a contractor measures or decides before he estimates.

Plain values with defaults; US customary inside. Defaults that no published source gives are said to be
common practice or "default, to be calibrated" beside the field.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from zlib import crc32

from planner.domain.design.besides import (
    Boulder,
    Closing,
    Evaporation,
    Footing,
    GroundWater,
    Placing,
    Power,
    Pump,
    Storm,
    TownWater,
)
from planner.domain.design.living import Bog, Fish, Plant, Uv, Winter
from planner.domain.design.outline import Outline, Point
from planner.domain.design.shelves import Step, Viewing
from planner.domain.firm.jobs import Access, Soil
from planner.domain.safety.lifting import Lift

#: what a design may give a price for: keys of the materials list
PRICED: tuple[str, ...] = (
    "haul_load",
    "clean_fill",
    "skimmer",
    "waterfall_box",
    "pad_gravel",
    "liner",
    "stream_liner",
    "underlayment",
    "seam_tape",
    "boulder_small",
    "boulder_medium",
    "boulder_large",
    "gravel",
    "waterfall_stone",
    "foam",
    "pump",
    "pipe",
    "fittings",
    "cement",
    "sealant",
    "mats",
    "site_fence",
    "toilet",
    "topsoil",
    "lawn_seed",
    "sod",
    "mulch",
    "rubbish_load",
    "dewatering_pump",
    "overflow_pipe",
    "erosion_mat",
    "dechlorinator",
    "float_valve",
    "fill_line",
    "named_boulder",
    "footing_base",
    "bog_gravel",
    "bog_liner",
    "bog_pipe",
    "uv_unit",
    "plants",
    "fish",
    "test_kit",
    "leaf_net",
    "air_stone",
)


@dataclass(frozen=True, slots=True)
class Box:
    """A filter box: outside length, width and height [in] (defaults, to be calibrated: read the label).

    at: its middle on the plan [ft], None when not measured. dug_in: how deep its seat is below grade [in].
    pad_in: tamped gravel under it [in]; room_in: working room dug round it [in].
    """

    length_in: float = 30.0
    width_in: float = 24.0
    height_in: float = 28.0
    at: Point | None = None
    dug_in: float = 28.0
    pad_in: float = 4.0
    room_in: float = 6.0


@dataclass(frozen=True, slots=True)
class Stream:
    """A stream from the top box to the falls: length, width, water depth; the fall along it [ft, in]."""

    length_ft: float
    width_ft: float
    depth_in: float = 4.0
    drop_in: float = 0.0


@dataclass(frozen=True, slots=True)
class Berm:
    """A mound of tamped spoil under the falls. top_width_ft None: a third of the width."""

    length_ft: float
    width_ft: float
    height_in: float
    top_width_ft: float | None = None


@dataclass(frozen=True, slots=True)
class Falls:
    """The waterfall: drops from the top down [in], width of the lip [in], stone on it.

    cheek_ft: stone face to each side of the lip [ft]; stone_in: its thickness [in] (defaults, to be
    calibrated). gph_per_in: flow per inch of lip; 100 to 150 is common practice, no published source.
    """

    drops_in: tuple[float, ...]
    spillway_in: float
    cheek_ft: float = 2.0
    stone_in: float = 14.0
    gph_per_in: float = 125.0
    stream: Stream | None = None
    berm: Berm | None = None

    @property
    def height_in(self) -> float:
        """Water line of the pond to the top of the falls, the stream's fall included [in]."""
        return sum(self.drops_in) + (self.stream.drop_in if self.stream else 0.0)


@dataclass(frozen=True, slots=True)
class Plumbing:
    """The pump line. route_ft None: length of `route`, or round the rim; lift_ft None: height of the falls.

    apart_ft: straight distance between the boxes, when only that was measured [ft].

    turnovers_h: pond volumes per hour, 1 with fish, 0.5 plants only (common practice, no published source).
    size_in, bore_in 0: chosen by velocity; other_ft: head lost in filters at the required flow [ft].
    pump_curve: (flow [gpm], head [ft]) points of a pump that the contractor has in mind.
    """

    route_ft: float | None = None
    route: tuple[Point, ...] = ()
    apart_ft: float | None = None
    fittings: Mapping[str, int] = field(default_factory=lambda: {"elbow_90": 3, "check_valve": 1, "union": 1})
    own_lengths_ft: Mapping[str, float] = field(default_factory=dict)
    lift_ft: float | None = None
    turnovers_h: float = 1.0
    size_in: float = 0.0
    bore_in: float = 0.0
    other_ft: float = 0.0
    pump_curve: tuple[tuple[float, float], ...] = ()
    coil_ft: float = 25.0


@dataclass(frozen=True, slots=True)
class Site:
    """Ground and access. soil, access None: as the job says (loam and a machine without a job).

    bucket_in: shelves narrower than this are cut by hand; trim_in: left by the machine for the shovel on
    walls and floors (both defaults, to be calibrated). truck_cy: loose yards a truck takes. north_deg: where
    north lies on the plan, 0 right, 90 up, None when not said. house: two ends of a line that stays (a wall,
    a fence) from which the plan is found again [ft], empty when not measured.
    """

    soil: Soil | None = None
    access: Access | None = None
    bucket_in: float = 12.0
    trim_in: float = 2.0
    truck_cy: float = 10.0
    north_deg: float | None = None
    house: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Stone:
    """Stone: solid weight, voids of placed stone, the mix of sizes on a wall by tonnage, gravel, edge.

    density_lb_ft3: 150 to 170 in the Corps' Streambank Stabilization Handbook (WES; 1997 from memory), app.
    A.2.3. voids: 0.33 to 0.40 for placed irregular stone (engineers' discussion, low authority). mix, edge
    and gravel are defaults, to be calibrated. gravel_lb_cy: 2,700 (general reference page). step_ton: the
    merchant's rounding, up.
    """

    density_lb_ft3: float = 165.0
    voids: float = 0.35
    mix: Mapping[str, float] = field(default_factory=lambda: {"small": 0.3, "medium": 0.5, "large": 0.2})
    gravel_in: float = 2.0
    gravel_lb_cy: float = 2700.0
    edge_in: float = 12.0
    edge_thick_in: float = 6.0
    step_ton: float = 0.5


@dataclass(frozen=True, slots=True)
class Sheet:
    """Liner: overlap past the rim on each side, stock widths, weight, seam lap; layers of underlayment.

    cut_ft: a cut off the roll is a whole number of these.
    lb_ft2: 0.29 for 45 mil EPDM (a sheet filed with the Colorado mining regulator, DRMS document
    996057, ASTM D751).
    Stock widths and the underlay's roll width are defaults: put in what your merchant keeps.
    """

    overlap_in: float = 12.0
    stock_ft: tuple[float, ...] = (10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0)
    lb_ft2: float = 0.29
    lap_in: float = 6.0
    cut_ft: float = 1.0
    underlay_layers: int = 1
    underlay_stock_ft: float = 15.0


@dataclass(frozen=True, slots=True)
class Filling:
    """Water at the site. well_gpm 0: town water; top_up: share added for wetting stone and first losses.

    hose_gpm: 11 is 100 ft of 5/8 in hose at 40 psi (Iowa State University Extension, 28 June 1996, p. 111);
    time a bucket instead. start_h: hour of the day at which the hose is opened.
    """

    hose_gpm: float = 11.0
    well_gpm: float = 0.0
    well_storage_gal: float = 0.0
    start_h: float = 13.0
    top_up: float = 0.10


def revision_of(design: Design) -> str:
    """Eight hex digits that change with anything that the design says."""
    return f"{crc32(repr(design).encode()):08x}"


@dataclass(frozen=True, slots=True)
class Design:
    """One pond. water_line_in: below the rim [in]. basins: separate floors asked for.

    boxes: of which each takes one sealed joint. closing and the like: further work, None where nobody asks
    for it. prices: material key -> US dollars per ordered unit.
    """

    name: str
    outline: Outline
    steps: tuple[Step, ...]
    water_line_in: float = 3.0
    viewing: Viewing | None = None
    basins: int = 1
    falls: Falls | None = None
    skimmer: Box | None = None
    top_box: Box | None = None
    plumbing: Plumbing = field(default_factory=Plumbing)
    site: Site = field(default_factory=Site)
    stone: Stone = field(default_factory=Stone)
    sheet: Sheet = field(default_factory=Sheet)
    filling: Filling = field(default_factory=Filling)
    reach: Lift = field(default_factory=Lift)
    closing: Closing | None = None
    pumps: tuple[Pump, ...] = ()
    power: Power | None = None
    ground_water: GroundWater | None = None
    storm: Storm | None = None
    town_water: TownWater | None = None
    evaporation: Evaporation | None = None
    placing: Placing | None = None
    boulders: tuple[Boulder, ...] = ()
    footing: Footing | None = None
    fish: Fish | None = None
    bog: Bog | None = None
    plants: tuple[Plant, ...] = ()
    uv: Uv | None = None
    winter: Winter | None = None
    prices: Mapping[str, float] = field(default_factory=dict)
    units: str = "us"

    @property
    def depth_in(self) -> float:
        """Rim to floor [in]."""
        return sum(step.down_in for step in self.steps)

    @property
    def boxes(self) -> tuple[Box, ...]:
        """The filter boxes there are, the skimmer first."""
        return tuple(box for box in (self.skimmer, self.top_box) if box is not None)


#: class -> (least, greatest size across [in], item key of the job's lines)
STONE_CLASSES: dict[str, tuple[float, float, str]] = {
    "small": (6.0, 12.0, "boulder_small_ton"),
    "medium": (12.0, 18.0, "boulder_medium_ton"),
    "large": (18.0, 36.0, "boulder_large_ton"),
}
