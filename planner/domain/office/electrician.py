"""The licensed electrician on the office's list: to be booked where a job needs him and no visit is dated."""

from __future__ import annotations

from collections.abc import Iterator

from planner.domain.dates import day_words
from planner.domain.firm.jobs import GateKind
from planner.domain.firm.phases import Phase
from planner.domain.office.items import Desk, Kind, OfficeItem


def electrician_items(desk: Desk) -> Iterator[OfficeItem]:
    """One item a job whose pump waits for a visit that nobody has dated yet.

    Due so many working days before the pump starts as the lead times say for him.
    """
    lead = next((row for row in desk.leads.orders if row.key == "electrician"), None)
    bookings = desk.bookings().values()
    for code, job in desk.season.jobs.items():
        dated = any(gate.kind is GateKind.ELECTRICIAN for gate in job.gates)
        starts = [b.end for b in bookings if b.job == code and b.phase is Phase.FILL]
        if not job.amount("electrician_visits") or dated or not starts:
            continue
        start = max(starts).date()
        due = desk.working_days_before(start, lead.lead_days + lead.spare_days if lead else 10)
        words = (
            f"book the licensed electrician for {code}: circuit, receptacle and bonding before the pump "
            f"starts {day_words(start)}; then planner job gate {code} electrician DAY"
        )
        pressing = "his lead time is no longer left" if due < desk.today else ""
        yield OfficeItem(f"electrician:{code}", Kind.ELECTRICIAN, due, code, words, pressing)
