"""What comes back from the phone: packing, check sum, hostile texts, and what is logged."""

import base64
import json
import zlib
from dataclasses import replace
from datetime import date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.crew_day.misses import missed_in
from planner.domain.crew_day.ready import Line, Wanted
from planner.domain.crew_day.returned import ReturnedSheet, ReturnedTask, Tick, decode_all, encode
from planner.domain.firm.phases import Phase
from planner.domain.hours.returns import read_return
from planner.errors import BadInput
from planner.flow.crew_day.sheet import crew_sheets
from planner.flow.hours.logs import undo_log
from planner.flow.hours.returns import log_returns, open_returns
from planner.store.engine import Store
from tests.report.conftest import FERN

TUESDAY = date(2027, 4, 6)

TEXT = st.text(max_size=40).filter(lambda t: t.isprintable() or True)
NUMBER = st.none() | st.floats(-1000, 1000)
WANTED = st.builds(Wanted, TEXT.filter(bool), st.just("in"), NUMBER, NUMBER, NUMBER)
ASKED = st.builds(Line, TEXT, st.just(""), st.just(False), st.none() | WANTED) | st.builds(
    Line, TEXT, TEXT, st.just(True), st.none() | WANTED
)
TASKS = st.builds(
    ReturnedTask,
    job=TEXT,
    phase=st.sampled_from(Phase),
    part=st.sampled_from([1, 2]),
    crew_h=st.none() | st.floats(0, 24),
    people=st.integers(0, 99),
    share_done=st.none() | st.integers(0, 100).map(lambda n: n / 100),
    done=st.booleans(),
    lost_h=st.floats(0, 24),
    why=TEXT,
    note=TEXT,
    ticks=st.frozensets(TEXT, max_size=5),
    values=st.dictionaries(TEXT, st.floats(-1000, 1000), max_size=4),
    asked=st.none() | st.lists(ASKED, max_size=3).map(tuple),
    passed=st.dictionaries(st.sampled_from("abc"), TEXT.filter(bool), max_size=2),
    later=st.frozensets(st.sampled_from("xyz"), max_size=2),
).flatmap(
    lambda task: st.lists(
        st.builds(Tick, st.sampled_from(sorted(task.ticks) or [""]), st.integers(0, 1439), TEXT), max_size=4
    ).map(lambda order: replace(task, order=tuple(order) if task.ticks else ()))
)
SHEETS = st.builds(
    ReturnedSheet,
    crew=TEXT,
    day=st.dates(date(2000, 1, 1), date(2100, 1, 1)),
    plan_number=st.integers(0, 10**6),
    mark=st.text("0123456789abcdef", min_size=8, max_size=8),
    checked_by=TEXT,
    tasks=st.lists(TASKS, max_size=3).map(tuple),
)


def utf8(sheet) -> bool:
    try:
        return bool(encode(sheet))
    except UnicodeEncodeError:
        return False


@settings(max_examples=60, deadline=None)
@given(SHEETS.filter(utf8))
def test_what_is_packed_comes_out_again(sheet):
    (back,) = decode_all(encode(sheet))
    assert replace(back, digest="") == sheet


@settings(max_examples=60, deadline=None)
@given(SHEETS.filter(utf8), st.data())
def test_any_changed_letter_is_refused(sheet, data):
    text = encode(sheet)
    at = data.draw(st.integers(len("DAYSHEET-"), len(text) - 1))
    other = data.draw(
        st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ234567-!0189").filter(lambda c: c != text[at])
    )
    with pytest.raises(BadInput):
        decode_all(text[:at] + other + text[at + 1 :])


