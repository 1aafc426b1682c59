"""Cautions of a design: where the work can hurt someone, with the figure that calls for the word.

In: a take-off. Out: `Caution` rows by phase. None of this is design or legal advice: local code, the permit
office, the one-call center, the maker's data sheet and a licensed trade always win.

Sources (secondary copies unless said): 29 CFR 1926.651 and .652, Table B-1 of Appendix B to Subpart P;
NIOSH 94-110 (1994, revised 2021); UK HSE L23, 3rd edition (2004), para 120; barrier depths from
town ordinances read in 2026.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.domain.design.design import STONE_CLASSES
from planner.domain.design.levels import levels_of
from planner.domain.firm.jobs import Access
from planner.domain.firm.phases import Phase
from planner.domain.quantities.placing import class_limit_in
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.safety.lifting import (
    people_to_lift,
    stone_in,
    stone_lb,
    team_limit_lb,
    weight_limit_lb,
)
from planner.domain.wording import shown
from planner.units import US

#: (value, US unit) -> the same in the words of the firm's units
Say = Callable[[float, str], str]

#: ladder or ramp, protective system, engineer [ft]: 1926.651(c)(2), .652(a)(1), .652(b)
EXIT_FT, PROTECT_FT, ENGINEER_FT = 4.0, 5.0, 20.0
#: greatest way to that exit [ft]: 1926.651(c)(2)
EXIT_WITHIN_FT = 25.0
#: spoil and machines back from the edge [ft]: 1926.651(j)(2)
SET_BACK_FT = 2.0
#: Table B-1: run per foot of depth for soil type C, and for soil that nobody has classified
TYPE_C_RUN = 1.5
#: depths at which towns begin to ask for a fence or permit [in], and surface [ft2]
BARRIER_IN, BARRIER_FT2 = (12.0, 18.0, 24.0, 30.0), 250.0


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: the phase it belongs to, what it says, and where the figure comes from."""

    phase: Phase
    text: str
    source: str


def cautions(takeoff: Takeoff, units: str = US) -> tuple[Caution, ...]:
    """All cautions of a take-off, in the order of work. units: of the words."""

    def say(value: float, unit: str) -> str:
        return shown(round(value, 1), unit, units)

    rows = [
        *_digging(takeoff, say),
        *_lifting(takeoff, say),
        *_water(takeoff, say, units),
        *_further(takeoff),
    ]
    return tuple(sorted(rows, key=lambda row: row.phase.rank))


def deepest_ft(takeoff: Takeoff) -> float:
    """Deepest cut below grade [ft]: the pond's floor or a box seat."""
    return levels_of(takeoff.design).deepest_in / 12.0


def _digging(t: Takeoff, say: Say) -> list[Caution]:
    depth = deepest_ft(t)
    cut = f"the cut is {say(depth, 'ft')} deep"
    rows = [
        Caution(
            Phase.DIG,
            "before any dig: utility locate asked for, answered and marked on the ground; private lines "
            "(irrigation, lighting, septic, gas to a grill) located as well; dig by hand near marks",
            "29 CFR 1926.651(b); state one-call law wins",
        ),
        Caution(
            Phase.DIG,
            f"keep spoil, stone and machines at least {say(SET_BACK_FT, 'ft')} back from the edge; a "
            "competent person looks at the cut every day and after rain; nobody in it while water gathers",
            "29 CFR 1926.651(h), (j)(2), (k)(1)",
        ),
    ]
    if depth >= EXIT_FT:
        text = f"{cut}: a ladder, steps or ramp within {say(EXIT_WITHIN_FT, 'ft')} of everyone in it"
        rows.append(Caution(Phase.DIG, text, "29 CFR 1926.651(c)(2)"))
    if depth >= PROTECT_FT:
        back = f"{TYPE_C_RUN:g} back for 1 down ({say(TYPE_C_RUN * depth, 'ft')} here)"
        text = (
            f"{cut}: slope, shore or shield it before anyone goes in; soil that nobody has classified is "
            f"type C, {back}; below {say(PROTECT_FT, 'ft')} of depth a competent person decides"
        )
        rows.append(Caution(Phase.DIG, text, "29 CFR 1926.652(a)(1), App. B Table B-1"))
    if depth >= ENGINEER_FT:
        text = f"{cut}: a registered engineer designs the protection"
        rows.append(Caution(Phase.DIG, text, "29 CFR 1926.652(b)"))
    return rows


def _lifting(t: Takeoff, say: Say) -> list[Caution]:
    reach, density = t.design.reach, t.design.stone.density_lb_ft3
    source = "NIOSH 94-110 (1994, revised 2021); team rule UK HSE L23, 3rd edition (2004), para 120"
    how = (
        f"{say(reach.reach_in, 'in')} reach, hands from {say(reach.height_in, 'in')}, "
        f"{say(reach.travel_in, 'in')} up, {reach.twist_deg:g} degrees twist"
    )
    one, two = (
        f"{say(round(limit), 'lb')} for {who} (a round stone of {say(round(stone_in(limit, density)), 'in')})"
        for limit, who in ((weight_limit_lb(reach), "one person"), (team_limit_lb(2, reach), "two"))
    )
    text = (
        f"lifting guide at {how}: {one}, {two}; larger stone by machine, dolly or bar. A goal, not a "
        "guarantee; less on wet liner and slopes"
    )
    rows = [Caution(Phase.ROCK, text, source)]
    rows += _heaviest(t, say)
    rows += _beyond_the_plate(t, say)
    if t.access is not Access.MACHINE and t.rock.class_ton.get("large", 0.0) > 0.0:
        text = "no machine reaches the hole, and the design asks for large boulders: choose smaller stone"
        rows.append(Caution(Phase.ROCK, text, source))
    crew = f"{t.sheet.people} people" if t.sheet.people else "a machine, a dolly or a long line of hands"
    weight = say(round(t.sheet.weight_lb), "lb")
    text = f"the liner weighs about {weight} rolled: {crew}; not in wind that lifts a sheet"
    return [*rows, Caution(Phase.LINER, text, source)]


