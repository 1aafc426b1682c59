"""How each order of a job stands, and the gates that follow: when may the work begin that uses it?

In: the lead times, what the office ticked (`order:JOB:ORDER`, `arrives:JOB:ORDER`, `here:JOB:ORDER`), the
day, a job, its begun phases. Out: an `OrderStanding` an order, and the job with a gate a phase that waits.
What nobody ordered counts as ordered today, what did not come on its day as coming on the next working day:
no word is the dangerous case.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.domain.dates import day_words
from planner.domain.firm.calendar import working_day_off
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import TRADES, Awaited, Gate, GateKind, Job, Unbooked
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import TICKED, OfficeMark
from planner.domain.quantities.orders import LeadTime, LeadTimes, job_materials, orders

#: The row of materials that trucks for spoil are: a hauler who is asked for brings them himself.
HAULED = "haul_load"


@dataclass(frozen=True, slots=True)
class OrderFile:
    """What the office knows of orders: lead times, ticks by key, the day, the firm whose days count."""

    leads: LeadTimes
    marks: Mapping[str, OfficeMark]
    today: date
    firm: Firm

    def lead_over(self, ordered: date, lead: LeadTime) -> date:
        """The first day on which what was ordered on that day can be used."""
        return working_day_off(self.firm, ordered, lead.lead_days)


@dataclass(frozen=True, slots=True)
class OrderStanding:
    """One order of a job. phases: those that use it; ordered: the day of its tick, None without one.

    arrives: the first day on which it can be used: the confirmed date, else its lead after the order (after
    today when nobody ordered); confirmed: the supplier named that date; here: it lies in the yard or on site.
    was: the day on which it was to come, of what nobody ticked off as here by then; it `arrives` on the next
    working day at the earliest. None of all else. hauler: of trucks that are the hauler's own, how he stands
    (he is booked, asked and ticked off by himself, and his appointment holds the dig); "" of all else.
    """

    job: str
    lead: LeadTime
    phases: frozenset[Phase]
    ordered: date | None
    arrives: date
    confirmed: bool = False
    here: bool = False
    was: date | None = None
    hauler: str = ""

    @property
    def bought(self) -> bool:
        """Whether it is ordered, confirmed or here: the firm owes for it."""
        return self.here or self.confirmed or self.ordered is not None

    @property
    def words(self) -> str:
        """How it stands, without its name: "not ordered (10 working days of lead)"."""
        if self.hauler:
            return self.hauler
        if self.here:
            return "here"
        late = "" if self.was is None else ", did not come: the next working day at the earliest"
        if self.confirmed:
            return f"confirmed for {day_words(self.was or self.arrives)}{late}"
        if self.ordered:
            return (
                f"ordered {day_words(self.ordered)}, by its lead here {day_words(self.was or self.arrives)}"
                f"{late}"
            )
        days = self.lead.lead_days
        return f"not ordered ({days} working {'day' if days == 1 else 'days'} of lead)"


def order_standings(file: OrderFile, job: Job) -> tuple[OrderStanding, ...]:
    """How every order that the job's quantities call for stands, in the order of the lead times."""
    found = orders(job_materials(job, None), file.leads, net=True)
    return tuple(order_standing(file, job, order.lead, order.phases) for order in found)


def order_standing(file: OrderFile, job: Job, lead: LeadTime, phases: frozenset[Phase]) -> OrderStanding:
    """How one order of a job stands by the office's ticks; trucks for spoil that a hauler brings, by him."""
    if HAULED in lead.materials and (hauled := _hauled(file, job, lead, phases)):
        return hauled
    ordered, arrives, here = (
        _ticked(file, f"{word}:{job.code}:{lead.key}") for word in ("order", "arrives", "here")
    )
    day = ordered.at.date() if ordered and ordered.at else None
    named = arrives.until if arrives else None
    due = named or file.lead_over(day or file.today, lead)
    overdue = here is None and due < file.today
    return OrderStanding(
        job.code,
        lead,
        phases,
        day,
        working_day_off(file.firm, file.today, 1) if overdue else due,
        confirmed=named is not None,
        here=here is not None,
        was=due if overdue else None,
    )


def _hauled(file: OrderFile, job: Job, lead: LeadTime, phases: frozenset[Phase]) -> OrderStanding | None:
    """The trucks as the hauler's own where the job asks for him or his day is set; else None."""
    gate = next((g for g in job.gates if g.kind is GateKind.HAULER and not isinstance(g, Unbooked)), None)
    if gate is None:
        if job.amount(TRADES[GateKind.HAULER].item) <= 0:
            return None
        comes = file.lead_over(file.today, file.leads.named(GateKind.HAULER.name.lower()) or lead)
        return OrderStanding(job.code, lead, phases, None, comes, hauler="with the hauler, not booked yet")
    told = f"with the hauler, who {coming_words(gate)}"
    return OrderStanding(job.code, lead, phases, None, gate.opens, confirmed=True, here=gate.met, hauler=told)


def coming_words(gate: Gate) -> str:
    """ "comes Tue Apr 13 in the morning"; of one who is ticked off "was here Tue Apr 13"."""
    day = day_words(gate.entered)
    return f"was here {day}" if gate.met else f"comes {day}{gate.day_part.words}"


def _ticked(file: OrderFile, key: str) -> OfficeMark | None:
    mark = file.marks.get(key)
    return mark if mark is not None and mark.state == TICKED else None


def with_order_gates(file: OrderFile, job: Job, begun: Collection[Phase] = ()) -> Job:
    """The job with a gate at each phase that is not begun and whose orders are not all here.

    A delivery that the office entered as a gate of the job is its word on that phase's orders; entered at the
    dig it is its word on all of them.
    """
    waits: dict[Phase, list[OrderStanding]] = defaultdict(list)
    for one in order_standings(file, job):
        for phase in waiting(job, one) - set(begun):
            if not one.here and not one.hauler:
                waits[phase].append(one)
    gates = tuple(_gate(phase, rows) for phase, rows in sorted(waits.items(), key=lambda w: w[0].rank))
    return replace(job, gates=(*job.gates, *gates)) if gates else job


def waiting(job: Job, one: OrderStanding) -> frozenset[Phase]:
    """The phases of the job that an order holds: those that use it, without a delivery that was entered."""
    told = {gate.phase for gate in job.gates if gate.kind is GateKind.MATERIAL}
    return frozenset() if Phase.DIG in told else one.phases - told


def _gate(phase: Phase, rows: Sequence[OrderStanding]) -> Awaited:
    return Awaited(GateKind.MATERIAL, max(row.arrives for row in rows), phase, note="; ".join(_told(rows)))


def _told(rows: Sequence[OrderStanding]) -> Iterator[str]:
    """Each order by its name, the one that comes last first; those that stand alike together."""
    alike: dict[str, list[str]] = {}
    for row in sorted(rows, key=lambda r: (r.arrives, r.ordered is None), reverse=True):
        alike.setdefault(row.words, []).append(row.lead.words)
    return (f"{', '.join(names)} {words}" for words, names in alike.items())