@pytest.fixture
def returned(roster, plan, lists) -> ReturnedSheet:
    sheet = day_sheet(roster, plan, "North", TUESDAY, lists)
    dig = sheet.tasks[0]
    return ReturnedSheet(
        "North",
        TUESDAY,
        4,
        sheet.mark,
        "Ana",
        (
            ReturnedTask(
                "P-014",
                Phase.DIG,
                1,
                5.5,
                3,
                1.0,
                True,
                ticks=frozenset(line.key for line in dig.ready.lines),
                values={"shelf-1": 6.25, "rim-level": 0.25},
            ),
            ReturnedTask(
                "P-014",
                Phase.SET_FILTERS,
                1,
                2.0,
                3,
                0.6,
                lost_h=0.5,
                why="rain",
                note="box 2 short a lid",
                values={"skimmer-water-line": 2.5},
            ),
        ),
    )


def test_the_same_ticks_make_the_same_text_in_order_of_their_keys(returned):
    keys = [f"step-{n}" for n in range(30)]
    texts = set()
    for ticks in (keys, keys[::-1], keys[7:] + keys[:7]):
        task = replace(returned.tasks[0], ticks=frozenset(ticks))
        texts.add(encode(replace(returned, tasks=(task,))))
    (text,) = texts
    packed = text.split("-")[1]
    told = json.loads(base64.b32decode(packed + "=" * (-len(packed) % 8)))
    assert told[-1][0][10] == sorted(keys)


def test_messengers_may_wrap_fold_and_lower_the_text(returned):
    text = encode(returned)
    wrapped = "Hi, here it is:\n" + "\n".join(text[n : n + 40] for n in range(0, len(text), 40)) + "\nthanks"
    assert decode_all(wrapped.lower()) == decode_all(text)


@pytest.mark.parametrize("cut", [1, 5, 60])
def test_a_cut_text_is_refused_in_one_line(returned, cut):
    with pytest.raises(BadInput) as caught:
        decode_all(encode(returned)[:-cut])
    assert "\n" not in str(caught.value) and "again" in str(caught.value)


def forged(row) -> str:
    raw = json.dumps(row).encode()
    return f"DAYSHEET-{base64.b32encode(raw).decode().rstrip('=')}-{zlib.crc32(raw):08X}"


@pytest.mark.parametrize(
    "row",
    [
        [],
        {},
        7,
        None,
        [4, "N", "2027-04-06", 4, "aa", "", []],
        [0, "N", "2027-04-06", 4, "aa", "", []],
        [2, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1, 3, None, 0, 0, "", "", "0", {}, []]]],
        [2, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1, 3, None, 0, 0, "", "", [], {}, [["k"]]]]],
        [2, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1, 3, None, 0, 0, "", "", [], {}, ["k"] * 300]]],
        [1, "N", "2027-04-06", 4, "aa", "", [[]]],
        [1, "N", "06.04.2027", 4, "aa", "", []],
        [1, "N" * 5000, "2027-04-06", 4, "aa", "", []],
        [1, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1e9, 3, None, 0, 0, "", "", "0", {}]]],
        [1, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, float("nan"), 3, None, 0, 0, "", "", "0", {}]]],
        [1, "N", "2027-04-06", 4, "aa", "", [["J", "dance", 1, 1, 3, None, 0, 0, "", "", "0", {}]]],
        [1, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1, 3, None, 0, 0, "", "", "f" * 999, {}]]],
        [2, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1, 100, None, 0, 0, "", "", [], {}, []]]],
        [2, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1, -1, None, 0, 0, "", "", [], {}, []]]],
        [2, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 3, 1, 3, None, 0, 0, "", "", [], {}, []]]],
        [2, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 0, 1, 3, None, 0, 0, "", "", [], {}, []]]],
        [2, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1, 3, 101, 0, 0, "", "", [], {}, []]]],
        [1, "N", "2027-04-06", True, "aa", "", []],
        [3, "N", "2027-04-06", 4, "aa", "", [["J", "dig", 1, 1, 3, None, 0, 0, "", "", [], {}, []]]],
        *(
            [
                3,
                "N",
                "2027-04-06",
                4,
                "aa",
                "",
                [["J", "dig", 1, 1, 3, None, 0, 0, "", "", ["k"], {}, [], *end]],
            ]
            for end in (
                [[[1, 420]], {}],
                [[[-1, 420]], {}],
                [[[0, 1440]], {}],
                [[[0, 420, "A", "B"]], {}],
                [[[0, 420]], {"k": "x" * 400}],
                [[[0, 420]], {"k": 7}],
                [[[0, 420]], []],
                [{}, {}],
            )
        ),
    ],
)
def test_a_whole_text_with_nonsense_in_it_is_refused(row):
    with pytest.raises(BadInput):
        decode_all(forged(row))


