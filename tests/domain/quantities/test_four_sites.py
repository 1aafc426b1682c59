"""Four invented sites of `seed_demo/designs`, each beside a reckoning by hand and handbook form."""

from __future__ import annotations

from math import hypot, pi
from pathlib import Path

import pytest

from planner.domain.design.read import read_design
from planner.domain.quantities.faults import faults
from planner.domain.quantities.takeoff import Takeoff, take_off

DESIGNS = Path(__file__).parents[3] / "seed_demo" / "designs"
#: liters a gallon; grams an ounce; days a month
L, G, MONTH = 3.785411784, 28.349523125, 365.25 / 12


def site(name: str) -> Takeoff:
    found = take_off(read_design((DESIGNS / f"{name}.toml").read_text("utf-8")))
    assert faults(found) == ()
    return found


@pytest.mark.parametrize(
    ("name", "by_hand"),
    [
        (
            "hand_dug_with_box",
            {
                "topsoil_cy": 300 / 6 / 27,
                "mulch_cy": 60 / 4 / 27,
                "dechlorinator_oz": 392.2 * L * 1.0 * 1.9 / 1000 / G,
                "plants": 6,
                "electrician_visits": 0,
            },
        ),
        (
            "falls_and_stream",
            {
                "footing_cy": 6 * 4 / 2 / 27,
                "cable_trench_ft": 45,
                "leaf_net_ft2": pi / 4 * 21 * 16,
                "topsoil_cy": 400 / 6 / 27,
                "auto_fills": 1,
                "electrician_visits": 1,
                "winter_closings": 1,
            },
        ),
        (
            "fish_and_boulders",
            {
                "named_boulder_ton": (0.75 * 40 * 28 * 18 / 1728 * 165 + 580) / 2000,
                "bog_gravel_ton": 61 * 1.5 / 27 * 2700 / 2000,
                "dechlorinator_oz": 15_036 * L * 2.0 * 1.9 / 1000 / G,
                "topsoil_cy": 2500 / 6 / 27,
                "fish": 25,
                "water_tests": 2,
                "site_fence_ft": 160,
                "toilets": 1,
            },
        ),
        (
            "wet_clay_overflow",
            {
                "sumps": 1,
                "dewater_days": 4,
                "overflow_ft": 45,
                "drain_gal": 1968.4 / 4,
                "dosed_gal": 1968.4 * 1.25,
                "dechlorinator_oz": 1968.4 * 1.25 * L * 1.5 * 2.5 / 1000 / G,
            },
        ),
    ],
)
def test_amounts_are_those_of_a_pocket_calculator(name: str, by_hand: dict[str, float]) -> None:
    """Doses by the mg a mg of table 7-2 of the same guide whose table 7-5 the program reads."""
    found = site(name)
    for item, amount in by_hand.items():
        assert found.amount(item) == pytest.approx(amount, rel=0.01), item


def test_the_stream_s_pump_runs_where_a_handbook_s_friction_puts_it() -> None:
    """Hazen-Williams as textbooks print it, 10.44 L Q^1.85 / (C^1.85 d^4.87), C 150, on a 2 in line.

    The line follows the rim and then the stream's 12 ft up to the box that nobody placed.
    """
    found = site("falls_and_stream")
    run_ft = 43.6 + 3 * 5.7 + 17.2
    steps = (n / 1000 for n in range(80_000))

    def pump(q: float) -> float:
        return 14 - 4 * q / 40 if q <= 40 else 10 - 10 * (q - 40) / 40

    def line(q: float) -> float:
        return 26 / 12 + 10.44 * run_ft * q**1.85 / (150**1.85 * 2.067**4.8655)

    meets = next(q for q in steps if pump(q) <= line(q))
    assert found.pump is not None and found.pump.pump.name.startswith("middle")
    assert found.pump.flow_gpm == pytest.approx(meets, rel=0.03)
    assert found.water.pumping is not None and found.water.pumping.duty_gpm == pytest.approx(24 * 125 / 60)


def test_the_plate_and_the_radii_of_the_two_boulders() -> None:
    found = site("fish_and_boulders")
    turtle, seat = found.design.boulders
    assert turtle.radius_ft == pytest.approx(10.0) and seat.radius_ft == pytest.approx(hypot(12, 8))
    assert turtle.weight_lb <= 0.75 * 2300 - 60


def test_fish_and_bog_by_hand() -> None:
    found = site("fish_and_boulders")
    grams = 25 * 1.6 * (14 * 2.54) ** 3 / 100
    assert found.load is not None and found.bog is not None
    assert found.load.ammonia_g_day == pytest.approx(grams * 0.01 * 0.030, rel=0.02)
    assert found.load.media_ft2 == pytest.approx(grams * 0.01 * 0.030 / 0.5 * 10.7639, rel=0.02)
    duty = found.water.net_gal * 0.5 / 60
    assert found.bog.by_turnover_ft2 == pytest.approx(duty * 0.6 * 4 / 7.48052 / 0.4 / 1.5, rel=1e-3)


def test_the_storm_of_the_wet_site_by_hand() -> None:
    """C i A over lawn and pond; pipes by the closed form 0.463 / n D^(8/3) S^(1/2)."""
    found = site("wet_clay_overflow")
    cfs = (0.22 * 8000 + 18 * 12) * 6.5 / 43_560
    carries = {size: 0.463 / 0.010 * (size / 12) ** (8 / 3) * 0.1 for size in (3, 4, 6, 8)}
    assert found.overflow is not None
    assert found.overflow.flow_cfs == pytest.approx(cfs)
    assert found.overflow.pipe_in == next(size for size, q in carries.items() if q >= cfs)
