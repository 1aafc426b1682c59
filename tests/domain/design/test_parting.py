"""Job and kept design: what a take-off settles, what stays, and how the two are said to differ."""

from dataclasses import replace

import pytest

from planner.domain.design.parting import names_of, parting, parting_words, settle, told_apart
from planner.domain.design.read import read_design
from planner.domain.firm.jobs import Job, Line, Soil
from planner.domain.quantities.takeoff import merge, take_off
from planner.errors import BadInput, BadInputs

TEXT = """
name = "Invented basin"
water_line_in = 3
[outline]
shape = "ellipse"
length_ft = 14
width_ft = 10
[[step]]
down_in = 10
ledge_in = 12
[[step]]
down_in = 14
[skimmer]
"""
DESIGN = read_design(TEXT)
AGREED = Job("L1", "invented", depth_in=24.0, shelves=1, waterfall=False)


def test_a_changed_depth_is_told_until_it_is_brought_back():
    assert told_apart(AGREED, DESIGN, "us") == ""
    deeper = replace(AGREED, depth_in=30.0)
    assert "L1: the job and its kept design differ: depth 30 in, design 24 in" in told_apart(
        deeper, DESIGN, "us"
    )
    assert "depth 760 mm, design 610 mm" in told_apart(deeper, DESIGN, "metric")
    assert told_apart(replace(deeper, depth_in=24.0), DESIGN, "us") == ""
    assert told_apart(deeper, None, "us") == ""
    assert "cannot be read: no outline" in told_apart(AGREED, "no outline", "us")


def test_quantities_that_stay_are_told_beside_the_facts():
    lines = take_off(DESIGN).lines
    (liner,) = [line.quantity for line in lines if line.item == "liner_ft2"]
    mine = tuple(line for line in lines if line.item != "liner_ft2")
    assert parting(replace(AGREED, lines=lines), DESIGN, lines) == ()
    (row,) = parting(replace(AGREED, lines=(*mine, Line("liner_ft2", 200.0))), DESIGN, lines)
    assert (row.job, row.design, row.unit) == (200.0, liner, "ft2")
    assert "liner 200 ft2, design 320" in parting_words("L1", [row], "us")


def test_facts_that_somebody_entered_stay_and_others_follow():
    # The same CSV gives quantities and facts: both are entered, both stay; the rest follows.
    design = read_design(TEXT + '[site]\nsoil = "clay"\n')
    job = Job("L1", "invented", depth_in=30.0, soil=Soil.SAND)
    kept, facts = settle(job, design, None)
    assert (kept.depth_in, kept.soil, kept.shelves, kept.waterfall) == (30.0, Soil.SAND, 1, False)
    assert {fact.name for fact in facts if fact.kept} == {"depth_in", "soil"}
    taken, _ = settle(job, design, None, ["depth", "soil"])
    assert (taken.depth_in, taken.soil) == (24.0, Soil.CLAY)


def test_an_edited_design_moves_what_the_last_one_settled():
    deeper = read_design(TEXT.replace("down_in = 14", "down_in = 20"))
    moved, _ = settle(AGREED, deeper, DESIGN)
    assert moved.depth_in == 30.0
    own = replace(AGREED, depth_in=26.0)  # typed after the first take-off
    stays, facts = settle(own, deeper, DESIGN)
    assert stays.depth_in == 26.0 and facts[0].kept


def test_earth_entered_in_one_item_is_not_told_twice():
    computed = take_off(DESIGN).lines
    said = {line.item: line.quantity for line in computed}
    lines, changes = merge([Line("dig_hand_cy", 4.5)], computed)
    earth = sum(line.quantity for line in lines if line.item in ("dig_hand_cy", "dig_machine_cy"))
    assert earth == 4.5
    (machine,) = [c for c in changes if c.item == "dig_machine_cy"]
    assert (machine.computed, machine.after, machine.within) == (
        said["dig_machine_cy"],
        0.0,
        ("dig_hand_cy",),
    )
    both, _ = merge([Line("dig_hand_cy", 4.5)], computed, ["dig_hand_cy"])
    assert {line.item: line.quantity for line in both}["dig_machine_cy"] == said["dig_machine_cy"]


@pytest.mark.parametrize("water_in", [10, 12])
def test_a_shelf_that_the_water_does_not_cover_is_refused(water_in):
    with pytest.raises(BadInputs) as caught:
        read_design(TEXT.replace("water_line_in = 3", f"water_line_in = {water_in}"))
    assert "shelf 1 10 in below the rim" in str(caught.value) and "water line" in str(caught.value)


def test_a_wall_in_two_pieces_may_begin_above_the_water():
    assert read_design(
        TEXT.replace("[[step]]\ndown_in = 10", "[[step]]\ndown_in = 2\n[[step]]\ndown_in = 8", 1)
    )


def test_names_to_take_are_facts_or_items():
    assert names_of(["depth", "liner_ft2"], ["liner_ft2"]) == {"liner_ft2"}
    with pytest.raises(BadInput):
        names_of(["depht"], ["liner_ft2"])
