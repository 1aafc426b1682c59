"""Days as they are typed and shown: against python-dateutil, and against what an office means."""

from __future__ import annotations

from contextvars import copy_context
from datetime import date, datetime

import pytest
from dateutil import parser
from hypothesis import given
from hypothesis import strategies as st

from planner.domain import dates
from planner.domain.dates import DateOrder, read_day
from planner.domain.firm import entry
from planner.errors import BadInput

MAY_4 = date(2027, 5, 4)
#: A Wednesday.
TODAY = date(2027, 4, 28)
DAYS = st.dates(dates.FIRST_DAY, dates.LAST_DAY)


def written(order: DateOrder, read: object, *args: object, **more: object) -> object:
    """What a function answers where the firm writes its dates so; other tests keep their order."""

    def run() -> object:
        dates.use(order)
        assert callable(read)
        return read(*args, **more)

    return copy_context().run(run)


@pytest.mark.parametrize(
    "text",
    [
        "2027-05-04",
        "2027/5/4",
        "5/4/2027",
        "05/04/2027",
        "5/4/27",
        "5-4-2027",
        "May 4 2027",
        "May 4, 2027",
        "may 4th, 2027",
        "4 May 2027",
        "4 May, 2027",
        "4-May-27",
        "04-May-2027",
        "Tue May 4, 2027",
        "Tuesday, May 4, 2027",
        "tue 2027-05-04",
        "5/4/2027 0:00",
        "5/4/2027 12:00:00 AM",
        "2027-05-04 00:00:00",
        "2027-05-04T00:00:00",
        "  5/4/2027 ",
    ],
)
def test_every_way_an_office_writes_a_day(text: str) -> None:
    # python-dateutil reads the same, month first, as is its rule
    assert read_day("promised", text) == parser.parse(text.strip()).date() == MAY_4


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("today", TODAY),
        ("Tomorrow", date(2027, 4, 29)),
        ("yesterday", date(2027, 4, 27)),
        ("fri", date(2027, 4, 30)),
        ("mon", date(2027, 5, 3)),
        ("Monday", date(2027, 5, 3)),
        ("this fri", date(2027, 4, 30)),
        ("next fri", date(2027, 5, 7)),
        ("next friday", date(2027, 5, 7)),
        ("next wed", date(2027, 5, 5)),
        ("last fri", date(2027, 4, 23)),
        ("last friday", date(2027, 4, 23)),
        ("May 4", MAY_4),
        ("4 May", MAY_4),
        ("4-May", MAY_4),
        ("Tue May 4", MAY_4),
        ("5/4", MAY_4),
        ("Sept 3", date(2027, 9, 3)),
        ("jan 5", date(2027, 1, 5)),
    ],
)
def test_what_is_said_is_counted_from_today(text: str, meant: date) -> None:
    assert read_day("day", text, TODAY) == meant
    with pytest.raises(BadInput):
        read_day("day", text)  # a file has no today


def test_a_logged_weekday_has_been() -> None:
    assert read_day("--day", "mon", TODAY, back=True) == date(2027, 4, 26)


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("wed", ("today for Wed Apr 28", "5/5/2027 for Wed May 5")),
        ("Oct 30", ("10/30/2026 for Fri Oct 30, 2026", "10/30/2027 for Sat Oct 30, 2027")),
        ("4.5.2027", ("4/5/2027 for Mon Apr 5, 2027", "5/4/2027 for Tue May 4, 2027")),
    ],
)
def test_what_may_be_two_days_is_refused_with_both(text: str, readings: tuple[str, str]) -> None:
    with pytest.raises(BadInput) as caught:
        read_day("day", text, TODAY)
    assert all(reading in caught.value.fix for reading in readings), caught.value.fix


def test_figures_are_read_in_the_firms_order_and_never_guessed() -> None:
    assert written(DateOrder.DAY_FIRST, read_day, "day", "4/5/2027") == MAY_4
    assert written(DateOrder.DAY_FIRST, read_day, "day", "4.5.2027") == MAY_4
    with pytest.raises(BadInput, match="write 2027-04-05 for 5 Apr 2027 or 2027-05-04 for 4 May 2027"):
        written(DateOrder.YEAR_FIRST, read_day, "day", "4/5/2027")
    with pytest.raises(BadInput, match="typed month first here: write 5/14/2027 for Fri May 14, 2027"):
        read_day("day", "14/5/2027")
    with pytest.raises(BadInput, match="typed day first here: write 14/5/2027 for Fri 14 May 2027"):
        written(DateOrder.DAY_FIRST, read_day, "day", "5/14/2027")


@pytest.mark.parametrize(
    "text", ["2/30/2027", "Feb 30, 2027", "46511", "5/4/20277", "someday", "", "ma 4 2027"]
)
def test_what_is_no_day_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(BadInput, match="write a day like 5/14/2027"):
        read_day("day", text)


def test_a_weekday_that_does_not_fit_its_date_is_a_slip() -> None:
    with pytest.raises(BadInput, match="Tue May 4, 2027 is no Monday"):
        read_day("day", "Mon May 4, 2027")


@given(day=DAYS, order=st.sampled_from(DateOrder))
def test_what_is_shown_is_read_back(day: date, order: DateOrder) -> None:
    assert written(order, lambda: read_day("day", dates.figures(day))) == day
    assert written(order, lambda: read_day("day", dates.long_day(day))) == day
    if 2020 < day.year < 2099:
        assert written(order, lambda: read_day("day", dates.day_words(day), day)) == day


@given(day=DAYS)
def test_figures_mean_the_same_to_another_reader(day: date) -> None:
    assert parser.parse(dates.figures(day)).date() == day
    assert parser.parse(str(written(DateOrder.DAY_FIRST, dates.figures, day)), dayfirst=True).date() == day


def test_how_days_look() -> None:
    looks = {
        order: written(order, lambda: (dates.day_words(MAY_4), dates.long_day(MAY_4))) for order in DateOrder
    }
    assert looks == {
        DateOrder.MONTH_FIRST: ("Tue May 4", "Tue May 4, 2027"),
        DateOrder.DAY_FIRST: ("Tue 4 May", "Tue 4 May 2027"),
        DateOrder.YEAR_FIRST: ("Tue 2027-05-04", "Tue 2027-05-04"),
    }


@pytest.mark.parametrize(
    "text", ["2027-05-04T07:00", "5/4/2027 7:00", "May 4, 2027 07:00", "Tue May 4 2027 7:00:00"]
)
def test_a_moment_is_a_day_and_a_time(text: str) -> None:
    assert entry.moment("--start", text) == datetime(2027, 5, 4, 7)
    assert entry.moment("--start", "tomorrow 7:00", date(2027, 5, 3)) == datetime(2027, 5, 4, 7)
