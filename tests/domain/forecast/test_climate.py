"""The climate table against the published normals, and what it says about lost days."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from planner.domain.forecast.climate import Station, lost_chance, lost_share, nearest, read_station
from planner.errors import BadInput, BadInputs
from planner.store.shipped.climate import stations

# NOAA NCEI 1991-2020 monthly normals, MLY-PRCP-AVGNDS-GE010HI: the sums of the twelve months as printed
# beside the table that the figures were copied from (a check sum against slips of the pen).
YEAR_SUMS = {
    "Columbus OH": 81.9,
    "Portland OR": 93.3,
    "Charlotte NC": 72.8,
    "Chicago Midway IL": 67.5,
    "Raleigh NC": 75.2,
    "Boston MA": 77.0,
    "Dallas Love TX": 52.3,
    "Atlanta Fulton GA": 74.6,
}


def test_table_against_its_published_sums() -> None:
    assert {s.name: pytest.approx(sum(s.wet_days), abs=0.05) for s in stations()} == YEAR_SUMS
    assert all(s.period == "1991-2020" and "NCEI" in s.source for s in stations())


def test_may_in_columbus() -> None:
    # derived from the normals: 8.6 of 31 days = 0.277 a day; five working days expect 1.4 wet ones.
    columbus = nearest(stations(), "oh")
    assert columbus is not None
    assert columbus.wet_chance(5) == pytest.approx(0.277, abs=0.0005)
    assert 5 * columbus.wet_chance(5) == pytest.approx(1.4, abs=0.05)
    assert lost_chance(columbus, date(2027, 5, 3), 0.5) == pytest.approx(0.1387, abs=0.0005)
    assert nearest(stations(), "AK") is None


def test_share_of_wet_days_that_cost_a_day() -> None:
    columbus = stations()[0]
    days = [date(2027, 5, 1) + timedelta(days=n) for n in range(31)]
    assert lost_share(columbus, days, days[:4]) == pytest.approx(4 / 8.6)
    assert lost_share(columbus, days[:10], days[:4]) is None


def _rows(**changed: str) -> list[dict[str, str]]:
    return [{"month": str(m), "wet_days": changed.get(f"m{m}", "5.5")} for m in range(1, 13)]


def test_own_station() -> None:
    own = read_station(_rows(m3="7"), key="own", name="Our yard", source="rain gauge", where="a.csv")
    assert own.wet_days[2] == 7.0
    assert own.period == "the firm's own"


def test_own_station_names_every_fault() -> None:
    rows = [*_rows(m2="nan", m7="x", m8="-1", m9="99"), {"month": "13", "wet_days": "1"}]
    with pytest.raises(BadInputs) as refused:
        read_station(rows, key="own", name="x", source="", where="a.csv")
    assert [f.where for f in refused.value.faults] == [f"a.csv line {n}" for n in (3, 8, 9, 10, 14)]
    with pytest.raises(BadInputs, match="missing"):
        read_station(_rows()[:11], key="own", name="x", source="", where="a.csv")


def test_a_station_has_twelve_months() -> None:
    with pytest.raises(BadInput, match="twelve"):
        Station("x", "x", "", (1.0,), "", "")
