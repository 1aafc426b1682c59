"""What a job costs the firm and what it asks: labor, materials, machines, haul, others, overhead, margin.

In: an estimate at the firm's percentile, the materials, the firm's money. Out: a `Price`; its payment steps
with days from the plan. Formulas: direct = the parts; cost = direct x (1 + overhead); price = cost / (1 -
margin); asked = price / (1 - allowance), so that the allowance is a share of what is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.domain.estimate.labour import JobEstimate
from planner.domain.firm.crews import Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import TRADES, Job
from planner.domain.firm.money import Money, price_of
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.quantities.material import Material
from planner.domain.quantities.trucks import Truck, freight
from planner.domain.season.plan import Booking
from planner.domain.wording import counted

#: Item of a job -> the other whose visit it is, as money.toml names him.
OTHERS = {trade.item: kind.name.lower() for kind, trade in TRADES.items()}


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the direct cost. cost_usd: what the firm pays; asked_usd: with its markup."""

    name: str
    words: str
    cost_usd: float
    asked_usd: float


@dataclass(frozen=True, slots=True)
class Price:
    """A job's price [USD]. unpriced: what has no price yet, in words; labour_h: [labour-hours]."""

    parts: tuple[Part, ...]
    overhead_usd: float
    margin_usd: float
    allowance_usd: float
    labour_h: float
    usd_h: float
    unpriced: tuple[str, ...]

    @property
    def direct_usd(self) -> float:
        """The parts with their markups [USD]."""
        return sum(part.asked_usd for part in self.parts)

    @property
    def asked_usd(self) -> float:
        """What the client is asked, in whole dollars [USD]."""
        return float(round(self.direct_usd + self.overhead_usd + self.margin_usd + self.allowance_usd))


@dataclass(frozen=True, slots=True)
class Beside:
    """What a job costs the firm besides labor, as planned, without markups [USD].

    ordered_usd: of the materials, what is ordered, confirmed or here; unpriced: what has no price yet.
    """

    materials_usd: float
    ordered_usd: float
    machines_usd: float
    haul_usd: float
    visits_usd: float
    unpriced: tuple[str, ...] = ()

    @property
    def usd(self) -> float:
        """All of it [USD]."""
        return self.materials_usd + self.machines_usd + self.haul_usd + self.visits_usd


@dataclass(frozen=True, slots=True)
class Step:
    """One payment. due: "deposit", a phase, "finish"; day: by the plan, else None; usd: whole cents."""

    due: str
    usd: float
    day: date | None


@dataclass(frozen=True, slots=True)
class Priced:
    """One job with its price. steps: payments with their days; first, last: planned days, None without."""

    job: Job
    firm: Firm
    price: Price
    money: Money
    steps: tuple[Step, ...]
    first: date | None
    last: date | None


def price(
    job: Job,
    found: JobEstimate,
    rows: Sequence[Material],
    firm: Firm,
    machines: Mapping[str, Machine],
    site_days: int,
    money: Money,
) -> Price:
    """The job's price at the firm's planning percentile. site_days: days of the crew on site."""
    hours = found.planned(firm.planning_percentile)
    people = max((p.people for p in found.phases.values()), default=0)
    labour_h = sum(hours[p] * e.people for p, e in found.phases.items())
    labour_h += firm.daily_setup_h * site_days * people
    usd_h = money.labor.burdened_usd_h
    unpriced: list[str] = []
    labor = Part("labor", f"{labour_h:.0f} labour-h at ${usd_h:.2f}", labour_h * usd_h, labour_h * usd_h)
    others = _besides_labor(job, found, rows, firm, machines, money, unpriced)
    parts = [part for part in (labor, *others) if part.cost_usd > 0]
    direct = sum(part.asked_usd for part in parts)
    cost = direct * (1.0 + money.overhead)
    asked = price_of(cost, money.margin)
    allowance = price_of(asked, money.allowance) - asked
    return Price(tuple(parts), cost - direct, asked - cost, allowance, labour_h, usd_h, tuple(unpriced))


def beside(
    job: Job,
    found: JobEstimate,
    rows: Sequence[Material],
    ordered: Sequence[Material],
    firm: Firm,
    machines: Mapping[str, Machine],
    money: Money,
) -> Beside:
    """What the job's price holds besides labor, at what the firm pays. ordered: rows on their way or here."""
    unpriced: list[str] = []
    parts = _besides_labor(job, found, rows, firm, machines, money, unpriced)
    materials, held, haul, visits = (part.cost_usd for part in parts)
    bought = _materials(ordered, firm, money, []).cost_usd
    return Beside(materials, bought, held, haul, visits, tuple(unpriced))


