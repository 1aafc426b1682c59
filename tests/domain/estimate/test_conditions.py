"""Overtime, crowding, learning, heat and cold against published figures and a year of weather."""

import csv
from pathlib import Path

import numpy as np
import pytest

from planner.domain.estimate.conditions import (
    Conditions,
    effective_f,
    learning_exponent,
    new_hand_factor,
    overtime_factor,
    size_factor,
    unit_h,
    weather_factor,
    work_minutes_in,
)
from planner.domain.firm.phases import Phase
from planner.errors import BadInput
from planner.store.shipped.rates import shipped_rate_book

BOOK = shipped_rate_book()
YEAR = Path(__file__).parents[2] / "data" / "seattle_weather_2015.csv"


@pytest.mark.parametrize(("hours", "efficiency"), [(50.0, 0.92), (60.0, 0.84), (70.0, 0.78)])
def test_overtime(hours: float, efficiency: float) -> None:
    """Kossoris, Hours of Work and Output, BLS, 1947, in Thomas, J. Constr. Eng. Manage. 118 (1), 1992."""
    found = overtime_factor(hours, BOOK)
    assert found is not None
    assert found.value == pytest.approx(1.0 / efficiency)


def test_overtime_between_and_beyond() -> None:
    assert overtime_factor(40.0, BOOK) is None
    values = [f.value for h in range(41, 113) if (f := overtime_factor(float(h), BOOK))]
    assert values == sorted(values)
    middle = overtime_factor(55.0, BOOK)
    assert middle is not None
    assert middle.value == pytest.approx(1.0 / 0.88)


@pytest.mark.parametrize(
    ("people", "best", "loss"),
    [(4, 3, 0.06), (5, 3, 0.13), (6, 3, 0.26), (9, 3, 0.26), (2, 3, 0.05), (1, 3, 0.12), (1, 4, 0.21)],
)
def test_crowding_and_shorthanded(people: int, best: int, loss: float) -> None:
    """National survey, Masonry Magazine, May 2001, p. 11 (seen): congestion, crew size changed."""
    found = size_factor(people, best, BOOK)
    assert found is not None
    assert 1.0 - 1.0 / found.value == pytest.approx(loss)


def test_more_people_never_take_longer() -> None:
    """Up to two over the best size the crowding loss does not eat the hours that one more person brings."""
    for best in (2, 3, 4):
        sizes = range(1, best + 3)
        per_crew = [(f.value if (f := size_factor(n, best, BOOK)) else 1.0) / n for n in sizes]
        assert per_crew == sorted(per_crew, reverse=True)


def test_wright_curves() -> None:
    """Vignette of the R package learningCurve (seen): aggregate of three curves 11,001 h, then about +240."""

    def hours(first: float, rate: float) -> float:
        return first * 300 ** (1.0 + learning_exponent(rate))

    assert hours(70, 0.85) + hours(45, 0.87) + hours(25, 0.80) == pytest.approx(11001.0, abs=0.5)
    assert hours(30, 0.80) - hours(25, 0.80) == pytest.approx(240.0, abs=1.0)


def test_crawford_against_wright() -> None:
    """Same vignette: first unit 100 h, 85 %, 25 units: the two readings differ by 305 h in total."""
    crawford = sum(unit_h(100.0, n, 0.85) for n in range(1, 26))
    wright = 100.0 * 25 ** (1.0 + learning_exponent(0.85))
    assert crawford - wright == pytest.approx(305.0, abs=0.5)


def test_crawford_exact_total() -> None:
    """Same vignette: a = 100, 85 %, 1,000,000 units: printed exact total 5,119,612."""
    exponent = learning_exponent(0.85)
    assert float(np.sum(100.0 * np.arange(1, 1_000_001) ** exponent)) == pytest.approx(5_119_612, abs=0.6)


def test_new_hand_slows_the_crew_and_catches_up() -> None:
    """Reckoned by hand: at 85 % and 8 jobs, a first job takes 0.85^-3 = 1.628 times; one of three is new."""
    first = new_hand_factor(3, Conditions(new_hands=1), BOOK)
    assert first is not None
    assert first.value == pytest.approx(3.0 / (2.0 + 0.85**3))
    later = [
        f.value
        for job in range(1, 8)
        if (f := new_hand_factor(3, Conditions(new_hands=1, new_hand_job=job), BOOK))
    ]
    assert later == sorted(later, reverse=True)
    assert new_hand_factor(3, Conditions(new_hands=1, new_hand_job=8), BOOK) is None
    assert new_hand_factor(3, Conditions(), BOOK) is None


