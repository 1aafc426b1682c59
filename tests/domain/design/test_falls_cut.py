"""The falls in section: heights by hand from the design's own drops, the liner shingled like a roof."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from planner.domain.design.design import Berm, Box, Design, Falls, Stream
from planner.domain.design.layout import lay_out
from planner.domain.design.levels import levels_of
from planner.domain.design.outline import ellipse
from planner.domain.design.section import cut_falls
from planner.domain.design.shelves import Step


def pond(**more: object) -> Design:
    falls = Falls((12.0, 8.0), 24.0, stream=Stream(12.0, 3.0, 3.0, 6.0), berm=Berm(10.0, 6.0, 24.0))
    whole: dict[str, object] = {"falls": falls, "skimmer": Box(), "top_box": Box(dug_in=6.0)} | more
    return Design("cut", ellipse(21, 16), (Step(9, 14), Step(9, 12), Step(9)), **whole)  # type: ignore[arg-type]


def test_lips_stand_at_the_sums_of_their_drops() -> None:
    """By hand: water line 3 in below the rim; the lower lip 8 in over the water, the upper 20, the box 26."""
    cut = cut_falls(pond())
    assert cut is not None
    assert [12 * depth for _, depth in cut.lips] == pytest.approx([3 - 20, 3 - 8])
    assert 12 * cut.water[0][1] == pytest.approx(3 - 26)
    assert 12 * cut.water[-1][1] == pytest.approx(3)
    named = {level.name: level.below_rim_in for level in levels_of(pond()).rows}
    assert (named["top of the falls"], named["lip 1"], named["lip 2"]) == (-23, -17, -5)


def test_the_liner_never_climbs_on_its_way_down_and_runs_under_every_stone() -> None:
    cut = cut_falls(pond())
    assert cut is not None
    for (x, high), (u, low) in pairwise(cut.liner):
        assert low >= high - 1e-9 and u >= x - 1e-9, "water runs down the liner, it never meets a pocket"
    for left, _, _, bottom in cut.stones:
        beneath = [depth for along, depth in cut.liner if along <= left + 0.06]
        assert max(beneath) >= bottom - 0.4
    # past the water by the liner's own overlap, measured along the pond's wall and shelf
    hung = [spot for spot in cut.liner if spot[0] >= cut.rim_ft - 1e-9]
    assert sum(math.dist(a, b) for a, b in pairwise(hung)) == pytest.approx((3 + 12) / 12)


def test_a_single_drop_without_stream_has_one_lip_and_no_falls_no_cut() -> None:
    one = pond(falls=Falls((14.0,), 20.0))
    cut = cut_falls(one)
    assert cut is not None and cut.stream is None and not cut.broken
    assert levels_of(one).lips == ()
    assert cut_falls(pond(falls=None)) is None


def test_a_box_that_nobody_placed_stands_up_its_stream() -> None:
    """12 ft of stream between rim and box, along the longer half axis of 10.5 ft: the pipe must reach it."""
    with_stream, without = lay_out(pond()), lay_out(pond(falls=Falls((20.0,), 24.0)))
    assert with_stream.top_box is not None and without.top_box is not None
    assert math.hypot(*with_stream.top_box) == pytest.approx(10.5 + 12.0, abs=0.05)
    assert math.hypot(*without.top_box) == pytest.approx(10.5 + 2.5, abs=0.05)
    assert with_stream.pipe_ft > without.pipe_ft + 6.0
