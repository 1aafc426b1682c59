"""A little invented season, booked by hand: two ponds, three crews, two kinds of machine."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from planner.domain.crew_day.checklist import Checklist
from planner.domain.design.design import Design
from planner.domain.design.read import read_design
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Access, DayRange, Job, Line, Soil, Status
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.plan import Booking, Cost, MachineUse, Plan, PlanState
from planner.domain.standing.roster import Roster
from planner.store.shipped.checklists import checklist

MONDAY = date(2027, 4, 5)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """A moment in April 2027."""
    return datetime(2027, 4, day, hour, minute)


def designed(text: str) -> Design:
    """The design of a file's text."""
    return read_design(text)


def booking(job: str, phase: Phase, crews: str, start: datetime, end: datetime, h: float, **more) -> Booking:
    """A booking by its words; crews parted by commas."""
    part = more.pop("part", 1)
    return Booking(WorkKey(job, phase, part), tuple(crews.split(",")), start, end, h, **more)


#: The design kept with P-014; P-015 has none.
FERN = """
name = "Fern Hollow (invented)"
water_line_in = 3
[outline]
shape = "ellipse"
length_ft = 18
width_ft = 12
[[step]]
down_in = 9
ledge_in = 14
[[step]]
down_in = 8
ledge_in = 12
[[step]]
down_in = 7
[waterfall]
drops_in = [12, 8]
lip_in = 22
[berm]
length_ft = 9
width_ft = 6
height_in = 24
[skimmer]
[waterfall_box]
"""

EXCAVATOR = (MachineUse("excavator", 1),)


@pytest.fixture
def firm() -> Firm:
    return Firm(
        name="Invented Ponds",
        time_zone="America/New_York",
        depot_latitude_deg=39.96,
        depot_longitude_deg=-83.0,
    )


@pytest.fixture
def jobs() -> dict[str, Job]:
    fern = Job(
        code="P-014",
        client="Fern Hollow (invented)",
        address="12 Made-up Lane, Nowhere Falls",
        phone="555-0100",
        latitude_deg=39.96,
        longitude_deg=-83.0,
        promised=date(2027, 4, 12),
        soil=Soil.CLAY,
        depth_in=24,
        shelves=2,
        waterfall=True,
        notes="pays late",
        site_notes="gate code is with the office",
        lines=(
            Line("dig_machine_cy", 18.5),
            Line("dig_hand_cy", 1.5),
            Line("berm_cy", 6),
            Line("haul_off_cy", 14),
            Line("filter_boxes", 2),
            Line("liner_ft2", 780),
            Line("underlayment_ft2", 780),
            Line("boulder_small_ton", 2),
            Line("boulder_medium_ton", 4),
            Line("boulder_large_ton", 3),
            Line("gravel_ton", 3.5),
            Line("waterfall_ton", 1.5),
            Line("pipe_ft", 40),
            Line("connections", 6),
            Line("sealed_joints", 2),
            Line("fill_gal", 2250),
            Line("hose_gpm", 11),
            Line("edge_ft", 62),
        ),
    )
    quarry = Job(
        code="P-015",
        client="Quarry Bend (invented)",
        address="3 Pretend Road",
        promised=date(2027, 4, 8),
        access=Access.HAND,
        soil=Soil.SAND,
        depth_in=20,
        shelves=2,
        waterfall=False,
        wet=True,
        lines=(Line("dig_hand_cy", 6), Line("filter_boxes", 1), Line("liner_ft2", 320)),
    )
    return {job.code: job for job in (fern, quarry)}


@pytest.fixture
def roster(firm: Firm, jobs: dict[str, Job]) -> Roster:
    crews = [
        Crew("North", "Ana", 3, frozenset({"excavator", "stonework", "plumbing"})),
        Crew("South", "Bo", 2, frozenset({"stonework", "plumbing"})),
        Crew("River", "Cy", 4, days_off=(DayRange(date(2027, 4, 7), date(2027, 4, 7), "training"),)),
    ]
    machines = [Machine("excavator", "mini excavator", 2), Machine("dolly", "rock dolly")]
    return Roster(
        firm,
        jobs,
        {c.name: c for c in crews},
        {m.key: m for m in machines},
        designs={"P-014": designed(FERN)},
    )


@pytest.fixture
def plan() -> Plan:
    bookings = (
        booking("P-014", Phase.DIG, "North", at(5, 7), at(6, 12, 30), 13, machines=EXCAVATOR, pinned=True),
        booking("P-014", Phase.SET_FILTERS, "North", at(6, 12, 30), at(6, 15, 30), 3),
        booking("P-014", Phase.LINER, "North,River", at(7, 7), at(8, 11), 12),
        booking("P-014", Phase.ROCK, "North", at(8, 11, 30), at(9, 15, 30), 12, machines=EXCAVATOR),
        booking("P-014", Phase.PLUMBING, "South", at(12, 7), at(12, 11), 4),
        booking("P-014", Phase.FILL, "South", at(13, 11, 30), at(13, 15, 30), 4),
        booking("P-014", Phase.FILL, "South", at(14, 7), at(14, 11), 4, part=2),
        booking("P-015", Phase.DIG, "South", at(5, 7), at(9, 15, 30), 40),
    )
    return Plan(
        bookings=bookings,
        cost=Cost(),
        state=PlanState.FEASIBLE,
        made_at=datetime(2027, 4, 2, 16),
        number=4,
        published_at=datetime(2027, 4, 2, 17),
    )


@pytest.fixture
def lists() -> Checklist:
    return checklist()


@pytest.fixture
def hostile(roster: Roster) -> Roster:
    """The same season with names that try to do harm."""
    bad = '<script>alert(1)</script>\r\nBEGIN:VEVENT"[bold]\u2028=cmd|calc 🐸;' + "x" * 500
    jobs = {
        c: replace(j, client=bad, address=bad, notes=bad, site_notes=bad, phone="=1+1")
        for c, j in roster.jobs.items()
    }
    return replace(roster, jobs=jobs)


@pytest.fixture
def stored(new_season: Path, roster: Roster, plan: Plan) -> str:
    """A database that holds the season, with the plan published; returns its location."""
    from planner.store.engine import Store

    location = str(new_season)
    with Store(location).writing("test") as book:
        book.save_firm(roster.firm)
        for crew in roster.crews.values():
            book.save_crew(crew)
        for machine in roster.machines.values():
            book.save_machine(machine)
        for job in roster.jobs.values():
            book.save_job(replace(job, status=Status.UNDER_WAY))
        book.save_design("P-014", FERN)
        number = book.save_plan(replace(plan, number=0, published_at=None))
        book.publish(number, datetime(2027, 4, 2, 17))
    return location


@pytest.fixture
def golden():
    """Compare with a stored page; REWRITE_GOLDEN=1 writes it again, and a person reads the diff."""

    def check(name: str, made: str) -> None:
        path = Path(__file__).parent / "golden" / name
        if os.environ.get("REWRITE_GOLDEN"):
            path.write_text(made, "utf-8")
        assert made == path.read_text("utf-8")

    return check
