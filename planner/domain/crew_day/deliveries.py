"""What is delivered when, for all jobs: from whom, how much, in how many loads, where to, who is there.

In: the roster, the plan, the office's word on orders, what is on hand. Out: `Delivery`s by day. What is on
hand goes to the first job that needs it; orders of one kind for the yard whose days are close come as one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.unloading import in_the_estimate, unload_labour_h
from planner.domain.firm.calendar import working_day_off
from planner.domain.firm.jobs import PLANNED, Awaited, GateKind
from planner.domain.firm.phases import Phase
from planner.domain.quantities.material import Material
from planner.domain.quantities.orders import LeadTime, Order, amount_words, order_words, orders
from planner.domain.quantities.trucks import Freight, bulk_of, freight
from planner.domain.season.plan import Plan
from planner.domain.standing.order_gates import OrderFile, order_standing
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import stints
from planner.domain.wording import counted

#: Orders for the yard so few working days apart come as one delivery.
CLOSE_DAYS = 3
#: What each driver and crew is told where trucks back up and unload; local rules and the driver's own win.
CAUTION = (
    "Trucks: one person on foot guides each one that backs up and stays in the driver's sight; nobody beside "
    "or behind a raised box; tip on firm level ground, away from the hole's edge, drains, septic tank and "
    "marked lines; look up for wires first and keep at least 10 ft off (more for high voltage: ask the "
    "utility); nobody under a lifted stone. Weight limits of roads and trucks are the state's; the driver's "
    "word wins."
)


@dataclass(frozen=True, slots=True)
class Drop:
    """One job's part of a delivery.

    rows: with the amount to come, what was on hand taken off; from_hand: rows with what the yard gives; used:
    the day that needs it; standing: how its order stands, in words. unload_labour_h: to take it off the
    truck, as the estimate reckons it [labour-h]; unload_planned: whether the job's planned hours hold that.
    """

    job: str
    rows: tuple[tuple[Material, float], ...]
    from_hand: tuple[tuple[Material, float], ...]
    used: date
    standing: str
    net: bool = False
    unload_labour_h: float = 0.0
    unload_planned: bool = False


@dataclass(frozen=True, slots=True)
class Delivery:
    """One delivery. to: "site" or "yard"; receives: who is there, "" for nobody of the crews; alone_loads:
    loads that its jobs would take one by one; late: it comes after the day that needs it.
    """

    day: date
    lead: LeadTime
    drops: tuple[Drop, ...]
    freight: Freight
    receives: str
    alone_loads: int
    fixed: bool = False

    @property
    def to(self) -> str:
        """Where it goes."""
        return self.lead.to

    @property
    def late(self) -> bool:
        """Whether it comes after the day that needs it."""
        return any(drop.used < self.day for drop in self.drops)

    @property
    def unload_labour_h(self) -> float:
        """To take all of it off the truck [labour-h]."""
        return sum(drop.unload_labour_h for drop in self.drops)

    @property
    def unload_planned(self) -> tuple[str, ...]:
        """The jobs whose planned hours hold the unloading of their part."""
        return tuple(drop.job for drop in self.drops if drop.unload_planned)

    def words(self, units: str) -> str:
        """What comes, job by job: "P-014 liner, pond 520 ft2 as 1 of 20 ft x 26 ft"."""
        return "; ".join(f"{drop.job} {drop_words(drop, units)}" for drop in self.drops)


@dataclass(frozen=True, slots=True)
class Listed:
    """The deliveries of some days; yard: (job, row, amount) that the yard gives; addresses: by job."""

    found: tuple[Delivery, ...]
    yard: tuple[tuple[str, Material, float], ...]
    addresses: dict[str, str]
    units: str


def drop_words(drop: Drop, units: str) -> str:
    """What comes for one job, in the merchant's units, and what the yard has of it."""
    come = [f"{row.words} {_amount(row, amount, units)}" for row, amount in drop.rows]
    have = [
        f"{row.words} {amount_words(replace(row, order=n), units)} from the yard" for row, n in drop.from_hand
    ]
    return ", ".join([*come, *have]) + (" (net, no design is kept)" if drop.net else "")


def _amount(row: Material, amount: float, units: str) -> str:
    whole = abs(amount - row.order) < 1e-9
    return order_words(row, units) if whole else amount_words(replace(row, order=amount), units)


def deliveries(
    roster: Roster,
    plan: Plan,
    file: OrderFile,
    books: Mapping[str, RateBook],
    on_hand: Mapping[str, float] | None = None,
    only: Collection[str] | None = None,
) -> tuple[Delivery, ...]:
    """Every delivery that is not here yet, by day. on_hand: row of materials -> amount in its order unit.

    books: job -> the rate book that told it. only: these jobs alone, where what is on hand is not asked.
    """
    left = dict(on_hand or {})
    found = []
    for used, code, order in sorted(
        _needed(roster, plan, file, only), key=lambda n: (n[0], n[1], n[2].lead.key)
    ):
        standing = order_standing(file, roster.jobs[code], order.lead, order.phases)
        if standing.here:
            continue
        wanted = working_day_off(file.firm, used, -order.lead.spare_days)
        told = standing.confirmed or standing.ordered is not None
        day = standing.arrives if told else max(wanted, standing.arrives)
        rows, have = _share(order.rows, left)
        if rows:
            weight = freight(rows, file.leads.truck)
            unload_h = unload_labour_h(weight, books[code], _machines(plan, code))
            planned = in_the_estimate(roster.jobs[code], weight)
            drop = Drop(code, rows, have, used, standing.words, order.net, unload_h, planned)
            found.append(Delivery(day, order.lead, (drop,), weight, "", weight.loads, told))
    merged = [_received(roster, plan, one) for one in _merged(found, file)]
    return tuple(sorted(merged, key=lambda d: (d.day, d.lead.supplier, d.lead.key, d.drops[0].job)))


