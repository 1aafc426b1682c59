"""Towing a machine on a trailer: tongue, tie-downs, license, and what to look at before it rolls.

In: weights [lb]. Out: figures and words. The plates of truck, receiver, ball, trailer and tires, the law of
the place and a trained driver win over every line here.
"""

from __future__ import annotations

from planner.domain.wording import shown

#: Tongue load as a share of the loaded trailer: makers' manuals for towing with a ball hitch.
TONGUE_SHARES = (0.10, 0.15)
#: Working load limits of all tie-downs together, as a share of what they hold: 49 CFR 393.106(d).
HELD_SHARE = 0.5
#: Machines of this weight have at least four tie-downs: 49 CFR 393.130 [lb].
HEAVY_LB = 10_000.0
#: Rated together at so much, the towed unit above `TOWED_LB`: group A of 49 CFR 383.91(a)(1) [lb].
COMBINED_LB, TOWED_LB = 26_001.0, 10_000.0


def tongue_lb(towed_lb: float) -> tuple[float, float]:
    """Least and most load of the tongue on the ball, of a loaded trailer of that weight [lb].

    >>> tongue_lb(6000.0)
    (600.0, 900.0)
    """
    return towed_lb * TONGUE_SHARES[0], towed_lb * TONGUE_SHARES[1]


def least_tiedowns(machine_lb: float) -> int:
    """Least number of tie-downs of a machine on a trailer: four when it is heavy, else front and rear."""
    return 4 if machine_lb >= HEAVY_LB else 2


def held_lb(machine_lb: float) -> float:
    """Working load limits that the tie-downs of a machine add up to at least [lb]."""
    return machine_lb * HELD_SHARE


def group_a(combined_lb: float, towed_lb: float) -> bool:
    """True when truck and trailer, by their ratings, ask for a commercial license of group A."""
    return combined_lb >= COMBINED_LB and towed_lb > TOWED_LB


#: What is looked at whatever is towed: common practice, no published source.
BEFORE = (
    "Towing, before you roll: coupler latched and pinned, chains crossed under the tongue, breakaway cable"
    " on, brakes and every light tried, tires and lug nuts looked at; all again after the first miles.",
    "Backing: one spotter whom the driver sees in the mirror; out of sight means stop. Nobody between the"
    " trailer and anything solid.",
    "Unloading: firm level ground, wheels chocked, truck braked, ramps pinned, nobody beside or below them;"
    " the operator belted, slow, straight.",
)
DEFER = (
    "The lowest plate of truck, receiver, ball, trailer and tires counts; the law of your state and the"
    " license of who drives win over this sheet."
)


def tow_words(name: str, truck: str, towed_lb: float, machine_lb: float, units: str) -> str:
    """The figures of one machine behind a truck. machine_lb: without its trailer, 0 when not known."""
    low, high = (shown(pounds, "lb", units) for pounds in tongue_lb(towed_lb))
    said = [f"{name} behind the {truck}: {shown(towed_lb, 'lb', units)} with its trailer"]
    said.append(f"tongue {low} to {high} (10 to 15 %, makers' manuals)")
    ties = "four tie-downs or more" if least_tiedowns(machine_lb) == 4 else "tied down front and rear"
    half = f"at least {shown(held_lb(machine_lb), 'lb', units)}" if machine_lb else "at least half its weight"
    said.append(f"{ties}, working load limits together {half} (49 CFR 393.106, 393.130), bucket lowered")
    if group_a(COMBINED_LB, towed_lb):
        most = shown(COMBINED_LB, "lb", units)
        said.append(f"rated together at {most} or more, the driver holds a class A license (49 CFR 383.91)")
    return "; ".join(said) + "."
