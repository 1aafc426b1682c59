"""Pump and power: the chosen pump, its watts and its cable against open formulas and code figures."""

from __future__ import annotations

import pytest

from planner.domain.design.besides import Power, Pump, at_speed
from planner.domain.design.hydraulics import PumpLine
from planner.domain.design.read import read_design
from planner.domain.quantities.energy import BREAKERS_A, OHM_KFT, choose, circuit, drop_v
from planner.domain.quantities.faults import faults
from planner.domain.quantities.materials import materials
from planner.domain.quantities.takeoff import take_off
from planner.domain.quantities.waterwork import Pumping
from planner.errors import BadInputs
from tests.domain.quantities.test_further import POND

TABLE = """
[[pump]]
name = "strong"
curve_gpm_ft = [[0, 18], [60, 0]]
watts = 180
price_usd = 310
[[pump]]
name = "weak"
curve_gpm_ft = [[0, 8], [15, 0]]
watts = 60
[power]
cable_ft = 85
trench_ft = 40
tariff_usd_kwh = 0.16
"""
#: circular mils: NEC (NFPA 70) chapter 9, table 8, as copied at voltdropcalc.com (read 2026)
MILS = {14: 4110, 12: 6530, 10: 10380, 8: 16510, 6: 26240, 4: 41740}


@pytest.mark.parametrize("awg", sorted(MILS))
def test_resistance_goes_with_the_area_of_the_wire(awg: int) -> None:
    """12.9 ohm circular mils per foot of copper at 75 C, the constant of the trade's short formula."""
    assert OHM_KFT[awg] == pytest.approx(12.9 / MILS[awg] * 1000.0, rel=0.006)


def test_the_drop_is_that_of_the_short_formula() -> None:
    """2 K L I / CM: 16 A over 100 ft of 12 AWG, K = 12.9, lose 6.32 V of 120, over the 5 % of NEC notes."""
    by_mils = 2 * 12.9 * 100 * 16 / 6530
    assert drop_v(16, 100, 12) == pytest.approx(by_mils, rel=0.005)
    assert drop_v(16, 100, 12) > 0.05 * 120 > 0.03 * 120


@pytest.mark.parametrize(("load_a", "breaker_a"), [(12, 15), (16, 20), (24, 30)])
def test_a_continuous_load_takes_four_fifths_of_its_breaker(load_a: float, breaker_a: float) -> None:
    """NEC 210.20(A): 125 % of a continuous load; 240.6(A): standard ratings (both from memory)."""
    line = PumpLine(2.0, 60.0, {}, 6.0)
    pumping = Pumping(10, 0, 10, 1, line, 1.0, 6.0, 0.0, 4, None)
    found = choose(pumping, (Pump("a", ((0.0, 30.0), (100.0, 0.0)), load_a * 120.0),))
    assert found is not None
    assert circuit(found, Power(cable_ft=10, power_factor=1.0)).breaker_a == breaker_a
    assert breaker_a in BREAKERS_A


@pytest.mark.parametrize("speed", [0.5, 0.8, 1.0])
def test_speed_changes_a_pump_by_the_affinity_laws(speed: float) -> None:
    """Hydraulic Institute's laws (from memory): flow with n, head with its square, power with its cube."""
    curve, watts = at_speed(((0.0, 20.0), (50.0, 12.0), (80.0, 0.0)), 400.0, speed)
    assert [q for q, _ in curve] == pytest.approx([0, 50 * speed, 80 * speed])
    assert [h for _, h in curve] == pytest.approx([20 * speed * speed, 12 * speed * speed, 0])
    # water power flow x head must scale as the watts do: the efficiency stays what it was
    assert curve[1][0] * curve[1][1] / watts == pytest.approx(50 * 12 / 400)


