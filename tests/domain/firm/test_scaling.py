"""A job at another size, against the quantities that the same shape gives when it is designed at that size.

The other way of computing: two take-offs of geometrically similar outlines (every length of the plan times
the root of the size), the depths the same.
"""

from __future__ import annotations

from math import sqrt

import pytest

from planner.domain.design.design import Design
from planner.domain.design.outline import ellipse
from planner.domain.design.shelves import Step
from planner.domain.firm.items import ITEMS
from planner.domain.firm.jobs import Job, Line
from planner.domain.firm.scaling import GROWS, how_scaled, power_of, scaled_like
from planner.domain.quantities.takeoff import take_off
from planner.errors import BadInput


def taken_off(size: float) -> Job:
    side = sqrt(size)
    design = Design("like", ellipse(30 * side, 24 * side), (Step(10, 12), Step(12)))
    return Job("P", "Lee", lines=take_off(design).lines)


@pytest.mark.parametrize("size", [0.7, 1.3, 1.6])
@pytest.mark.parametrize(
    ("item", "within"),
    [("fill_gal", 0.05), ("liner_ft2", 0.08), ("edge_ft", 0.01), ("underlayment_ft2", 0.08)],
)
def test_quantities_go_as_the_same_shape_designed_at_that_size(size: float, item: str, within: float) -> None:
    past, real = taken_off(1.0), taken_off(size)
    made = scaled_like(past, "N", "New", size)
    assert made.amount(item) == pytest.approx(real.amount(item), rel=within)


@pytest.mark.parametrize("size", [0.7, 1.6])
def test_the_dig_and_the_stone_go_nearly_so(size: float) -> None:
    """Shelves keep their width, so the ground under them does not grow quite like the surface."""
    past, real = taken_off(1.0), taken_off(size)
    made = scaled_like(past, "N", "New", size)
    for kind, within in (("dig", 0.10), ("boulder", 0.05)):
        amounts = [sum(j.amount(i) for i in ITEMS if i.startswith(kind)) for j in (made, real)]
        assert amounts[0] == pytest.approx(amounts[1], rel=within)


def test_what_a_pond_has_once_stays_and_counts_stay_whole() -> None:
    past = Job("P", "Lee", lines=(Line("filter_boxes", 2.0), Line("fish", 7.0), Line("waterfall_ton", 2.2)))
    made = scaled_like(past, "N", "New", 1.5)
    assert [made.amount(i) for i in ("filter_boxes", "fish", "waterfall_ton")] == [2, 10, 2.2]
    assert [s.how for s in how_scaled(past, made)] == ["stays", "stays", "as the surface"]
    assert scaled_like(past, "N", "New", 0.05).amount("fish") == 1


def test_every_item_knows_how_it_grows() -> None:
    assert {power_of(item) for item in ITEMS} == set(GROWS)


@pytest.mark.parametrize("size", [0.0, 0.01, 21.0, float("nan")])
def test_a_size_that_no_pond_has_is_refused(size: float) -> None:
    with pytest.raises(BadInput, match="surface"):
        scaled_like(Job("P", "Lee", lines=(Line("fill_gal", 5.0),)), "N", "New", size)


def test_a_past_job_without_quantities_is_refused() -> None:
    with pytest.raises(BadInput, match="no quantities"):
        scaled_like(Job("P", "Lee"), "N", "New", 1.0)
