"""Jobs, crews and a small firm for the labour tests; everything invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from planner.domain.estimate.labour import JobEstimate, estimate
from planner.domain.estimate.rates import Rate, RateBook
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Access, Job, Line, Soil
from planner.store.shipped.rates import shipped_rate_book
from planner.store.shipped.rules import phase_rules

BOOK = shipped_rate_book()
RULES = phase_rules()
FIRM = Firm()
EXCAVATOR = Machine("excavator", "mini excavator", units=2, bucket_ft3=2.0, mass_t=2.7)
MACHINES = {"excavator": EXCAVATOR}
NORTH = Crew("North", "Ann", 3, frozenset({"excavator", "stonework", "plumbing"}))
MONDAY = date(2027, 4, 5)

QUANTITIES = {
    "dig_machine_cy": 14.0,
    "dig_hand_cy": 2.0,
    "berm_cy": 4.0,
    "haul_off_cy": 10.0,
    "filter_boxes": 2.0,
    "box_dig_cy": 1.0,
    "liner_ft2": 600.0,
    "underlayment_ft2": 600.0,
    "seams_ft": 10.0,
    "boulder_small_ton": 3.0,
    "boulder_medium_ton": 5.0,
    "boulder_large_ton": 2.0,
    "gravel_ton": 4.0,
    "waterfall_ton": 1.5,
    "pipe_ft": 40.0,
    "connections": 6.0,
    "sealed_joints": 2.0,
    "fill_gal": 2500.0,
    "hose_gpm": 10.0,
    "edge_ft": 60.0,
}


def pond(
    code: str = "P-1", *, soil: Soil = Soil.LOAM, access: Access = Access.MACHINE, **changed: float
) -> Job:
    """A usual pond; `changed` replaces quantities, 0 leaves one out."""
    amounts = {**QUANTITIES, **changed}
    lines = tuple(Line(item, q) for item, q in amounts.items() if q > 0)
    return Job(code, "Invented Client", soil=soil, access=access, lines=lines)


def only(code: str = "P-1", **amounts: float) -> Job:
    """A job with nothing but these quantities, in an empty garden."""
    return Job(
        code, "Invented Client", occupied=False, lines=tuple(Line(item, q) for item, q in amounts.items())
    )


def told(job: Job, crew: Crew = NORTH, book: RateBook = BOOK, firm: Firm = FIRM) -> JobEstimate:
    """The estimate with the shipped rules and the mini excavator."""
    return estimate(job, crew, book, firm, RULES, MACHINES)


def with_rate(key: str, likely: float) -> RateBook:
    """The shipped book with one row replaced."""
    row = BOOK.row(key)
    changed = Rate(key, row.kind, row.unit, likely * 0.9, likely, likely * 1.1, "test", row.words)
    return replace(BOOK.with_rows([changed]), edition="test")