def _heaviest(t: Takeoff, say: Say) -> list[Caution]:
    """The largest stone of each class in use against the guide, in one row."""
    texts = []
    for name, (_, size_in, _) in STONE_CLASSES.items():
        if t.rock.class_ton.get(name, 0.0) <= 0.0:
            continue
        weight_lb = stone_lb(size_in, t.design.stone.density_lb_ft3)
        people = people_to_lift(weight_lb, t.design.reach)
        who = {0: "machine or dolly", 1: "one person"}.get(people, f"{people} people")
        texts.append(f"{say(size_in, 'in')} across, about {say(round(weight_lb), 'lb')}: {who}")
    source = "weights: Corps of Engineers (WES), Streambank Stabilization Handbook, app. A, eq. A.1"
    return [Caution(Phase.ROCK, "largest of each class: " + "; ".join(texts), source)] if texts else []


def _beyond_the_plate(t: Takeoff, say: Say) -> list[Caution]:
    """Classes whose largest stone nothing here can set at the farthest wall."""
    rows = []
    for name, (_, size_in, _) in STONE_CLASSES.items():
        limit = class_limit_in(t.design, t.access, name)
        if limit is not None and t.rock.class_ton.get(name, 0.0) > 0.0 and t.design.placing:
            far = say(t.design.placing.wall_reach_ft, "ft")
            text = (
                f"boulders up to {say(size_in, 'in')} are drawn, and at {far} "
                f"nothing here sets one over {say(limit, 'in')}: order none larger, or stand nearer"
            )
            rows.append(Caution(Phase.ROCK, text, "ISO 10567:2007 and the machine's own plate"))
    return rows


def _water(t: Takeoff, say: Say, units: str) -> list[Caution]:
    depth_in = t.design.depth_in - t.design.water_line_in
    levels, area = levels_of(t.design), t.water.surface_ft2
    deep = levels.deep_words(levels.floor, units)
    begin = [say(trigger, "in") for trigger in BARRIER_IN if depth_in > trigger]
    if area > BARRIER_FT2:
        begin.append(say(BARRIER_FT2, "ft2"))
    passed = f"some towns begin at {', '.join(begin)}; " if begin else ""
    text = (
        f"water {deep} deep over {say(round(area), 'ft2')}: ask the permit office "
        f"about fence and permit; {passed}small children drown in less, watch them at any depth"
    )
    rows = [
        Caution(
            Phase.PLUMBING,
            "new receptacle, permanent wiring, bonding or hard-wired pump: licensed electrician and permit; "
            "try the GFCI before anyone enters water with the pump plugged in",
            "29 CFR 1926.404(b)(1); NEC articles 680 and 682, the authority decides which",
        ),
        Caution(Phase.FILL, text, "town ordinances from 12 to 30 in (NJ, OH, PA, MA, IN); local rules win"),
    ]
    source = "hose, well and start time of the design"
    return [*rows, *(Caution(Phase.FILL, text, source) for text in _filling(t, say))]


def _filling(t: Takeoff, say: Say) -> list[str]:
    filling, filled = t.design.filling, t.water.filled
    texts = []
    if filled.slow_after_h is not None:
        texts.append(
            f"the well cannot keep up: it yields {say(filling.well_gpm, 'gpm')}, the hose would take "
            f"{say(filling.hose_gpm, 'gpm')}; after {filled.slow_after_h:.1f} h it runs at the well's pace"
        )
    if filled.past_midnight:
        days = int(filled.end_h // 24.0)
        when = "the next day" if days == 1 else f"{days} days later"
        texts.append(
            f"filling runs past midnight: {filled.hours:.1f} h from {clock(filling.start_h)} to "
            f"{clock(filled.end_h)} {when}; start earlier, or have somebody watch it"
        )
    return texts


def _further(t: Takeoff) -> list[Caution]:
    """What the work besides the pond can do to people, neighbors and water."""
    design, rows = t.design, []
    if design.ground_water is not None and design.ground_water.days:
        text = (
            "water pumped out of the hole: where it may go and how clear it must be is the town's to say; "
            "nobody enters while it gathers, the pump's cord is on a GFCI"
        )
        rows.append(Caution(Phase.DIG, text, "29 CFR 1926.651(h); EPA 833-B-22-001 (2022)"))
    if design.storm is not None:
        text = (
            "the overflow is sized by a formula for a small area: outlet, neighbors' ground and storm "
            "rules are the town's and a licensed engineer's"
        )
        rows.append(Caution(Phase.PLUMBING, text, "rational method and Manning; local rules win"))
    if design.uv is not None:
        text = "ultraviolet burns eyes and skin: plug out before it is opened, never look into a lit lamp"
        rows.append(Caution(Phase.PLUMBING, text, "the lamp's own sheet"))
    if design.winter is not None:
        text = "ice on a pond bears nobody: fence shut all winter, a ring and a pole at hand"
        rows.append(Caution(Phase.FILL, text, "common practice, no published source"))
    return rows


def clock(hour: float) -> str:
    """An hour of the day as hours and minutes.

    >>> clock(25.5)
    '01:30'
    """
    minutes = round(hour * 60.0) % 1440
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