def test_the_pump_runs_where_both_curves_give_the_same_head() -> None:
    """Found again by walking along the pump's straight curve in steps of a thousandth of a gallon."""
    taken = take_off(read_design(POND + TABLE))
    found, pumping = taken.pump, taken.water.pumping
    assert found is not None and pumping is not None and found.pump.name == "strong"
    steps = (n / 1000.0 for n in range(60_000))
    walked = next(q for q in steps if 18.0 * (1 - q / 60.0) <= pumping.line.head_ft(q))
    assert found.flow_gpm == pytest.approx(walked, abs=0.002)
    assert found.head_ft == pytest.approx(18.0 * (1 - walked / 60.0), abs=0.002)


def test_a_month_of_a_pump_is_watts_times_hours() -> None:
    taken = take_off(read_design(POND + TABLE))
    assert taken.pump is not None and taken.design.power is not None
    wires = circuit(taken.pump, taken.design.power)
    assert wires.kwh_month == pytest.approx(0.180 * 24 * 365.25 / 12)
    assert wires.usd_month == pytest.approx(21.04, abs=0.01)
    assert wires.amps == pytest.approx(180 / 120 / 0.9)
    assert wires.awg == 12 and wires.drop < 0.03
    pump = next(row for row in materials(taken) if row.key == "pump")
    assert pump.words.startswith("pump strong, 17.7 gpm") and pump.price_usd == 310
    assert (taken.amount("cable_trench_ft"), taken.amount("electrician_visits")) == (40, 1)


def test_the_fewest_watts_win_and_a_long_cable_gets_a_thick_wire() -> None:
    more = TABLE.replace('name = "weak"\ncurve_gpm_ft = [[0, 8], [15, 0]]\nwatts = 60', "")
    thrifty = '[[pump]]\nname = "thrifty"\ncurve_gpm_ft = [[0, 12], [40, 0]]\nwatts = 90\n'
    taken = take_off(read_design(POND + thrifty + TABLE))
    assert taken.pump is not None and taken.pump.pump.name == "thrifty"
    far = take_off(read_design(POND + TABLE.replace("cable_ft = 85", "cable_ft = 1200")))
    assert far.pump is not None and far.design.power is not None
    wires = circuit(far.pump, far.design.power)
    assert wires.awg < 12 and drop_v(wires.amps, 1200, 12) > 3.6 >= wires.drop_v
    assert more != TABLE


def test_a_curve_that_rises_is_refused_with_its_points() -> None:
    with pytest.raises(BadInputs, match=r"\[\[pump\]\] 1: curve = 'strong: 18 at 0, 19 at 60'.*less head"):
        read_design(POND + TABLE.replace("[60, 0]", "[60, 19]"))


def test_a_duty_that_no_pump_meets_is_told_and_not_guessed() -> None:
    weak = TABLE.replace("[[0, 18], [60, 0]]", "[[0, 3], [9, 0]]")
    taken = take_off(read_design(POND + weak))
    assert taken.pump is None
    (fault,) = faults(taken)
    assert "17.7 gpm at 2.3 ft" in str(fault) and "weak gives most" in str(fault)


@pytest.mark.parametrize(
    "curve", ["[[-5, 3], [10, 1]]", "[[0, 3], [10, -1]]", "[[0, 3]]", "[]", "[[5, 3], [5, 1]]"]
)
def test_a_curve_that_is_none_is_refused(curve: str) -> None:
    with pytest.raises(BadInputs, match="curve"):
        read_design(POND + TABLE.replace("[[0, 18], [60, 0]]", curve))


@pytest.mark.parametrize(("table", "key"), [("pump_line", "pump_curve_gpm_ft"), ("placing", "table_ft_lb")])
def test_a_table_below_nothing_is_refused(table: str, key: str) -> None:
    """A flow below 0 once ended in a traceback: no power of 1.85 of it is a number."""
    with pytest.raises(BadInputs, match=key):
        read_design(POND + f"[{table}]\n{key} = [[-5, 30], [10, 1]]\n")
