"""Design files: what they say, and every fault at once in one line each."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.domain.design.read import read_design
from planner.domain.firm.jobs import Access, Soil
from planner.domain.quantities.materials import materials
from planner.domain.quantities.takeoff import take_off
from planner.errors import BadInput, BadInputs

DEMO = Path(__file__).parents[3] / "seed_demo" / "designs"
PLAIN = """
name = "plain"
[outline]
shape = "ellipse"
length_ft = 20
width_ft = 14
[[step]]
down_in = 12
ledge_in = 12
[[step]]
down_in = 12
"""


@pytest.mark.parametrize("path", sorted(DEMO.glob("*.toml")), ids=lambda p: p.stem)
def test_the_demo_has_a_sound_design_for_each_kind(path):
    design = read_design(path.read_text())
    takeoff = take_off(design)
    assert takeoff.lines
    assert materials(takeoff, design.units)
    assert "invented" in design.name


def test_each_shape_is_in_the_demo():
    shapes = {
        line.split('"')[1]
        for p in DEMO.glob("*.toml")
        for line in p.read_text().splitlines()
        if "shape =" in line
    }
    assert shapes == {"ellipse", "rectangle", "kidney", "corners", "stations", "taped"}


def test_every_key_is_read():
    design = read_design((DEMO / "ellipse_patio.toml").read_text())
    assert design.site.soil is Soil.CLAY
    assert design.viewing is not None
    assert design.viewing.spread_deg == 100
    assert [s.viewing_shelf_in for s in design.steps] == [24, None, None]
    assert design.falls is not None
    assert (design.falls.gph_per_in, design.falls.height_in) == (120, 25)
    assert design.skimmer is not None
    assert design.skimmer.at == (-11, -2)
    assert design.plumbing.fittings == {"elbow_90": 4, "check_valve": 1, "union": 1}
    hand = read_design((DEMO / "rectangle_formal.toml").read_text())
    assert hand.site.access is Access.HAND
    assert hand.stone.mix == {"small": 0.7, "medium": 0.3, "large": 0.0}


def test_metric_and_us_files_of_one_pond_agree():
    us = read_design(PLAIN)
    metric = read_design(
        'name = "plain"\nunits = "metric"\nwater_line_mm = 76.2\n'
        '[outline]\nshape = "ellipse"\nlength_m = 6.096\nwidth_cm = 426.72\n'
        "[[step]]\ndown_cm = 30.48\nledge_mm = 304.8\nstone_thick_cm = 30.48\n[[step]]\ndown_mm = 304.8\n"
        "[liner]\nstock_m = [3.048, 6.096, 9.144]\n[filling]\nhose_l_min = 41.6395\n"
    )
    ours = {line.item: line.quantity for line in take_off(us).lines}
    theirs = {line.item: line.quantity for line in take_off(metric).lines}
    # a truck that nobody stated is a round one in either system: 10 cy, 8 m3
    assert (ours.pop("truck_cy"), theirs.pop("truck_cy")) == (10.0, pytest.approx(8 * 1.307951, rel=1e-3))
    # and stone comes off the truck as the merchant sells it: by half a ton, by half a tonne (1.1023 tons)
    sold = ("unload_stone_ton", "unload_gravel_ton")
    assert [ours.pop(item) for item in sold] == [8.0, 2.5]
    assert [theirs.pop(item) for item in sold] == pytest.approx([7.5 * 1.1023, 2.0 * 1.1023], abs=0.01)
    assert theirs == pytest.approx(ours, rel=2e-3, abs=0.01)
    assert metric.outline.how == "ellipse 6.10 x 4.27 m"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            ("length_ft = 20", "length_m = 6"),
            'units mixed: the file says units = "us", so write length_ft or length_in',
        ),
        (("length_ft = 20", "length_ft = -20"), "length_ft = -20"),
        (("length_ft = 20", "length_ft = 20\nlength_in = 240"), "length_ft says it already"),
        (("length_ft = 20", 'length_ft = "wide"'), "write a number"),
        (("length_ft = 20", "length_ft = nan"), "write a number"),
        (("length_ft = 20", "length_ft = 1e30"), "write a number from 1 to 1000"),
        (("length_ft = 20", ""), "length_ft = 'missing'"),
        (("length_ft = 20", "length = 20"), "say the unit in the key"),
        (("down_in = 12\nledge_in = 12", "down_in = 12\nledgei_n = 12"), "did you mean ledge_in?"),
        (('shape = "ellipse"', 'shape = "blob"'), "shape = 'blob': write one of: ellipse"),
        (('name = "plain"', ""), "name = 'missing'"),
        (('name = "plain"', 'name = "a\\nb"'), "one line of text"),
        (("[[step]]", "[[stepp]]"), "did you mean step?"),
        (("[[step]]", "[step]"), "fix the TOML there"),
        (("[outline]", "[outline"), "fix the TOML there"),
        (('name = "plain"', 'name = "plain"\nstep = 3'), "fix the TOML there"),
        (('name = "plain"', 'name = "plain"\noutline = 3'), "fix the TOML there"),
        (('name = "plain"', 'name = "plain"\nberm = 3'), "write it as a table"),
        (('name = "plain"', 'name = "plain"\nunits = "feet"'), "units = 'feet'"),
        (('name = "plain"', 'name = "plain"\nbasins = 1.5'), "whole number"),
        (('name = "plain"', 'name = "plain"\n[site]\nhouse_from_ft = [0, -12]'), "give both ends"),
        (('name = "plain"', 'name = "plain"\n[stream]\nlength_ft = 3\nwidth_ft = 2'), "without [waterfall]"),
        (('name = "plain"', 'name = "plain"\n[waterfall]\nlip_in = 20'), "drops_in"),
        (('name = "plain"', 'name = "plain"\n[filling]\nstart = "25:00"'), 'start = "13:00"'),
        (('name = "plain"', 'name = "plain"\n[stone.mix_percent]\nsmall = 20'), "add up to 100"),
        (('name = "plain"', 'name = "plain"\n[pump_line.fittings]\nhelix = 2'), "helix = 2"),
        (('name = "plain"', 'name = "plain"\n[pump_line]\nsize_in = 1.7'), "nominal size"),
        (('name = "plain"', 'name = "plain"\n[skimmer]\nat_ft = [1]'), "two numbers in brackets"),
        (('name = "plain"', 'name = "plain"\n[prices]\nliner = -3'), "liner = -3"),
        (('name = "plain"', 'name = "plain"\n[prices]\ngold = 3'), "gold = 'unknown'"),
        (('name = "plain"', 'name = "plain"\n[liner]\nstock_ft = "many"'), "list of numbers"),
        (('name = "plain"', 'name = "plain"\n[site]\nsoil = "mud"'), "soil = 'mud'"),
    ],
)
def test_bad_files_say_what_and_where(change, says):
    text = PLAIN.replace(*change, 1)
    assert text != PLAIN
    with pytest.raises(BadInput) as refusal:
        read_design(text)
    assert says in str(refusal.value)


def test_all_faults_are_found_at_once():
    text = PLAIN.replace("length_ft = 20", "length_ft = -1").replace("ledge_in = 12", "ledge_mm = 12")
    with pytest.raises(BadInputs) as refusal:
        read_design(text)
    lines = str(refusal.value).splitlines()
    assert len(lines) == 2
    assert lines[0].startswith("[outline]: length_ft = -1")
    assert lines[1].startswith("[[step]] 1: ledge_mm = 12: units mixed")


def test_crossing_outline_in_a_file_keeps_its_place():
    text = '[outline]\nshape = "corners"\npoints_ft = [[0, 0], [10, 10], [10, 0], [0, 10]]\n'
    with pytest.raises(BadInput) as refusal:
        read_design('name = "x"\n' + text + "[[step]]\ndown_in = 12\n")
    assert str(refusal.value).startswith("[outline]: outline = 'crosses itself near x 5.0, y 5.0 ft")


def test_names_with_brackets_quotes_and_emoji_are_just_names():
    design = read_design(PLAIN.replace('"plain"', "'[red]a;\"b\" <i>🐸</i>'"))
    assert design.name == '[red]a;"b" <i>🐸</i>'