def test_effective_temperature() -> None:
    """concreteconstruction.net on work at abnormal temperatures (seen): 40 F and 10 mph act like 30 F."""
    assert effective_f(40.0, 10.0) == 30.0


@pytest.mark.parametrize(
    ("air_f", "minutes"), [(95, 45), (97, 40), (98, 35), (100, 30), (102, 25), (104, 20)]
)
def test_heat_in_the_shade_at_30_percent(air_f: int, minutes: int) -> None:
    """DHHS (NIOSH) 2017-127 work and rest schedule (seen): heavy work, 30 % humidity, no sun."""
    found = weather_factor(Phase.DIG, Conditions(temperature_f=float(air_f)), BOOK)
    assert found is not None
    assert found.value == pytest.approx(60.0 / minutes)


def test_heat_rest_from_index_90() -> None:
    """OSHA proposed heat rule, 89 FR 70698, 2024: 15 min every 2 h from heat index 90.

    NWS chart: 88 F at 60 % is 95.
    """
    found = weather_factor(Phase.PLUMBING, Conditions(temperature_f=88.0, humidity_pct=60.0), BOOK)
    assert found is not None
    assert found.value == pytest.approx(60.0 / 52.5)
    assert weather_factor(Phase.DIG, Conditions(temperature_f=80.0, humidity_pct=40.0), BOOK) is None


def test_weather_unknown_or_mild_changes_nothing() -> None:
    assert weather_factor(Phase.DIG, Conditions(), BOOK) is None
    assert (
        weather_factor(Phase.DIG, Conditions(temperature_f=70.0, humidity_pct=50.0, wind_mph=2.0), BOOK)
        is None
    )


def test_a_year_of_weather() -> None:
    """365 days of Seattle 2015 (NOAA, from the PyPI package vega_datasets 0.9.0; see the file's head).

    Counted independently: dry heat at 30 % in the shade slows heavy work from 95 F (NIOSH), cold below an
    effective 40 F (deg F less mph); days under 90 F and above that are untouched. No loss exceeds the 75 %
    that concreteconstruction.net gives as the worst (seen).
    """
    lines = YEAR.read_text(encoding="utf-8").splitlines()
    days = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    assert len(days) == 365
    hot = cold = 0
    for day in days:
        air_f = float(day["temp_max"]) * 1.8 + 32.0
        wind_mph = float(day["wind"]) * 2.23694
        found = weather_factor(Phase.DIG, Conditions(temperature_f=air_f, wind_mph=wind_mph), BOOK)
        if air_f + 0.5 >= 95.0:
            hot += 1
            assert found is not None and found.value >= 60 / 45
        elif air_f - wind_mph < 40.0:
            cold += 1
            assert found is not None and 1.0 < found.value < 1.3
        elif air_f < 90.0:
            assert found is None
        loss = 1.0 - 1.0 / found.value if found else 0.0
        assert 0.0 <= loss < 0.75
    assert hot >= 1
    assert 10 < cold < 120


def test_hotter_and_colder_never_mean_fewer_hours() -> None:
    def hours(air_f: float, wind: float = 0.0) -> float:
        found = weather_factor(Phase.ROCK, Conditions(temperature_f=air_f, wind_mph=wind, sunny=True), BOOK)
        return found.value if found else 1.0

    hot = [hours(float(f)) for f in range(70, 125)]
    assert hot == sorted(hot)
    cold = [hours(float(f), 5.0) for f in range(-20, 60)]
    assert cold == sorted(cold, reverse=True)
    assert work_minutes_in(Phase.DIG, Conditions(temperature_f=110.0)) == 0


@pytest.mark.parametrize(
    "wrong",
    [
        {"temperature_f": 200.0},
        {"humidity_pct": 101.0},
        {"wind_mph": -1.0},
        {"hours_week": 0.0},
        {"new_hands": -1},
        {"new_hand_job": 0},
        {"temperature_f": float("nan")},
    ],
)
def test_impossible_conditions_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        Conditions(**wrong)  # type: ignore[arg-type]
