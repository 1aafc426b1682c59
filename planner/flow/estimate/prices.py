"""A job's price and its proposal from the store."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from planner.domain.design.design import Design
from planner.domain.estimate.labour import on_site
from planner.domain.firm.jobs import Job
from planner.domain.quantities.material import Material
from planner.domain.quantities.orders import job_materials, orders
from planner.domain.quantities.takeoff import take_off
from planner.domain.season.plan import Booking
from planner.domain.season.pricing import Beside, Priced, beside, payment_steps, price
from planner.domain.standing.order_gates import order_standing
from planner.errors import BadInput, PlannerError
from planner.flow.estimate.estimates import estimate_jobs
from planner.flow.stored.gates import order_file
from planner.flow.stored.kept_designs import read_kept
from planner.flow.stored.shop import read_shop
from planner.store.engine import Store
from planner.store.shipped.money import money
from planner.store.shipped.own_file import folder_of


def price_job(location: str, code: str, today: date) -> Priced:
    """The job's price by its own edition, the firm's percentile and money. BadInput for an unknown job."""
    (one,) = estimate_jobs(location, [code], today=today)
    if not one.found.phases:
        raise PlannerError(
            f"{code} has no quantities yet: add them with planner job change or planner design"
        )
    with Store(location).reading() as book:
        shop, job, kept = read_shop(book, location), book.job(code), book.design(code)
        plan = book.published() or (book.plan() if book.plans() else None)
    rows = _rows(job, kept, shop.firm.units)
    own = money(folder_of(location))
    days = one.days.get(shop.firm.planning_percentile)
    found = price(
        job, one.found, rows, on_site(shop.firm, job), shop.machines, days.count if days else 1, own
    )
    bookings: list[Booking] = [b for b in (plan.bookings if plan else ()) if b.job == code]
    return Priced(
        job,
        shop.firm,
        found,
        own,
        payment_steps(found.asked_usd, own, bookings, job),
        min((b.start.date() for b in bookings), default=None),
        max((b.end.date() for b in bookings), default=None),
    )


def besides_labor(location: str, codes: Sequence[str], today: date) -> dict[str, Beside]:
    """Job -> what its price holds besides labor, as planned, and what of its material is ordered or here."""
    if not codes:
        return {}
    told = estimate_jobs(location, codes, today=today)
    own = money(folder_of(location))
    with Store(location).reading() as book:
        shop, file, found = read_shop(book, location), order_file(book, location, today), {}
        for one in told:
            job = book.job(one.job.code)
            rows = _rows(job, book.design(job.code), shop.firm.units)
            bought = {
                row.key
                for order in orders(rows, file.leads, net=False)
                if order_standing(file, job, order.lead, order.phases).bought
                for row in order.rows
            }
            ordered = [row for row in rows if row.key in bought]
            found[job.code] = beside(job, one.found, rows, ordered, shop.firm, shop.machines, own)
    return found


def _rows(job: Job, kept: str | None, units: str) -> tuple[Material, ...]:
    """What the job orders: by its kept design where that can be read."""
    design = read_kept(kept) if kept else None
    off = take_off(design, job.soil, job.access) if isinstance(design, Design) else None
    return job_materials(job, off, units)


def proposal(location: str, code: str, today: date, *, even_so: bool = False) -> Priced:
    """The same, for the client: refused while something has no price, unless `even_so`."""
    found = price_job(location, code, today)
    if found.price.unpriced and not even_so:
        missing = ", ".join(found.price.unpriced[:4]) + (" and more" if len(found.price.unpriced) > 4 else "")
        fix = "give it in money.toml or the design's [prices], or say --even-so to leave it out of the scope"
        raise BadInput("price", f"none for {missing}"[:75], fix, where=code)
    return found