def test_a_text_of_the_version_before_is_still_read():
    row = ["J", "dig", 1, 1, 3, None, 0, 0, "", "", ["k"], {}, ["k"]]
    ((task,),) = [sheet.tasks for sheet in decode_all(forged([2, "N", "2027-04-06", 4, "aa", "", [row]]))]
    assert (task.ticks, task.order, task.passed, task.later) == (frozenset("k"), (), {}, frozenset())


def test_the_largest_numbers_that_a_return_may_say_are_read():
    row = ["J", "dig", 2, 24, 99, 100, 0, 24, "", "", [], {}, []]
    ((task,),) = [sheet.tasks for sheet in decode_all(forged([2, "N", "2027-04-06", 4, "aa", "", [row]]))]
    assert (task.part, task.crew_h, task.people, task.share_done, task.lost_h) == (2, 24, 99, 1.0, 24)


def test_a_very_long_text_is_refused():
    with pytest.raises(BadInput):
        decode_all("A" * 500_000)


def read(returned, roster, plan, lists, **more):
    sheet = day_sheet(roster, plan, returned.crew, returned.day, lists)
    more = {"current": plan, "today": TUESDAY, **more}
    return read_return(returned, sheet, roster, plan, more.pop("current"), more.pop("today"), **more)


def test_logs_carry_hours_share_delay_note_and_what_was_missed(returned, roster, plan, lists):
    reading = read(returned, roster, plan, lists)
    dig, filters = reading.logs
    assert (dig.crew_h, dig.done, dig.share_done, dig.people) == (5.5, True, 1.0, 3)
    assert (filters.crew_h, filters.share_done, filters.lost_h, filters.lost_why) == (2.0, 0.6, 0.5, "rain")
    assert filters.note.startswith("box 2 short a lid\nMISSED hold point not signed: Skimmer level both ways")
    assert missed_in(filters)[1:] == [
        "water line below the top of the opening 2 1/2 in, wanted 3/4 to 1 1/2 in"
    ]
    assert missed_in(dig) == [] and reading.questions == ()
    assert "SIGNED rim-level" in dig.note and "SIGNED" not in filters.note


def test_a_finished_phase_with_an_unsigned_hold_is_missed(returned, roster, plan, lists):
    dig = replace(returned.tasks[0], ticks=frozenset())
    reading = read(replace(returned, tasks=(dig,)), roster, plan, lists)
    assert [m.key for m in reading.misses] == ["rim-level"]
    assert "hold point not signed" in reading.misses[0].text


def test_the_band_ends_belong_to_it(returned, roster, plan, lists):
    for value, missed in ((5.0, 0), (7.0, 0), (4.99, 1), (7.01, 1)):
        task = replace(returned.tasks[0], values={"shelf-1": value, "rim-level": 0.25})
        assert len(read(replace(returned, tasks=(task,)), roster, plan, lists).misses) == missed


def test_parts_of_the_fill_count_as_shares_of_the_whole(roster, plan, lists):
    # Two parts of equal share: water open and done is half of the phase; the edge at 50 % is three quarters.
    def log(day, part, **more):
        sheet = day_sheet(roster, plan, "South", date(2027, 4, day), lists)
        task = ReturnedTask("P-014", Phase.FILL, part, 4.0, 2, **more)
        back = ReturnedSheet("South", date(2027, 4, day), 4, sheet.mark, "", (task,))
        return read(back, roster, plan, lists, today=date(2027, 4, 14)).logs[0]

    water = log(13, 1, done=True)
    assert (water.share_done, water.done) == (0.5, False)
    assert log(14, 2, share_done=0.5).share_done == 0.75
    edge = log(14, 2, done=True)
    assert (edge.share_done, edge.done) == (1.0, True)


