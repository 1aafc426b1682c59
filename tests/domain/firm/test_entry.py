"""What people type: units both ways, dates that are none, choices, and names that carry their unit.

Conversions are checked against NIST Special Publication 811 (2008), Appendix B.8 factors (from memory):
1 yd3 = 0.764 554 9 m3, 1 ft = 0.3048 m, 1 short ton = 0.907 184 7 t, 1 US gal = 3.785 412 L.
"""

from __future__ import annotations

from datetime import date, datetime, time

import pytest

from planner.domain.firm import entry
from planner.domain.firm.fields import (
    JOB_FIELDS,
    item_names,
    item_of,
    item_words,
    plain_number,
    quantity,
    with_fields,
)
from planner.domain.firm.jobs import ITEMS, Access, Job, Soil
from planner.errors import BadInput
from planner.units import METRIC, METRIC_OF, from_shown, to_shown


@pytest.mark.parametrize(
    ("name", "text", "item", "us"),
    [
        ("dig_machine_m3", "0.7645549", "dig_machine_cy", 1.0),
        ("dig_machine_cy", "18", "dig_machine_cy", 18.0),
        ("pipe_m", "30.48", "pipe_ft", 100.0),
        ("gravel_t", "0.9071847", "gravel_ton", 1.0),
        ("fill_l", "3785.412", "fill_gal", 1000.0),
        ("dig_machine_cy", "0.7645549 m3", "dig_machine_cy", 1.0),
        ("filter_boxes", "2", "filter_boxes", 2.0),
    ],
)
def test_a_quantity_is_read_in_the_unit_of_its_name(name: str, text: str, item: str, us: float) -> None:
    line = quantity(name, text)
    assert line.item == item
    assert line.quantity == pytest.approx(us, rel=1e-6)


def test_every_item_has_one_name_in_each_system() -> None:
    for system in ("us", METRIC):
        names = item_names(system)
        assert len(set(names.values())) == len(ITEMS)
        assert all(item_of(shown)[0] == key for key, shown in names.items())
    assert item_words("boulder_large_ton", METRIC) == "boulders 460 to 910 mm"


@pytest.mark.parametrize("unit", METRIC_OF)
def test_units_come_back_through_text(unit: str) -> None:
    for value in (0.1, 1 / 3, 18.5, 12345.678):
        shown, _ = to_shown(value, unit, METRIC)
        assert from_shown(float(plain_number(shown)), unit, METRIC) == pytest.approx(value, rel=1e-11)


def test_a_bare_measure_is_in_the_firms_units() -> None:
    assert entry.number("carry", "15", "ft", "us") == 15
    assert entry.number("carry", "15", "ft", METRIC) == pytest.approx(49.2126, abs=1e-4)
    assert entry.number("carry", "15 m", "ft", "us") == pytest.approx(49.2126, abs=1e-4)
    assert entry.number("carry", "50FT", "ft", METRIC) == 50


@pytest.mark.parametrize(
    "text",
    ["", "x", "nan", "inf", "1e999", "-", "1,5", "1 lb", "0x10", "1e", "١٢", "12 m m", "1" * 400, "--1", "½"],
)
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        entry.number("carry", text, "ft")
    assert caught.value.field == "carry"


@pytest.mark.parametrize(
    "text",
    [
        "2026-02-30",
        "2027-02-29",
        "1-1-1",
        "0001-01-01",
        "9999-12-31",
        "1999-12-31",
        "",
        "20",
        "today?",
        "2027-W14-8",
    ],
)
def test_what_is_no_date_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        entry.day("promised", text)


def test_dates_that_are_special_are_kept() -> None:
    assert entry.day("promised", "2028-02-29") == date(2028, 2, 29)
    assert entry.moment("start", "2027-03-14T02:30") == datetime(
        2027, 3, 14, 2, 30
    )  # the hour that spring skips
    assert entry.clock("shift", "6:05") == time(6, 5)


@pytest.mark.parametrize(
    "text", ["2027-04-05", "2027-04-05T25:00", "2027-04-05T07:00+02:00", "2027-04-05T07:00Z", ""]
)
def test_what_is_no_local_time_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        entry.moment("start", text)


def test_choices_take_a_unique_beginning() -> None:
    assert entry.choice("access", "Narrow-Gate", Access) is Access.NARROW
    assert entry.choice("soil", "stony", Soil) is Soil.STONY
    for text in ("s", "", "mud"):
        with pytest.raises(BadInput, match="use one of: sand, loam"):
            entry.choice("soil", text, Soil)


def test_weekdays() -> None:
    assert entry.weekdays("d", "mon-fri") == frozenset(range(5))
    assert entry.weekdays("d", "Sat,sunday") == frozenset({5, 6})
    assert entry.weekdays("d", "sat-mon") == frozenset({5, 6, 0})
    for text in ("", "mon-", "xyz", "1-5"):
        with pytest.raises(BadInput):
            entry.weekdays("d", text)


def test_every_fault_is_told_and_the_rest_is_read() -> None:
    texts = {"soil": "clay", "carry_m": "x", "promised": "2026-02-30", "color": "red"}
    job, faults = with_fields(Job("A", "B"), JOB_FIELDS, texts, "us")
    assert job.soil is Soil.CLAY
    assert [f.field for f in faults] == ["carry_m", "promised", "field"]


def test_a_value_written_and_read_again_is_the_same_to_the_last_digit() -> None:
    job = Job("A", "B", carry_ft=100 / 3, depth_in=17.3)
    for system in ("us", METRIC):
        texts = {f.name(system): f.write(getattr(job, f.attr), system) for f in JOB_FIELDS}
        assert with_fields(job, JOB_FIELDS, texts, system) == (job, [])


def test_names_are_understood_without_their_spaces_or_answered_with_the_near_one() -> None:
    from planner.domain.firm.phases import Phase

    assert entry.choice("phase", "setfilters", Phase) is Phase.SET_FILTERS
    assert entry.choice("phase", "Set-Filters", Phase) is Phase.SET_FILTERS
    with pytest.raises(BadInput, match=r"did you mean plumbing\?"):
        entry.choice("phase", "pluming", Phase)
    with pytest.raises(BadInput, match="write it without commas: 1500"):
        entry.number("liner_ft2", "1,500", "ft2")
