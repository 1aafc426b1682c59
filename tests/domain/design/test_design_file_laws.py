"""Whatever stands in a design file, it is a sound design or a refusal of one line per fault."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.domain.design.read import design_of, read_design
from planner.domain.quantities.cautions import cautions
from planner.domain.quantities.materials import materials
from planner.domain.quantities.takeoff import take_off
from planner.errors import BadInput
from planner.report.design.drawing import drawing_svg

DEMO = [
    tomllib.loads(p.read_text())
    for p in sorted((Path(__file__).parents[3] / "seed_demo" / "designs").glob("*.toml"))
]
odd = st.one_of(
    st.none().map(lambda _: {}),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.floats(allow_nan=True, allow_infinity=True),
    st.floats(0, 60),
    st.integers(0, 40),
    st.text(max_size=20),
    st.lists(st.one_of(st.floats(-5, 40), st.integers(-3, 30)), max_size=5),
    st.lists(st.lists(st.floats(-5, 40), min_size=2, max_size=2), max_size=6),
    st.lists(st.dictionaries(st.text(max_size=5), st.integers()), max_size=3),
    st.dictionaries(st.text(max_size=8), st.one_of(st.integers(), st.text(max_size=4)), max_size=3),
)


def places(tree: object, at: tuple = ()) -> list[tuple]:
    inside = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    return [found for key, value in inside for found in [(*at, key), *places(value, (*at, key))]]


@given(st.data())
@settings(max_examples=200, deadline=None, derandomize=True)
def test_any_value_anywhere_is_a_design_or_a_refusal(data):
    tree = copy.deepcopy(data.draw(st.sampled_from(DEMO)))
    for _ in range(data.draw(st.integers(1, 2))):
        *path, last = data.draw(st.sampled_from(places(tree)))
        node = tree
        for key in path:
            node = node[key]
        old = node[last]
        if isinstance(old, int | float) and not isinstance(old, bool) and data.draw(st.booleans()):
            node[last] = old * data.draw(st.floats(0.05, 8))
        else:
            node[last] = data.draw(odd)
    try:
        design = design_of(tree)
        takeoff = take_off(design)
    except BadInput as refusal:
        assert all(line.strip() for line in str(refusal).splitlines())
        return
    assert all(line.quantity > 0 for line in takeoff.lines)
    assert materials(takeoff, design.units)
    assert cautions(takeoff, design.units)
    assert drawing_svg(takeoff, design.units)


@given(st.text(max_size=200))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_any_text_is_a_refusal(text):
    try:
        read_design(text)
    except BadInput:
        return
    raise AssertionError(text)
