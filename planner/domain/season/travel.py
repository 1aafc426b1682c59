"""Miles and minutes between the depot and the sites.

Great-circle distance times the firm's road factor; a site without coordinates is taken to lie
`unknown_site_mi` from the depot and twice that from any other site.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import ceil

from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.domain.places import great_circle_mi
from planner.domain.season.season import Season

Place = tuple[float, float] | None


def _place(latitude_deg: float | None, longitude_deg: float | None) -> Place:
    return None if latitude_deg is None or longitude_deg is None else (latitude_deg, longitude_deg)


def site(job: Job) -> Place:
    """The job's coordinates, None when they are not known."""
    return _place(job.latitude_deg, job.longitude_deg)


def depot(firm: Firm, crew: Crew) -> Place:
    """Where the crew starts and ends its days: its own depot, else the firm's."""
    own = _place(crew.depot_latitude_deg, crew.depot_longitude_deg)
    return own or _place(firm.depot_latitude_deg, firm.depot_longitude_deg)


def road_mi(firm: Firm, a: Place, b: Place, legs: int = 1) -> float:
    """Road miles between two places; `legs` x the firm's assumed distance when one is unknown [mi]."""
    if a is None or b is None:
        return firm.unknown_site_mi * legs
    return great_circle_mi(a, b) * firm.road_factor


def site_miles(firm: Firm, a: Job, b: Job) -> float:
    """Road miles from one job's site to another's; 0 for the same job [mi]."""
    return 0.0 if a.code == b.code else road_mi(firm, site(a), site(b), legs=2)


def pair_miles(season: Season, jobs: list[str]) -> Iterator[tuple[str, str, float]]:
    """(one, other, `site_miles`) of every two of these jobs of the season, each pair once."""
    places = [(job, site(season.jobs[job])) for job in jobs]
    for (one, here), (other, there) in combinations(places, 2):
        yield one, other, road_mi(season.firm, here, there, legs=2)


def road_minutes(firm: Firm, a: Job, b: Job) -> int:
    """Driving time from one job's site to another's, whole minutes rounded up [min]."""
    return minutes_of(firm, site_miles(firm, a, b))


def minutes_of(firm: Firm, miles: float) -> int:
    """Driving time of so many road miles, whole minutes rounded up [min]."""
    return ceil(round(miles / firm.road_mph * 60, 6))


def drive_miles(season: Season, job_a: str, job_b: str) -> float:
    """`site_miles` of two jobs of the season by their codes [mi]."""
    return site_miles(season.firm, season.jobs[job_a], season.jobs[job_b])


def drive_minutes(season: Season, job_a: str, job_b: str) -> int:
    """`road_minutes` of two jobs of the season by their codes [min]."""
    return road_minutes(season.firm, season.jobs[job_a], season.jobs[job_b])


def depot_miles(season: Season, crew: str, job: str) -> float:
    """Road miles from the crew's depot to the job's site, one way [mi]."""
    return road_mi(season.firm, depot(season.firm, season.crews[crew]), site(season.jobs[job]))
