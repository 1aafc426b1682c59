"""The firm's settings: hours, working days, holidays, units, the planning percentile, the money weights."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, time

from planner.domain.dates import DateOrder
from planner.domain.firm.jobs import DayRange


@dataclass(frozen=True, slots=True)
class Weights:
    """What the scheduler weighs, in US dollars. Every term of a plan's cost has its name here.

    late_day: per calendar day a job ends after its promise, times its importance.
    wait_day: per calendar day from now until a job's water is in (money waits with the customer).
    crew_change: per hand-over to another crew within a job.
    leave_and_return: per time a crew goes back to a job that it had left for another.
    travel_mile: per mile driven by a crew. site_day: per crew and day on a site.
    open_day: per calendar day from a job's first work to its last (the garden is torn up).
    moved_near: per job whose published first day or lead changes within `near_days` of today.
    moved_far: the same further out. near_days: how far "near" reaches [calendar days].
    hole_day: per calendar day from a job's first digging to the end of its liner (fence, rain, rework).
    hole_rest: per weekend or holiday over which such a hole lies open.
    call: per job, not begun, on another first day than its client knows (he is called and rearranges a day).
    begun_rest: per weekend or holiday over which a piece of work other than dig or liner lies begun (to
    cover, to lock up, to start afresh).
    crumb: per crew, site and day with less than an hour of work (a drive and a set-up for next to nothing).
    idle_hour: per hour and hand paid and not used in a week in which the crew works (wages).
    appointment: per appointment of one who works beside the crew (hauler, crane) on whose day his work is not
    begun (he comes for nothing, or is asked anew): default, to be calibrated by what he charges for it.
    freeze_days: so many working days from now stay as published where they can, and get no new job.
    notice_days: so many working days ahead a client is told that a told day comes sooner or later.
    tell_days: so many calendar days ahead a client is told his first day, until then only what was promised:
    default, to be calibrated by how long clients need to make room.
    """

    late_day: float = 250.0
    wait_day: float = 0.0
    crew_change: float = 150.0
    leave_and_return: float = 200.0
    travel_mile: float = 2.5
    site_day: float = 60.0
    open_day: float = 25.0
    moved_near: float = 400.0
    moved_far: float = 40.0
    near_days: int = 14
    freeze_days: int = 2
    notice_days: int = 2
    tell_days: int = 14
    hole_day: float = 0.0
    hole_rest: float = 0.0
    call: float = 0.0
    begun_rest: float = 0.0
    crumb: float = 0.0
    idle_hour: float = 0.0
    appointment: float = 300.0


#: Weights that count days, whole ones.
DAYS = frozenset({"near_days", "freeze_days", "notice_days", "tell_days"})


@dataclass(frozen=True, slots=True)
class Firm:
    """Settings of one firm.

    name: as pages show it; phone: for clients; shift_start: wall time at which the day begins;
    paid_h_day: paid hours [h];
    meal_break_min: unpaid, in the middle of the day [min]; weekdays: working days of a week (0 Monday to 6
    Sunday inside); country: whose public holidays are kept; state: two-letter code for its public holidays,
    empty for federal ones only; time_zone: for calendars and daylight;
    days_off: the firm's own closures; work_days: dates worked although they are a weekend or holiday;
    half_days: dates of which only the hours before the meal break are worked;
    daylight_only: no work before sunrise or after sunset at the depot;
    season_first: nothing is planned before; season_last: nothing is planned after; units: us or metric;
    dates: how days are shown and typed: month first (5/14/2027), day first (14/5/2027) or year first
    (2027-05-14); planning_percentile: which quantile of crew-hours plans are made with [percent];
    depot_latitude_deg: where crews start, for travel and daylight; depot_longitude_deg: the same;
    road_factor: road miles per great-circle mile; road_mph: average speed; unknown_site_mi: assumed one-way
    distance from the depot to a site without coordinates [mi]; daily_setup_h: set-up, pack-up and
    clean-up per crew and day on a site [crew-hours]; weights: what the scheduler weighs.
    """

    name: str = "Our firm"
    phone: str = ""
    shift_start: time = time(7, 0)
    paid_h_day: float = 8.0
    meal_break_min: int = 30
    weekdays: frozenset[int] = frozenset({0, 1, 2, 3, 4})
    country: str = "US"
    state: str = ""
    time_zone: str = "America/New_York"
    days_off: tuple[DayRange, ...] = ()
    work_days: tuple[date, ...] = ()
    half_days: tuple[date, ...] = ()
    daylight_only: bool = False
    season_first: date = date(2027, 3, 15)
    season_last: date = date(2027, 11, 19)
    units: str = "us"
    dates: DateOrder = DateOrder.MONTH_FIRST
    planning_percentile: float = 80.0
    depot_latitude_deg: float | None = None
    depot_longitude_deg: float | None = None
    road_factor: float = 1.3
    road_mph: float = 35.0
    unknown_site_mi: float = 12.0
    daily_setup_h: float = 0.75
    weights: Weights = field(default_factory=Weights)