def test_odd_returns_are_questioned(returned, roster, plan, lists):
    def asked(sheet=returned, **more):
        return " ".join(read(sheet, roster, plan, lists, **more).questions)

    assert asked(current=replace(plan, number=9)) == ""  # the same sheet by another plan is the same sheet
    assert "plan 9 counts" in asked(replace(returned, mark="00000000"), current=replace(plan, number=9))
    assert "still to come" in asked(today=date(2027, 4, 5))
    assert "days ago" in asked(today=date(2027, 5, 5))
    assert "not of South" in asked(expected_crew="South")
    assert "not of Wed Apr 7" in asked(expected_day=date(2027, 4, 7))
    assert asked(replace(returned, mark="00000000")) == ""
    old = tuple(replace(task, asked=None) for task in returned.tasks)
    assert "of an older planner" in asked(replace(returned, mark="00000000", tasks=old))
    long = replace(returned, tasks=(replace(returned.tasks[0], crew_h=14.0),))
    assert "14 hours in one day" in asked(long)
    elsewhere = replace(returned, tasks=(replace(returned.tasks[0], phase=Phase.ROCK),))
    assert "no P-014 rock" in asked(elsewhere)
    assert "no hours" in asked(replace(returned, tasks=()))
    (log, *_) = read(returned, roster, plan, lists).logs
    assert "already, from office" in asked(logged=[replace(log, source="office")])
    assert asked(expected_crew="north") == ""
    wrong = read(returned, roster, plan, lists, expected_crew="South", expected_day=date(2027, 4, 7))
    assert [q.partition(", not")[0] for q in wrong.questions[:2]] == [
        "the return is of crew North",
        "the return is of Tue Apr 6",
    ]
    late = read(returned, roster, plan, lists, expected_day=date(2027, 4, 7), today=date(2027, 5, 20))
    assert late.questions[0].startswith("the return is of Tue Apr 6")


def test_a_return_is_judged_by_the_sheet_that_the_crew_saw(stored):
    # The sheet asked for a floor 21 in below the water line; the office draws it 27 while the crew digs.
    sheet = crew_sheets(stored, "North", [TUESDAY])[0]
    lines = sheet.tasks[0].ready.lines
    ticks = frozenset(line.key for line in lines)

    def back(floor_in: float) -> str:
        values = {"floor": floor_in, "rim-level": 0.25}
        task = ReturnedTask("P-014", Phase.DIG, 1, 5.5, 3, 1.0, ticks=ticks, values=values, asked=lines)
        return encode(ReturnedSheet("North", TUESDAY, sheet.plan_number, sheet.mark, "Ana", (task,)))

    with Store(stored).writing("office") as book:
        book.save_design("P-014", FERN.replace("down_in = 7", "down_in = 13"))
    assert crew_sheets(stored, "North", [TUESDAY])[0].mark != sheet.mark
    (right,), (wrong,) = (open_returns(stored, back(v), TUESDAY) for v in (21.0, 27.0))
    assert right.reading.misses == () and right.reading.questions == () and right.reading.changed
    (miss,) = wrong.reading.misses
    assert miss.text == "depth below the water line 27 in, wanted 20 to 23 in"


def test_an_unrelated_change_and_a_new_plan_ask_nothing_of_a_return(stored):
    text = encode(fresh(stored))
    with Store(stored).writing("office") as book:
        book.save_job(replace(book.job("P-014"), notes="pays on time now"))
        again = book.save_plan(replace(book.plan(), number=0, published_at=None))
        book.publish(again, datetime(2027, 4, 5, 17))
    (arrival,) = open_returns(stored, text, TUESDAY)
    assert arrival.reading.questions == () and not arrival.reading.changed


