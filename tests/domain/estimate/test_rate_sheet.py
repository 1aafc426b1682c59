"""The rate book as a table: out, changed, back in, and every fault at once."""

from dataclasses import replace
from math import inf

import pytest

from planner.domain.estimate.conditions import Conditions
from planner.domain.estimate.labour import estimate
from planner.domain.estimate.rate_sheet import COLUMNS, limits, read, written
from planner.errors import BadInput, BadInputs
from tests.domain.estimate.ponds import BOOK, FIRM, MACHINES, NORTH, RULES, pond


def test_out_and_back_changes_nothing() -> None:
    text = written(BOOK)
    assert text.splitlines()[0] == ",".join(COLUMNS)
    assert len(text.splitlines()) == len(BOOK.rows) + 1
    assert read(text, BOOK, "rates.csv", "own") == []


def test_a_changed_row_gets_its_source() -> None:
    found = read("key,low,likely,high\nberm.place,0.5,0.7,1.1\n\n", BOOK, "rates.csv", "own rate, 2027-06-01")
    assert [(r.key, r.band, r.source) for r in found] == [
        ("berm.place", (0.5, 0.7, 1.1), "own rate, 2027-06-01")
    ]
    named = read("key,low,likely,high,source\nberm.place,0.5,0.7,1.1,our logs\n", BOOK, "r", "own")
    assert named[0].source == "our logs"
    assert not named[0].is_default


def test_columns_may_come_in_any_order() -> None:
    found = read("High,LIKELY,low,key\n1.1,0.7,0.5,berm.place\n", BOOK, "r", "own")
    assert found[0].band == (0.5, 0.7, 1.1)


def test_all_faults_are_told_with_line_and_column() -> None:
    text = (
        "key,low,likely,high,unit\n"
        "berm.place,x,0.7,,cy\n"
        'no "such" row,1,2,3,cy\n'
        "berm.place,0.9,0.7,1.0,cy\n"
        "pipe.lay,0.1,0.2,0.3,m\n"
        "pipe.lay,0.1,0.2,0.3,ft\n"
        "pipe.lay,0.1,0.2,0.3,ft\n"
    )
    with pytest.raises(BadInputs) as caught:
        read(text, BOOK, "rates.csv", "own")
    lines = str(caught.value).splitlines()
    assert len(lines) == len(caught.value.faults) == 6
    assert lines[0].startswith("rates.csv line 2 column 2: low = 'x'")
    assert lines[1].startswith("rates.csv line 2 column 4: high = ''")
    assert "line 3 column 1" in lines[2]
    assert "line 4" in lines[3] and "rising order" in lines[3]
    assert "line 5 column 5" in lines[4] and "is in ft" in lines[4]
    assert "line 7" in lines[5] and "once" in lines[5]


@pytest.mark.parametrize("text", ["", "key,low\n", "nothing\n1\n"])
def test_a_table_without_its_columns_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="first line must name"):
        read(text, BOOK, "rates.csv", "own")


@pytest.mark.parametrize(
    ("key", "band", "most"),
    [
        ("crew.short.1", "0.5,1,1", "0.9"),
        ("crew.crowd.3", "1,2,3", "0.9"),
        ("dig.trim_share", "0.5,1,1.5", "0.9"),
        ("heat.rest_min_h", "50,60,70", "45"),
        ("digger.working_min_h", "50,61,62", "60"),
        ("learn.rate", "0.9,1,1.1", "1"),
        ("overtime.60", "0.9,1,1.1", "1"),
        ("refit.half_life_d", "0.1,0.2,0.3", "36500"),
        ("occupied", "1,2,21", "20"),
        ("pipe.lay", "1,2,1e300", "100000"),
        ("pipe.lay", "0,1,2", "100000"),
        ("pipe.lay", "1,nan,inf", "100000"),
    ],
)
def test_numbers_that_no_formula_bears_are_refused_with_their_limits(key: str, band: str, most: str) -> None:
    with pytest.raises(BadInputs) as caught:
        read(f"key,low,likely,high\n{key},{band}\n", BOOK, "rates.csv", "own")
    assert all(f"{key} " in str(fault) and f"to {most}" in str(fault) for fault in caught.value.faults)


@pytest.mark.parametrize("at", [0, 1])
def test_every_limit_leaves_hours_that_a_calendar_holds(at: int) -> None:
    """All rows at their least, then at their most: hours stay finite and above zero."""
    rows = []
    for row in BOOK.rows.values():
        value = limits(row)[at]
        rows.append(f"{row.key},{value},{value},{value}")
    book = BOOK.with_rows(read("key,low,likely,high\n" + "\n".join(rows), BOOK, "r", "own"))
    hot = Conditions(temperature_f=94.0, humidity_pct=50.0, hours_week=60.0, new_hands=1)
    for size in (1, 3, 6):
        found = estimate(pond(), replace(NORTH, size=size), book, FIRM, RULES, MACHINES, hot)
        for phase in found.phases.values():
            assert 0 < phase.crew_h < inf
            assert sum(phase.line_minutes()) == pytest.approx(phase.crew_h * 60, rel=1e-9, abs=0.5)
        assert 0 < found.crew_h_at(90) < inf
        assert found.planned(99)


def test_shipped_rows_lie_within_their_limits() -> None:
    for row in BOOK.rows.values():
        least, most = limits(row)
        assert least <= row.low and row.high <= most, row.key


@pytest.mark.parametrize("column", ["source", "words"])
@pytest.mark.parametrize("text", ["a\x1b[31mred", "x" * 501])
def test_texts_that_would_spoil_the_page_are_refused(column: str, text: str) -> None:
    with pytest.raises(BadInputs, match=column):
        read(f"key,low,likely,high,{column}\nberm.place,0.5,0.7,1.1,{text}\n", BOOK, "r", "own")


def test_a_cell_beyond_all_measure_is_a_fault_of_its_line() -> None:
    with pytest.raises(BadInput, match="r line 2"):
        read(f"key,low,likely,high\nberm.place,0.5,0.7,{'9' * 200_000}\n", BOOK, "r", "own")
