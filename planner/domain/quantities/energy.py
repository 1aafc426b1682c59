"""Pump and power: which pump of the user's table does the duty, what it draws, what the cable loses.

In: the pump line at its duty, the table of pumps, the power at the site. Out: `Choice` and `Circuit`: facts
for the contractor's price and for the licensed electrician, who decides wire, breaker and protection.

Sources: conductor resistance, NEC (NFPA 70) chapter 9, table 8, direct current at 75 C, uncoated stranded
copper, 14 to 8 AWG from memory (12.9 ohm circular mils per ft gives the same), 6 and 4 AWG as copied at
voltdropcalc.com/nec-chapter-9-table-8 (read 2026); two-wire drop 2 L I R. Informational limits of 3 % and
5 %: NEC 210.19(A) and 215.2(A), notes; 125 % of a continuous load: 210.20(A); standard breakers: 240.6(A)
(all three from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.domain.design.besides import Power, Pump
from planner.domain.design.hydraulics import meeting_point
from planner.domain.quantities.waterwork import Pumping

#: AWG -> resistance of one conductor [ohm per 1,000 ft]
OHM_KFT: dict[int, float] = {14: 3.14, 12: 1.98, 10: 1.24, 8: 0.778, 6: 0.491, 4: 0.308}
#: Drop on the branch, and on feeder and branch together [share]; continuous load; standard breakers [A].
BRANCH_DROP, WHOLE_DROP, CONTINUOUS = 0.03, 0.05, 1.25
BREAKERS_A = (15, 20, 25, 30, 35, 40, 45, 50, 60)
DAYS_A_MONTH = 365.25 / 12.0
#: A pump that gives this share of the duty is taken to do it, like the drawing of its curve.
ENOUGH = 0.98


@dataclass(frozen=True, slots=True)
class Choice:
    """The pump that does the duty with the fewest watts. flow_gpm, head_ft: where its curve meets one line.

    units: pumps, one a line; watts: of all of them.
    """

    pump: Pump
    flow_gpm: float
    head_ft: float
    units: int
    watts: float

    @property
    def price_usd(self) -> float | None:
        """Of one pump; None when the table has none."""
        return self.pump.price_usd or None


@dataclass(frozen=True, slots=True)
class Circuit:
    """What the pump asks of its wires. drop_v, drop: on the way there and back; breaker_a: the least.

    kwh_month, usd_month: usd_month is None without a tariff.
    """

    amps: float
    awg: int
    drop_v: float
    drop: float
    breaker_a: int
    kwh_month: float
    usd_month: float | None


def meetings(pumping: Pumping, pumps: Sequence[Pump]) -> list[tuple[Pump, tuple[float, float] | None]]:
    """Each pump of the table with the point (gpm, ft) where its curve meets one line; None when never."""
    return [(pump, meeting_point(pumping.line, pump.curve)) for pump in pumps]


def choose(pumping: Pumping | None, pumps: Sequence[Pump]) -> Choice | None:
    """The pump of the table that reaches the duty with the fewest watts, then dollars; None: none."""
    if pumping is None:
        return None
    each = pumping.duty_gpm / pumping.lines
    able = [
        (pump.watts, pump.price_usd, pump.name, pump, point)
        for pump, point in meetings(pumping, pumps)
        if point is not None and point[0] >= ENOUGH * each
    ]
    if not able:
        return None
    *_, pump, (flow, head) = min(able, key=lambda row: row[:3])
    return Choice(pump, flow, head, pumping.lines, pump.watts * pumping.lines)


def drop_v(amps: float, one_way_ft: float, awg: int) -> float:
    """Volts lost on a two-wire cable: 2 x length x current x resistance.

    >>> round(drop_v(16.0, 100.0, 12), 2)
    6.34
    """
    return 2.0 * one_way_ft * amps * OHM_KFT[awg] / 1000.0


def circuit(choice: Choice, power: Power) -> Circuit:
    """Current, wire, drop, breaker and dollars of the chosen pump.

    Without a wire size the smallest from 12 AWG on that stays within 3 %; the thickest of the table when none
    does.
    """
    amps = choice.watts / (power.volts * power.power_factor)
    sizes = [awg for awg in OHM_KFT if awg <= 12]
    within = (awg for awg in sizes if drop_v(amps, power.cable_ft, awg) <= BRANCH_DROP * power.volts)
    awg = power.wire_awg or next(within, sizes[-1])
    lost = drop_v(amps, power.cable_ft, awg)
    kwh = choice.watts / 1000.0 * power.hours_day * DAYS_A_MONTH
    return Circuit(
        amps=amps,
        awg=awg,
        drop_v=lost,
        drop=lost / power.volts,
        breaker_a=next((a for a in BREAKERS_A if a >= CONTINUOUS * amps), 0),
        kwh_month=kwh,
        usd_month=kwh * power.tariff_usd_kwh if power.tariff_usd_kwh else None,
    )
