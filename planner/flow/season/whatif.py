"""What-if side by side: read the facts once, plan every variant, save nothing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from planner.domain.season.facts import Facts, season_of
from planner.domain.standing.whatif import Measure, Variant, measure
from planner.errors import PlannerError
from planner.flow.stored.facts import load_facts


def what_if(
    location: str,
    now: datetime,
    make: Sequence[Callable[[Facts], Variant]],
    *,
    seconds: float,
    seed: int,
    say: Callable[[str], None],
) -> list[Measure]:
    """The season as it is and each variant, planned with the same effort and seed. Nothing is saved.

    In each of them the next days stay as told where they can, as they do when the office plans.
    """
    from planner.schedule.answers.freeze import freeze
    from planner.schedule.model.effort import Effort
    from planner.schedule.solve import solve

    facts = load_facts(location)
    usual = season_of(facts, now)
    if not usual.works:
        raise PlannerError("there is no work to plan: add a sold job with quantities (planner job add)")
    variants = [Variant("as it is", facts), *(one(facts) for one in make)]
    found = []
    for variant in variants:
        say(f"planning: {variant.words} ...")
        season = freeze(season_of(variant.facts, now))
        start = facts.published if season.frozen else None
        plan = solve(season, effort=Effort.for_seconds(seconds), seed=seed, start=start)
        found.append(measure(variant, season, plan, usual))
    return found