def test_hours_taken_back_may_be_sent_again(stored):
    text = encode(fresh(stored))
    log_returns(stored, "test", open_returns(stored, text, TUESDAY))
    undo_log(stored, None, who="office")
    (arrival,) = open_returns(stored, text, TUESDAY)
    assert not arrival.again and log_returns(stored, "test", [arrival]) == 1
    with Store(stored).reading() as book:
        assert [log.crew_h for log in book.logs()] == [5.5]


def test_another_sheet_of_the_day_takes_the_place_of_the_first_and_fewer_hours_are_asked_about(stored):
    first = fresh(stored)
    log_returns(stored, "test", open_returns(stored, encode(first), TUESDAY))
    for crew_h, asked in ((7.0, 0), (2.0, 1)):
        later = replace(first, mark="0badcafe", tasks=(replace(first.tasks[0], crew_h=crew_h),))
        (arrival,) = open_returns(stored, encode(later), TUESDAY)
        assert len(arrival.reading.questions) == asked
        assert [log.crew_h for log in arrival.reading.replaced] == [5.5]


def test_a_page_of_the_older_planner_still_brings_its_hours(stored):
    row = ["P-014", "dig", 1, 5.5, 3, 90, 0, 0, "", "", "3", {"shelf-1": 30}]
    (arrival,) = open_returns(stored, forged([1, "North", "2027-04-06", 1, "aa", "Ana", [row]]), TUESDAY)
    assert [log.crew_h for log in arrival.reading.logs] == [5.5] and arrival.reading.misses == ()
    assert "of an older planner" in arrival.reading.questions[0]


def test_an_unknown_job_is_refused(returned, roster, plan, lists):
    with pytest.raises(BadInput):
        read(replace(returned, tasks=(replace(returned.tasks[0], job="P-999"),)), roster, plan, lists)


def fresh(stored, **changes) -> ReturnedSheet:
    """A return of the sheet that the database hands out."""
    sheet = crew_sheets(stored, "North", [TUESDAY])[0]
    task = ReturnedTask("P-014", Phase.DIG, 1, 5.5, 3, 0.9, values={"shelf-1": 8.0})
    return replace(ReturnedSheet("North", TUESDAY, sheet.plan_number, sheet.mark, "Ana", (task,)), **changes)


def test_the_same_return_is_logged_once(stored):
    text = encode(fresh(stored))
    assert log_returns(stored, "test", open_returns(stored, text, TUESDAY)) == 1
    (again,) = open_returns(stored, text, TUESDAY)
    assert again.again and log_returns(stored, "test", [again]) == 0
    with Store(stored).reading() as book:
        assert [log.crew_h for log in book.logs()] == [5.5]


def test_a_corrected_return_takes_the_place_of_the_first(stored):
    first = fresh(stored)
    log_returns(stored, "test", open_returns(stored, encode(first), TUESDAY))
    better = replace(first, tasks=(replace(first.tasks[0], crew_h=6.0),))
    (arrival,) = open_returns(stored, encode(better), TUESDAY)
    assert not arrival.again and arrival.reading.questions == ()
    assert [log.crew_h for log in arrival.reading.replaced] == [5.5]
    log_returns(stored, "test", [arrival])
    with Store(stored).reading() as book:
        assert [log.crew_h for log in book.logs()] == [6.0]


def test_a_return_of_another_database_is_refused(stored):
    for wrong in (fresh(stored, crew="Elsewhere"), fresh(stored, plan_number=77)):
        with pytest.raises(BadInput):
            open_returns(stored, encode(wrong), TUESDAY)


def test_several_returns_in_one_file(stored):
    one = fresh(stored)
    sheet = crew_sheets(stored, "South", [TUESDAY])[0]
    task = ReturnedTask("P-015", Phase.DIG, 1, 8.0, 2, 0.4)
    two = ReturnedSheet("South", TUESDAY, sheet.plan_number, sheet.mark, "Bo", (task,))
    arrivals = open_returns(stored, encode(one) + "\n\nand\n" + encode(two), TUESDAY)
    assert [a.reading.sheet.crew for a in arrivals] == ["North", "South"]
    assert log_returns(stored, "test", arrivals) == 2
