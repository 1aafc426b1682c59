"""The cold: visits and net by the design, and dates that are none."""

from __future__ import annotations

import pytest

from planner.domain.design.read import read_design
from planner.domain.quantities.materials import materials
from planner.domain.quantities.takeoff import take_off
from planner.errors import BadInputs
from tests.domain.quantities.test_further import POND

WINTER = '[winter]\nlast_frost = "04-25"\nfirst_frost = "10-20"\n'


def test_a_winter_comes_to_its_visits_and_its_net() -> None:
    taken = take_off(read_design(POND + WINTER))
    assert (taken.amount("winter_closings"), taken.amount("spring_openings")) == (1, 1)
    assert taken.amount("leaf_net_ft2") == taken.water.surface_ft2
    ordered = {row.key: (row.order, row.order_unit) for row in materials(taken)}
    assert ordered["leaf_net"] == (140.0, "ft2")  # 110 ft2 x 1.25 = 137, up to 10
    assert ordered["air_stone"] == (1.0, "unit")


def test_a_client_who_takes_no_visit_gets_none() -> None:
    text = POND + WINTER + 'closing = "no"\nopening = "no"\n'
    assert not [line.item for line in take_off(read_design(text)).lines if line.item.endswith("ings")]


@pytest.mark.parametrize(
    ("last", "first", "told"),
    [
        ("04-31", "10-20", "last_frost = '04-31': write month and day"),
        ("10-20", "04-25", "spring's last frost comes before"),
        ("", "10-20", "last_frost = ''"),
    ],
)
def test_a_date_that_is_none_is_refused(last: str, first: str, told: str) -> None:
    with pytest.raises(BadInputs) as caught:
        read_design(POND + f'[winter]\nlast_frost = "{last}"\nfirst_frost = "{first}"\n')
    assert told in str(caught.value)