def _machines(plan: Plan, code: str) -> set[str]:
    """What the rock phase of a job has at hand to lift with."""
    return {use.kind for b in plan.bookings if b.job == code and b.phase is Phase.ROCK for use in b.machines}


def from_the_yard(
    roster: Roster, plan: Plan, file: OrderFile, on_hand: Mapping[str, float]
) -> tuple[tuple[str, Material, float], ...]:
    """(job, row, amount) that what is on hand covers, in the order in which jobs need it."""
    left = dict(on_hand)
    found = []
    for _, code, order in sorted(_needed(roster, plan, file), key=lambda n: (n[0], n[1], n[2].lead.key)):
        if not order_standing(file, roster.jobs[code], order.lead, order.phases).here:
            found += [(code, row, amount) for row, amount in _share(order.rows, left)[1]]
    return tuple(found)


def arriving(found: Iterable[Delivery], day: date, codes: Iterable[str], units: str) -> tuple[str, ...]:
    """What comes to the sites of these jobs on the day, in words, each job's part."""
    jobs = set(codes)
    return tuple(
        f"{drop.job}: {_named(d, drop_words(drop, units))}, {load_count(d)}; drop it "
        f"{site_rules(d)} ({drop.standing})"
        for d in found
        if d.day == day and d.to == "site"
        for drop in d.drops
        if drop.job in jobs
    )


def load_count(one: Delivery) -> str:
    """ "2 truckloads", "1 load"."""
    if not one.freight.loads:
        return "loads not known"
    return counted(one.freight.loads, "truckload" if one.freight.ton else "load")


def _named(one: Delivery, amounts: str) -> str:
    """The order's name before its amounts, once: "gravel: 3 ton", "trucks for spoil: spoil 8 cy"."""
    return f"{one.lead.words}{_from(one)}: {amounts.removeprefix(f'{one.lead.words} ')}"


def _from(one: Delivery) -> str:
    return f" from {one.lead.supplier}" if one.lead.supplier else ""


def _needed(
    roster: Roster, plan: Plan, file: OrderFile, only: Collection[str] | None = None
) -> list[tuple[date, str, Order]]:
    """(day that needs it, job, order) of each order whose phases are still to begin."""
    starts: dict[str, dict[Phase, datetime]] = {}
    for b in plan.bookings:
        job = roster.jobs.get(b.job)
        if only is not None and b.job not in only:
            continue
        if job is None or job.status not in PLANNED or (b.job, b.phase) in roster.begun:
            continue
        told = any(
            g.kind is GateKind.MATERIAL and g.phase is b.phase and g.met and not isinstance(g, Awaited)
            for g in job.gates
        )
        if not told and b.end.date() >= file.today:
            phases = starts.setdefault(b.job, {})
            phases[b.phase] = min(b.start, phases.get(b.phase, b.start))
    found = []
    for code, phases in starts.items():
        rows = [row for row in roster.materials(code) if row.phase in phases]
        for order in orders(rows, file.leads, net=code not in roster.designs):
            found.append((min(phases[p] for p in order.phases).date(), code, order))
    return found


def _share(
    rows: Sequence[Material], left: dict[str, float]
) -> tuple[tuple[tuple[Material, float], ...], tuple[tuple[Material, float], ...]]:
    """(rows with what must still come, rows with what the yard gives); `left` is taken from."""
    come, have = [], []
    for row in rows:
        given = min(left.get(row.key, 0.0), row.order)
        if given > 0:
            left[row.key] -= given
            have.append((row, given))
        if row.order <= 0 or row.order - given > 1e-9:
            come.append((row, row.order - given))
    return tuple(come), tuple(have)


def _merged(found: Sequence[Delivery], file: OrderFile) -> list[Delivery]:
    """Deliveries of one order kind to the yard put together where their days are close.

    One whose day the supplier has said is not moved; others come with it when it is early enough for them.
    """
    done: list[Delivery] = []
    for one in sorted(found, key=lambda d: (d.day, not d.fixed)):
        host = next((d for d in reversed(done) if _may_join(d, one, file)), None)
        if host is None:
            done.append(one)
            continue
        drops = (*host.drops, *one.drops)
        weight = freight((pair for drop in drops for pair in drop.rows), file.leads.truck)
        done[done.index(host)] = replace(
            host, drops=drops, freight=weight, alone_loads=host.alone_loads + one.alone_loads
        )
    return done


def _may_join(host: Delivery, one: Delivery, file: OrderFile) -> bool:
    close = one.day <= working_day_off(file.firm, host.day, CLOSE_DAYS)
    return close and host.to == "yard" and host.lead.key == one.lead.key and not one.fixed


def _received(roster: Roster, plan: Plan, one: Delivery) -> Delivery:
    """The delivery with who is there: the crew on that site that day; in the yard the office sees to it."""
    if one.to == "yard":
        return replace(one, receives="the yard")
    code = one.drops[0].job
    crews = [c for c in roster.crews if any(s.key.job == code for s in stints(roster, plan, c, one.day))]
    return replace(one, receives=" and ".join(crews))


def site_rules(one: Delivery) -> str:
    """Where to drop it: by what it is; the site's own note wins."""
    if one.to == "yard":
        return "in the yard"
    if one.lead.drop:
        return one.lead.drop
    kinds = {bulk_of(row) for drop in one.drops for row, _ in drop.rows}
    if "stone" in kinds:
        return "within the machine's reach of the hole, off the edge by its depth"
    return "at the end of the way in, clear of the drive" if kinds - {""} else "by the gate, under cover"
