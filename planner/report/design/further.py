"""Further work in words and as plain values: how its figures came about, each with its arithmetic or source.

In: a take-off and the firm's units. Out: sentences for check, drawing and page; values for JSON.
"""

from __future__ import annotations

from typing import Any

from planner.domain.firm.items import ITEMS
from planner.domain.quantities.energy import BRANCH_DROP, WHOLE_DROP, Circuit, circuit
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.wording import in_figures


def further_notes(takeoff: Takeoff, units: str) -> list[str]:
    """How the figures of the further work came about."""
    return power_notes(takeoff, units)


def further_figures(takeoff: Takeoff, units: str) -> list[str]:
    """The amounts of the further work in one line; none when nothing is asked for."""
    told = [
        f"{ITEMS[line.item].words} {in_figures(line.quantity, line.unit, units)}"
        for line in takeoff.lines
        if ITEMS[line.item].further
    ]
    return [f"Besides: {'; '.join(told)}"] if told else []


def further_data(takeoff: Takeoff) -> dict[str, Any]:
    """The further work as plain values, US units as the keys say; None where nothing asks for it."""
    return {"power": _power_data(takeoff)}


def _circuit(t: Takeoff) -> Circuit | None:
    return circuit(t.pump, t.design.power) if t.pump and t.design.power else None


def power_notes(t: Takeoff, units: str) -> list[str]:
    """The chosen pump, its month, its cable and its breaker."""
    found, power, wires = t.pump, t.design.power, _circuit(t)
    if found is None:
        return []

    def s(value: float, unit: str) -> str:
        return in_figures(value, unit, units)

    several = f"{found.units} of them, one a line: " if found.units > 1 else ""
    at = f" at {found.pump.speed:.0%} of its speed" if found.pump.speed < 1.0 else ""
    point = f"{s(found.flow_gpm, 'gpm')} at {s(found.head_ft, 'ft')}"
    texts = [f"pump {found.pump.name}{at}: {several}its curve meets the line at {point}, {found.watts:.0f} W"]
    if power is None or wires is None:
        return texts
    cost = f", {wires.usd_month:,.2f} USD" if wires.usd_month is not None else ", no tariff is given"
    texts.append(f"runs {power.hours_day:g} h a day: {wires.kwh_month:.0f} kWh a month{cost}")
    if power.cable_ft:
        over = "" if wires.drop <= BRANCH_DROP else ": more than the branch should lose, take a thicker wire"
        breaker = f"{wires.breaker_a} A" if wires.breaker_a else "more than the table holds"
        texts.append(
            f"cable {s(power.cable_ft, 'ft')} one way, {wires.awg} AWG copper: {wires.amps:.2f} A lose "
            f"{wires.drop_v:.2f} V, {wires.drop:.1%}{over} (NEC notes: {BRANCH_DROP:.0%} on the branch, "
            f"{WHOLE_DROP:.0%} in all); least breaker at 125 % {breaker}, with GFCI: the licensed "
            "electrician decides"
        )
    return texts


def _power_data(t: Takeoff) -> dict[str, Any] | None:
    found, wires = t.pump, _circuit(t)
    if found is None:
        return None
    return {
        "pump": found.pump.name,
        "units": found.units,
        "flow_gpm": found.flow_gpm,
        "head_ft": found.head_ft,
        "watts": found.watts,
        "kwh_month": wires.kwh_month if wires else None,
        "usd_month": wires.usd_month if wires else None,
        "amps": wires.amps if wires else None,
        "wire_awg": wires.awg if wires else None,
        "drop_v": wires.drop_v if wires else None,
        "drop_share": wires.drop if wires else None,
        "breaker_a": wires.breaker_a if wires else None,
    }
