"""The rate book as a table: out, changed, back in, and every fault at once."""

import pytest

from planner.domain.rate_sheet import COLUMNS, read, written
from planner.errors import BadInput, BadInputs
from tests.unit.ponds import BOOK


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
