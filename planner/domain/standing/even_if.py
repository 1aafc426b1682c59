"""What the office may plan without, by name: such a plan is marked, and screens still say what lacks.

In: facts with their gates, what is left aside. Out: the facts as if that were no hindrance.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from enum import StrEnum

from planner.domain.firm.jobs import RAN_OUT, GateKind, Job
from planner.domain.season.facts import Facts
from planner.domain.season.plan import EVEN_IF


class EvenIf(StrEnum):
    """What a plan may leave aside. told: the days that stay as told, and the warning of those told."""

    LOCATE = "locate"
    MATERIAL = "material"
    DEPOSIT = "deposit"
    PERMIT = "permit"
    RENTAL = "rental"
    TOLD = "told"


_KIND = {
    EvenIf.LOCATE: GateKind.LOCATE,
    EvenIf.MATERIAL: GateKind.MATERIAL,
    EvenIf.DEPOSIT: GateKind.DEPOSIT,
    EvenIf.PERMIT: GateKind.PERMIT,
}


def without(facts: Facts, even_if: Collection[EvenIf]) -> Facts:
    """The facts without the gates, the rentals' leads and the told days that are left aside."""
    kinds = {_KIND[one] for one in even_if if one in _KIND}
    found = replace(facts, jobs=tuple(_opened(job, kinds) for job in facts.jobs))
    if EvenIf.RENTAL in even_if:
        machines = tuple(replace(m, out=tuple(o for o in m.out if not o.not_booked)) for m in facts.machines)
        found = replace(found, machines=machines)
    if EvenIf.TOLD in even_if:
        weights = replace(facts.firm.weights, freeze_days=0, notice_days=0)
        found = replace(found, firm=replace(facts.firm, weights=weights))
    return found


def _opened(job: Job, kinds: Collection[GateKind]) -> Job:
    if not kinds:
        return job
    shut = tuple(d for d in job.blackouts if d.why != RAN_OUT or GateKind.LOCATE not in kinds)
    return replace(job, gates=tuple(g for g in job.gates if g.kind not in kinds), blackouts=shut)


def marked_note(note: str, even_if: Collection[EvenIf]) -> str:
    """The plan's note with what it leaves aside: "even if locate, material: after the rain"."""
    if not even_if:
        return note
    words = EVEN_IF + ", ".join(sorted(set(even_if)))
    return f"{words}: {note}" if note else words