def _besides_labor(
    job: Job,
    found: JobEstimate,
    rows: Sequence[Material],
    firm: Firm,
    machines: Mapping[str, Machine],
    money: Money,
    unpriced: list[str],
) -> tuple[Part, Part, Part, Part]:
    """Materials, machines, haul, visits of others; what has no price is added to `unpriced`."""
    hours = found.planned(firm.planning_percentile)
    return (
        _materials(rows, firm, money, unpriced),
        _machines(found, hours, machines, money, unpriced),
        _haul(rows, money),
        _others(job, money, unpriced),
    )


def _materials(rows: Iterable[Material], firm: Firm, money: Money, unpriced: list[str]) -> Part:
    cost, count = 0.0, 0
    for row in rows:
        if row.key == "haul_load":
            continue
        own = row.cost_usd(firm.units)
        if own is None and row.key in money.prices_usd and row.order > 0:
            own = row.order * money.prices_usd[row.key]
        if own is None:
            unpriced.append(row.words)
            continue
        cost, count = cost + own, count + 1
    words = f"{counted(count, 'priced row')} with waste, {100 * money.materials_markup:g} % markup"
    return Part("materials", words, cost, cost * (1.0 + money.materials_markup))


def _machines(
    found: JobEstimate,
    hours: Mapping[Phase, float],
    machines: Mapping[str, Machine],
    money: Money,
    unpriced: list[str],
) -> Part:
    used: dict[str, float] = {}
    for phase, one in found.phases.items():
        for kind, units in one.machines.items():
            used[kind] = used.get(kind, 0.0) + hours[phase] * units
    unpriced += [f"hours of the {kind}" for kind in used if kind not in money.machine_usd_h]
    cost = sum(h * money.machine_usd_h.get(kind, 0.0) for kind, h in used.items())
    moves = sum(2.0 * machines[kind].move_cost_usd for kind in used if kind in machines)
    told = ", ".join(f"{kind} {h:.1f} h" for kind, h in used.items())
    return Part("machines", f"{told}, brought and fetched" if moves else told, cost + moves, cost + moves)


def _haul(rows: Iterable[Material], money: Money) -> Part:
    away = [row for row in rows if row.key == "haul_load"]
    told = sum(row.order for row in away if row.order_unit == "truckload")
    loads = told or float(freight([(row, row.order) for row in away], Truck()).loads)
    return Part(
        "haul", f"{loads:g} truckloads away", loads * money.haul_usd_load, loads * money.haul_usd_load
    )


def _others(job: Job, money: Money, unpriced: list[str]) -> Part:
    cost, told = 0.0, []
    for item, other in OTHERS.items():
        visits = job.amount(item)
        if visits > 0 and other not in money.visit_usd:
            unpriced.append(f"visit of the {other}")
        elif visits > 0:
            cost += visits * money.visit_usd[other]
            told.append(f"{other} {visits:g}")
    words = f"{', '.join(told)}, {100 * money.others_markup:g} % markup"
    return Part("visits of others", words, cost, cost * (1.0 + money.others_markup))


def payment_steps(asked_usd: float, money: Money, bookings: Iterable[Booking], job: Job) -> tuple[Step, ...]:
    """The payments with their days; the last takes what rounding left, so that they sum to what is asked.

    A step of a phase that the job does not have falls due with the next one that it has.
    """
    own = [b for b in bookings if b.job == job.code]
    ends = {phase: max(b.end for b in own if b.phase is phase).date() for phase in {b.phase for b in own}}
    phases = {line.phase for line in job.lines} | set(ends)
    owed: list[tuple[str, float]] = []
    for due, share in money.payments:
        owed.append((_due(due, phases), share))
    merged: dict[str, float] = {}
    for due, share in owed:
        merged[due] = merged.get(due, 0.0) + share
    steps = [Step(due, round(asked_usd * share, 2), _day(due, ends)) for due, share in merged.items()]
    last = steps[-1]
    rest = round(asked_usd - sum(step.usd for step in steps[:-1]), 2)
    return (*steps[:-1], Step(last.due, rest, last.day))


def _due(due: str, phases: set[Phase]) -> str:
    if due in ("deposit", "finish"):
        return due
    at = Phase(due)
    return next((p.value for p in ORDER if p.rank >= at.rank and p in phases), "finish")


def _day(due: str, ends: Mapping[Phase, date]) -> date | None:
    if due == "deposit" or not ends:
        return None
    return max(ends.values()) if due == "finish" else ends.get(Phase(due))
