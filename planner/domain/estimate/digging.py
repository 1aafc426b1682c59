"""What a machine digs in an hour, and how carriers keep up with it.

Production = bucket x fill x cycles per hour x working minutes / 60, loose; divided by swell it is bank. A
fleet moves as fast as its slower side. All functions are plain arithmetic on the rate book's measures.

Sources: the production formula as printed in an equipment maker's application handbook (Q = q x 60 x E / Cm)
and in US Army FM 5-434, Earthmoving Operations, 2000, ch. 1 (terms; its tables were not reached).
"""

from __future__ import annotations

from math import ceil

from planner.units import FT3_PER_CY


def cycles_h(cycle_s: float) -> float:
    """Cycles in a full hour.

    >>> round(cycles_h(0.883 * 60), 2)
    67.95
    """
    return 3600.0 / cycle_s


def production_h(
    bucket: float, fill: float, cycles: float, working_min: float = 60.0, correction: float = 1.0
) -> float:
    """Loose volume moved in one hour, in the bucket's unit of volume.

    bucket: heaped; fill: bucket fill factor; cycles: per full hour; working_min: minutes worked in an hour;
    correction: product of other factors (swing, depth, grade).

    >>> round(production_h(3.0, 0.50, 100.0, 50.0, 1.10), 1)
    137.5
    """
    return bucket * fill * cycles * working_min / 60.0 * correction


def bank_cy_h(bucket_ft3: float, fill: float, cycle_s: float, working_min: float, swell: float) -> float:
    """Bank cubic yards dug in one hour [bank cy/h]; swell: loose per bank volume."""
    return production_h(bucket_ft3, fill, cycles_h(cycle_s), working_min) / FT3_PER_CY / swell


def trip_min(distance_ft: float, speed_ft_min: float, lost_min: float) -> float:
    """One trip there and back [min]: the way both ways and the time lost to dump and turn.

    >>> trip_min(50.0, 200.0, 0.75)
    1.25
    """
    return 2.0 * distance_ft / speed_ft_min + lost_min


def carry_h_per_cy(distance_ft: float, load_ft3: float, speed_ft_min: float, lost_min: float) -> float:
    """Hours of one carrier per loose cubic yard, without loading [h/cy].

    >>> carry_h_per_cy(50.0, 3.0, 200.0, 0.75) * 60
    11.25
    """
    return FT3_PER_CY / load_ft3 * trip_min(distance_ft, speed_ft_min, lost_min) / 60.0


def balanced_carriers(load_min: float, away_min: float) -> int:
    """The fewest carriers with which the loader never waits: cycle / loading time, rounded up.

    >>> balanced_carriers(2.0, 5.0)
    4
    """
    return max(1, ceil((load_min + away_min) / load_min - 1e-9))


def fleet_h(loads: float, load_min: float, away_min: float, carriers: int) -> float:
    """Hours for `carriers` to move `loads` [h]: the slower of the loader and the carriers governs."""
    return loads * max(load_min, (load_min + away_min) / carriers) / 60.0


def fleet_trips(volume: float, load: float) -> int:
    """Whole trips for a volume, rounded up.

    >>> fleet_trips(1300.0, 7.0)
    186
    """
    return ceil(volume / load - 1e-9)


def lift_shares(smallest_in: float, largest_in: float, one_in: float, two_in: float) -> tuple[float, float]:
    """Shares of a size class that one person and that two may lift.

    The class's tons are taken as spread evenly over its sizes; one_in and two_in: the largest stones within
    the limit of one and of two persons [in]. The rest is for a machine, or dolly and bars.

    >>> lift_shares(6.0, 12.0, 7.5, 9.0)
    (0.25, 0.25)
    """
    span = largest_in - smallest_in

    def below(size_in: float) -> float:
        return min(1.0, max(0.0, (size_in - smallest_in) / span))

    return below(one_in), below(max(one_in, two_in)) - below(one_in)
