"""What is counted or measured on a job: each item belongs to one phase, has a unit, and may take hours.

The pond's own items have task functions that know carrying, lifting and machines. Further work (closing the
site, water, power, life, stone, cold) hangs on a phase as one task an item: quantity x the row `rate` of the
rate book.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.firm.phases import Phase


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that is counted or measured. rated: it takes labour by itself (hose flow does not).

    part: of the fill, 1 before the water has run in, 2 after, 0 both. further: asked for besides the pond
    itself; rate: its row in the rate book, "" when it takes no hours or has a task function of its own.
    """

    key: str
    phase: Phase
    unit: str
    words: str
    rated: bool = True
    part: int = 0
    further: bool = False
    rate: str = ""


def _pond(key: str, phase: Phase, unit: str, words: str, *, rated: bool = True, part: int = 0) -> Item:
    return Item(key, phase, unit, words, rated, part)


def _further(
    key: str, phase: Phase, unit: str, words: str, rate: str = "", *, part: int = 0, own_task: bool = False
) -> Item:
    return Item(key, phase, unit, words, bool(rate) or own_task, part, True, rate)


_ROWS = (
    _pond("dig_machine_cy", Phase.DIG, "cy", "bank dug by machine"),
    _pond("dig_hand_cy", Phase.DIG, "cy", "bank dug by hand"),
    _pond("berm_cy", Phase.DIG, "cy", "berm, compacted"),
    _pond("haul_off_cy", Phase.DIG, "cy", "spoil hauled off, loose"),
    _pond("truck_cy", Phase.DIG, "cy", "a truckload of spoil, loose", rated=False),
    _further("mats_ft", Phase.DIG, "ft", "way in laid with mats", "mats.lay"),
    _further("site_fence_ft", Phase.DIG, "ft", "temporary fence", "fence.put"),
    _further("toilets", Phase.DIG, "count", "site toilets"),
    _further("sumps", Phase.DIG, "count", "sumps dug, with pump and hose", "sump.dig"),
    _further("dewater_days", Phase.DIG, "count", "days of pumping the hole", "dewater.day"),
    _further("hauler_visits", Phase.DIG, "count", "hauler beside the dig"),
    _further("utility_visits", Phase.DIG, "count", "utility's own crew at its line"),
    _pond("filter_boxes", Phase.SET_FILTERS, "count", "filter boxes set"),
    _pond("box_dig_cy", Phase.SET_FILTERS, "cy", "box seats dug, bank"),
    _further("bog_dig_cy", Phase.SET_FILTERS, "cy", "bog dug, bank", own_task=True),
    _further("bog_ft2", Phase.SET_FILTERS, "ft2", "bog filter", "bog.build"),
    _further("bog_gravel_ton", Phase.SET_FILTERS, "ton", "gravel of the bog", "bog.gravel"),
    _pond("liner_ft2", Phase.LINER, "ft2", "liner"),
    _pond("underlayment_ft2", Phase.LINER, "ft2", "underlayment"),
    _pond("seams_ft", Phase.LINER, "ft", "liner seams"),
    _pond("boulder_small_ton", Phase.ROCK, "ton", "boulders 6 to 12 in"),
    _pond("boulder_medium_ton", Phase.ROCK, "ton", "boulders 12 to 18 in"),
    _pond("boulder_large_ton", Phase.ROCK, "ton", "boulders 18 to 36 in"),
    _pond("gravel_ton", Phase.ROCK, "ton", "gravel"),
    _pond("waterfall_ton", Phase.ROCK, "ton", "waterfall stone"),
    _pond("unload_stone_ton", Phase.ROCK, "ton", "stone taken off the truck"),
    _pond("unload_gravel_ton", Phase.ROCK, "ton", "gravel tipped from the truck"),
    _further("named_boulder_ton", Phase.ROCK, "ton", "named boulders", own_task=True),
    _further("footing_cy", Phase.ROCK, "cy", "base under falls and edge, tamped", "footing.base"),
    _further("concrete_visits", Phase.ROCK, "count", "concrete poured for a footing"),
    _further("crane_visits", Phase.ROCK, "count", "crane or boom truck for stone"),
    _pond("pipe_ft", Phase.PLUMBING, "ft", "pump line"),
    _pond("connections", Phase.PLUMBING, "count", "pipe connections"),
    _pond("sealed_joints", Phase.PLUMBING, "count", "sealed liner-to-box joints"),
    _further("cable_trench_ft", Phase.PLUMBING, "ft", "trench for the electrician's cable", "cable.trench"),
    _further("uv_units", Phase.PLUMBING, "count", "ultraviolet units", "uv.set"),
    _further("overflow_ft", Phase.PLUMBING, "ft", "overflow pipe", "overflow.lay"),
    _further("auto_fills", Phase.PLUMBING, "count", "float valve and its line", "autofill.set"),
    _pond("fill_gal", Phase.FILL, "gal", "water", part=1),
    _pond("hose_gpm", Phase.FILL, "gpm", "hose flow", rated=False, part=1),
    _pond("edge_ft", Phase.FILL, "ft", "edge trimmed and backfilled", part=2),
    _further("drain_gal", Phase.FILL, "gal", "first fill let out again", "drain.gal", part=1),
    _further("dosed_gal", Phase.FILL, "gal", "town water dechlorinated", "dose.gal", part=2),
    _further("dechlorinator_oz", Phase.FILL, "oz", "dechlorinator by the test", part=2),
    _further("plants", Phase.FILL, "count", "water plants", "plant.set", part=2),
    _further("water_tests", Phase.FILL, "count", "water tests before fish", "water.test", part=2),
    _further("fish", Phase.FILL, "count", "fish", part=2),
    _further("swale_ft", Phase.FILL, "ft", "overflow swale", "swale.shape", part=2),
    _further("electrician_visits", Phase.FILL, "count", "licensed electrician's visit", part=2),
    _further("inspector_visits", Phase.FILL, "count", "inspector before line and trench are covered", part=1),
    _further("winter_closings", Phase.FILL, "count", "closing visit before winter", part=2),
    _further("spring_openings", Phase.FILL, "count", "opening visit in spring", part=2),
    _further("leaf_net_ft2", Phase.FILL, "ft2", "leaf net", part=2),
    _further("topsoil_cy", Phase.FILL, "cy", "topsoil spread, loose", "topsoil.spread", part=2),
    _further("seed_ft2", Phase.FILL, "ft2", "lawn seeded", "seed.sow", part=2),
    _further("sod_ft2", Phase.FILL, "ft2", "sod laid", "sod.lay", part=2),
    _further("mulch_cy", Phase.FILL, "cy", "mulch spread", "mulch.spread", part=2),
    _further("paving_ft2", Phase.FILL, "ft2", "paving cleaned and washed down", "paving.clean", part=2),
    _further("rubbish_cy", Phase.FILL, "cy", "rubbish loaded and hauled", "rubbish.load", part=2),
    _further("loadings", Phase.FILL, "count", "tools and rests loaded out", "site.load_out", part=2),
    _further("last_walks", Phase.FILL, "count", "last walk with the client", "site.last_walk", part=2),
)
#: item key -> Item, in the order of work. Volumes: bank = in the ground, loose = in the truck, compacted =
#: tamped.
ITEMS: dict[str, Item] = {item.key: item for item in _ROWS}
