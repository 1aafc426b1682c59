"""What a phase of a job asks for: whether it has work at all, which machines, which skills."""

from __future__ import annotations

from planner.domain.firm.jobs import ITEMS, Access, Job
from planner.domain.firm.phases import Phase, PhaseRule


def has_work(job: Job, phase: Phase) -> bool:
    """True when a line of the phase takes labour: a quantity of nothing, or a hose flow alone, does not."""
    if phase is Phase.VISIT:
        return job.visit is not None
    return any(line.phase is phase and line.quantity > 0 and ITEMS[line.item].rated for line in job.lines)


def machines_for(job: Job, rule: PhaseRule) -> dict[str, int]:
    """Machine kind -> units that the phase holds on this job.

    The job's own need wins. Otherwise: none without machine access, none for a dig that is all by hand, none
    for rock without boulders.
    """
    need = job.needs.get(rule.phase)
    if need is not None and need.machines is not None:
        return {kind: n for kind, n in need.machines.items() if n > 0}
    if job.access is not Access.MACHINE:
        return {}
    if rule.phase is Phase.DIG and job.lines and not job.amount("dig_machine_cy"):
        return {}
    stones = (
        "boulder_small_ton",
        "boulder_medium_ton",
        "boulder_large_ton",
        "named_boulder_ton",
        "waterfall_ton",
    )
    if rule.phase is Phase.ROCK and job.lines and not any(job.amount(item) for item in stones):
        return {}
    return {kind: n for kind, n in rule.machines.items() if n > 0}


def skills_for(job: Job, rule: PhaseRule) -> frozenset[str]:
    """Skills that the lead crew needs; running the excavator is not asked where none is used."""
    need = job.needs.get(rule.phase)
    if need is not None and need.skills is not None:
        return need.skills
    return rule.skills if machines_for(job, rule) else rule.skills - {"excavator"}
