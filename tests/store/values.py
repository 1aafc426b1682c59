"""Values with every field set to something that is not its default, for the store's tests."""

from datetime import date, datetime, time

from planner.domain.dates import DateOrder
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew, Machine, MachineOut, Person
from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import (
    Access,
    DayPart,
    DayRange,
    Gate,
    GateKind,
    Job,
    Line,
    Need,
    Origin,
    Pin,
    Soil,
    Status,
    VisitKind,
)
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.plan import Booking, Cost, MachineUse, Plan, PlanState

OFF = DayRange(date(2027, 7, 5), date(2027, 7, 9), "holiday")

FIRM = Firm(
    name="Alder [bold] & Söhne; 🪨",
    phone="+1 555 0199",
    shift_start=time(6, 30),
    paid_h_day=9.5,
    meal_break_min=45,
    weekdays=frozenset({0, 1, 2, 3}),
    country="CA",
    state="ON",
    time_zone="America/Toronto",
    days_off=(OFF, DayRange(date(2027, 9, 1), date(2027, 9, 1))),
    work_days=(date(2027, 5, 1), date(2027, 5, 8)),
    season_first=date(2027, 4, 1),
    season_last=date(2027, 10, 30),
    units="metric",
    dates=DateOrder.DAY_FIRST,
    planning_percentile=75.0,
    depot_latitude_deg=43.5,
    depot_longitude_deg=-79.5,
    road_factor=1.4,
    road_mph=30.0,
    unknown_site_mi=9.0,
    daily_setup_h=0.5,
    half_days=(date(2027, 5, 28),),
    daylight_only=True,
    weights=Weights(100.0, 3.0, 90.0, 80.0, 1.5, 50.0, 20.0, 300.0, 30.0, 10),
)

JOB = Job(
    code="P-014",
    client='O\'Hara "Pond" [red]; DROP TABLE jobs',
    address="12 Łąka Street → back gate",
    phone="+1 555 0100",
    latitude_deg=43.1,
    longitude_deg=-79.1,
    region="north",
    status=Status.UNDER_WAY,
    gates=(
        Gate(GateKind.DEPOSIT, date(2027, 4, 3), Phase.DIG, True, "half"),
        Gate(GateKind.MATERIAL, date(2027, 4, 20), Phase.ROCK, False, "12 ton"),
        Gate(GateKind.CRANE, date(2027, 4, 21), Phase.ROCK, False, "Lift Co (invented)", DayPart.MORNING),
    ),
    promised=date(2027, 5, 20),
    importance=2.5,
    blackouts=(OFF,),
    access=Access.NARROW,
    soil=Soil.STONY,
    carry_ft=90.0,
    depth_in=30.0,
    shelves=3,
    waterfall=False,
    occupied=False,
    wet=True,
    notes="dog\nkey under stone",
    site_notes="gate code 7\n[park] behind",
    lines=(
        Line("dig_machine_cy", 18.5, Origin.COMPUTED, "from the design"),
        Line("boulder_large_ton", 3.0),
        Line("dig_machine_cy", 1.5),
    ),
    needs={Phase.DIG: Need(frozenset({"excavator"}), {"excavator": 2}), Phase.ROCK: Need(frozenset(), None)},
    pins=(Pin(Phase.DIG, "North", datetime(2027, 4, 5, 7, 0)), Pin(Phase.ROCK, "South")),
)

#: A visit to the pond of JOB: it has no quantities, and what an install leaves at its default.
VISIT = Job(
    code="V-01",
    client="O'Hara",
    status=Status.SOLD,
    visit=VisitKind.LEAK_SEARCH,
    pond="P-014",
    on_site_h=3.5,
    hands=2,
    day_part=DayPart.MORNING,
    repeats="FREQ=YEARLY;BYMONTH=4",
)

ADA = Person("Ada", frozenset({"excavator", "tow"}), 1.0, (OFF,))
BO = Person("Bo", counts=0.5)
CREW = Crew("North", "Ada", 4, frozenset({"excavator", "plumbing"}), 1.1, (OFF,), 43.2, -79.2, (ADA, BO))

MACHINE = Machine(
    "excavator", "1.7 t excavator", 2, (MachineOut(OFF, 1),), 120.0, 1.5, 2.5, 1.7, True, 6200.0
)
LOG = Log(date(2027, 4, 5), "North", "P-014", Phase.DIG, 7.5, 0.4, True, 0.5, "rain", 3, "wet [note]", "S-1")
LOST = LostTime(LostKind.CREW_SHORT, OFF, "North", 1, "dig", "flu")

PLAN = Plan(
    bookings=(
        Booking(
            WorkKey("P-014", Phase.DIG),
            ("North", "South"),
            datetime(2027, 4, 5, 7),
            datetime(2027, 4, 6, 12),
            11.5,
            (MachineUse("excavator", 1), MachineUse("barrow", 2)),
            True,
            True,
        ),
        Booking(
            WorkKey("P-014", Phase.FILL, 2), ("South",), datetime(2027, 4, 8, 7), datetime(2027, 4, 8, 9), 2.0
        ),
    ),
    cost=Cost({"late_day": 25000, "open_day": 7500}),
    state=PlanState.BEST,
    made_at=datetime(2027, 4, 1, 6, 45),
    note="first",
    dispatch_cents=40000,
    bound_cents=32500,
    seed=7,
    history_mark=3,
)
