"""Money, papers, material, people from outside: until when is waited for them, and do they come in time?

In: the lead times, the day, a job, its begun and finished phases. Out: the job with each gate that is past
and not ticked off put at the day that asking anew gives, and with the wait after a visit. No tick is the
dangerous case, not the safe one. And: how each appointment stands against the bookings of its work.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from planner.domain.dates import day_words, moment_words
from planner.domain.firm.calendar import working_day_off
from planner.domain.firm.jobs import (
    PLANNED,
    TRADES,
    Gate,
    GateKind,
    Job,
    Overdue,
    Reckoned,
    Unbooked,
    Visiting,
    waits_first,
)
from planner.domain.firm.needs import has_work
from planner.domain.firm.phases import Phase
from planner.domain.firm.visits import NOON, DayPart
from planner.domain.season.plan import Booking
from planner.domain.standing.order_gates import OrderFile, coming_words
from planner.domain.wording import counted

#: A date that nobody ticks off, and what has a standing of its own.
NOT_ASKED = frozenset({GateKind.START, GateKind.LOCATE})


def with_trade_gates(
    file: OrderFile, job: Job, begun: Collection[Phase] = (), finished: Collection[Phase] = ()
) -> Job:
    """The job with every gate that is past and not ticked off put at its next possible day.

    An outside visit: its lead in working days after today, as if asked anew today; where no lead is known (a
    deposit, a permit, a delivery that is on its way) the next working day. One to come: its work after the
    wait that it needs. Work that is begun shows that it went on without, and waits for nothing; but a fill
    that has begun has not started its pump, and still waits for the electrician.
    """
    gates = tuple(_standing(file, gate) if _holds(job, gate, begun, finished) else gate for gate in job.gates)
    gates += tuple(gate for gate in _unbooked(file, job) if _holds(job, gate, begun, finished))
    return job if gates == job.gates else replace(job, gates=gates)


def with_overdue(job: Job, gated: Job) -> Job:
    """The job as entered, with those of its gates that `gated`, the same job, knows to be late or to wait."""
    anew = {(g.kind, g.phase): g for g in gated.gates if isinstance(g, Reckoned)}
    return replace(job, gates=tuple(anew.get((g.kind, g.phase), g) for g in job.gates))


def _standing(file: OrderFile, gate: Gate) -> Gate:
    if not gate.met and gate.kind not in NOT_ASKED and gate.opens < file.today:
        return _anew(file, gate)
    return _visiting(file, gate) if gate.kind in TRADES else gate


def _holds(job: Job, gate: Gate, begun: Collection[Phase], finished: Collection[Phase]) -> bool:
    """True while the first work that waits for the gate has not begun."""
    waits = [phase for phase in Phase if phase.rank >= gate.phase.rank and has_work(job, phase)]
    if not waits:
        return False
    first = min(waits, key=lambda phase: phase.rank)
    return first not in (begun if job.held_by(gate, first) else finished)


def _anew(file: OrderFile, gate: Gate) -> Overdue:
    lead = file.leads.named(gate.kind.name.lower())
    comes = working_day_off(file.firm, file.today, lead.lead_days if lead else 1)
    opens = comes + timedelta(days=wait_days(file, gate))
    asked = "as if asked anew today" if lead else "the next working day at the earliest"
    note = f"did not come {day_words(gate.opens)}: {asked}"
    return Overdue(gate.kind, opens, gate.phase, False, gate.note, gate.day_part, was=gate.opens, told=note)


def wait_days(file: OrderFile, gate: Gate) -> int:
    """Calendar days from the day of an appointment to the first day of the work that waits for it [days].

    By the lead times; at least one where he comes in the afternoon and the work is not done beside him. Of
    one who is ticked off only what hardens still counts.
    """
    trade = TRADES.get(gate.kind)
    if trade is None or (gate.met and not trade.cures):
        return 0
    lead = file.leads.named(gate.kind.name.lower())
    late = gate.day_part is DayPart.AFTERNOON and not trade.beside
    return max(lead.wait_days if lead else 0, int(late))


def _visiting(file: OrderFile, gate: Gate) -> Gate:
    days = wait_days(file, gate)
    if not days:
        return gate
    cures = TRADES[gate.kind].cures
    told = f"{coming_words(gate)}, {counted(days, 'day')} to harden" if cures else coming_words(gate)
    opens = gate.opens + timedelta(days=days)
    return Visiting(
        gate.kind, opens, gate.phase, gate.met, gate.note, gate.day_part, was=gate.opens, told=told
    )


def _unbooked(file: OrderFile, job: Job) -> Iterator[Unbooked]:
    """A gate for each visit that the job asks for and nobody has dated, as if it were asked for today.

    The electrician's is left to the office's list: no plan waits for one whom nobody has dated.
    """
    dated = {gate.kind for gate in job.gates}
    for kind, trade in TRADES.items():
        lead = file.leads.named(kind.name.lower())
        if kind in dated or kind is GateKind.ELECTRICIAN or lead is None or job.amount(trade.item) <= 0:
            continue
        gate = Gate(kind, working_day_off(file.firm, file.today, lead.lead_days), waits_first(kind))
        opens = gate.opens + timedelta(days=wait_days(file, gate))
        note = f"{kind.value} not booked ({counted(lead.lead_days, 'working day')} of lead)"
        yield Unbooked(kind, opens, gate.phase, note=note)


@dataclass(frozen=True, slots=True)
class Appointment:
    """Somebody from outside on his day. works: first day of the work that waits, None when it is not planned.

    misfit: why he and the plan do not go together, "" when they do.
    """

    job: str
    kind: GateKind
    day: date
    day_part: DayPart
    phase: Phase
    met: bool
    note: str = ""
    works: date | None = None
    misfit: str = ""

    @property
    def when(self) -> str:
        """The day, and the part of it that he named."""
        return f"{day_words(self.day)}{self.day_part.mark}"

    @property
    def words(self) -> str:
        """ "Tue Apr 13, morning: crane at P-014, rock Tue Apr 13"."""
        planned = f", {self.phase.words} {day_words(self.works)}" if self.works else ", not planned"
        here = " (was here)" if self.met else ""
        hurt = f": {self.misfit}" if self.misfit else ""
        return f"{self.when}: {self.kind.value} at {self.job}{here}{planned}{hurt}"


def appointments(jobs: Mapping[str, Job], bookings: Iterable[Booking]) -> tuple[Appointment, ...]:
    """Every appointment of planned jobs by day: who comes when, and how that stands against the bookings."""
    own: dict[str, list[Booking]] = {}
    for booking in bookings:
        own.setdefault(booking.job, []).append(booking)
    found = [
        _appointment(job, gate, own.get(job.code, []))
        for job in jobs.values()
        if job.status in PLANNED
        for gate in job.gates
        if gate.kind in TRADES and not isinstance(gate, Unbooked)
    ]
    return tuple(sorted(found, key=lambda a: (a.day, a.job, a.kind.value)))


def _appointment(job: Job, gate: Gate, own: Iterable[Booking]) -> Appointment:
    rows = list(own)
    held = [b for b in rows if job.held_by(gate, b.phase, b.key.part)]
    works = min((b.start for b in held), default=None)
    misfit = "" if gate.met else _misfit(gate, rows, held)
    return Appointment(
        job.code,
        gate.kind,
        gate.entered,
        gate.day_part,
        gate.phase,
        gate.met,
        gate.note,
        works.date() if works else None,
        misfit,
    )


def _misfit(gate: Gate, rows: list[Booking], held: list[Booking]) -> str:
    if isinstance(gate, Overdue):
        return gate.told
    trade, day = TRADES[gate.kind], gate.entered
    beside = [b for b in held if b.phase is gate.phase] or held
    if trade.beside and beside and not any(b.start.date() <= day <= b.end.date() for b in beside):
        first = min(b.start for b in beside).date()
        return f"no {beside[0].phase.words} is planned that day: have him come {day_words(first)}, or pin it"
    last = _done_before(gate, rows)
    if last is not None and not _ready(gate, last.end):
        return f"{last.phase.words} is planned until {moment_words(last.end)}: have him come after it"
    early = min((b.start for b in held), default=None)
    if early is not None and early.date() < gate.opens:
        return f"too late for {day_words(early.date())}: re-plan, or have him come sooner"
    return ""


def _done_before(gate: Gate, rows: list[Booking]) -> Booking | None:
    """The last booking that must be done when he comes; None when nothing must."""
    after = TRADES[gate.kind].after
    if after is None:
        return None
    most = min(after.rank, gate.phase.rank - 1)
    before = [b for b in rows if b.phase.rank <= most]
    return max(before, key=lambda b: b.end, default=None)


def _ready(gate: Gate, done: datetime) -> bool:
    """Whether work that ends then is done when he comes; on his day only for an afternoon after a morning."""
    late = gate.day_part is DayPart.AFTERNOON and done.time() <= NOON
    return done.date() < gate.entered or (done.date() == gate.entered and late)
