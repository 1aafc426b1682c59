"""Calendars: read back by another parser, stable names, sequences, cancellation, time zone, privacy."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from planner.domain.firm.phases import Phase
from planner.domain.office.events import Event, Whose, events, reconcile, remembered, scope_of
from planner.flow.crew_day.calendars import send_calendar
from planner.report.crew_day.calendars import calendar_file
from planner.store.engine import Store

NOW = datetime(2027, 4, 5, 6, 45)


def written(made, zone: str = "America/New_York") -> bytes:
    return calendar_file("Invented Ponds: North", made, zone, NOW)


def parsed(content: bytes) -> list[dict[str, tuple[dict[str, str], str]]]:
    """A second, small parser from RFC 5545: unfold (3.1), names and parameters, unescape (3.3.11)."""
    text = content.decode("utf-8")
    assert text.endswith("\r\n") and "\n" not in text.replace("\r\n", "")
    found: list[dict[str, tuple[dict[str, str], str]]] = []
    inside: list[str] = []
    for line in re.sub(r"\r\n[ \t]", "", text).removesuffix("\r\n").split("\r\n"):
        head, value = re.fullmatch(r'((?:[^":]|"[^"]*")+?):(.*)', line, re.S).groups()
        name, *params = re.findall(r'(?:[^";]|"[^"]*")+', head)
        if name == "BEGIN":
            inside.append(value)
            if value == "VEVENT":
                found.append({})
        elif name == "END":
            assert inside.pop() == value
        elif inside[-1] == "VEVENT":
            assert name not in found[-1], name
            plain = re.sub(r"\\(.)", lambda m: "\n" if m[1] in "nN" else m[1], value)
            found[-1][name] = (dict(p.split("=", 1) for p in params), plain)
    assert inside == []
    return found


def moment(field: tuple[dict[str, str], str]) -> datetime | date:
    params, value = field
    if params.get("VALUE") == "DATE":
        return datetime.strptime(value, "%Y%m%d").date()
    if value.endswith("Z"):
        return datetime.strptime(value, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    return datetime.strptime(value, "%Y%m%dT%H%M%S").replace(tzinfo=ZoneInfo(params["TZID"]))


def test_what_is_written_reads_back_in_another_parser(roster, plan):
    made = events(roster, plan, Whose.CREW, "North", all_day=False)
    back = parsed(written(made))
    assert len(back) == len(made) == 7
    for event, fields in zip(made, back, strict=True):
        assert fields["SUMMARY"][1] == event.title and fields["UID"][1] == event.uid
        assert fields["LOCATION"][1] == event.place and fields["DESCRIPTION"][1] == event.text
        assert moment(fields["DTSTART"]) == event.start.replace(tzinfo=ZoneInfo("America/New_York"))
        assert moment(fields["DTEND"]) == event.end.replace(tzinfo=ZoneInfo("America/New_York"))
        assert moment(fields["DTSTAMP"]) == datetime(2027, 4, 5, 10, 45, tzinfo=UTC)
        assert "DURATION" not in fields


def test_lines_are_folded_at_75_octets_and_never_inside_a_letter(roster, plan):
    # RFC 5545, 3.1: octets, not characters.
    jobs = {c: replace(j, address="Weiherstraße 7, 🐸 " * 20) for c, j in roster.jobs.items()}
    content = written(events(replace(roster, jobs=jobs), plan, Whose.CREW, "North", all_day=False))
    for line in content.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")
    assert parsed(content)[0]["LOCATION"][1].count("🐸") == 20


def test_a_line_of_eighty_octets_is_folded_and_comes_back_whole():
    # RFC 5545, 3.1: at most 75 octets, then CRLF and a space.
    event = Event("u" * 76, "t", date(2027, 4, 5), date(2027, 4, 6))
    content = written([event])
    assert b"UID:" + b"u" * 76 not in content
    assert parsed(content)[0]["UID"][1] == "u" * 76


def test_commas_semicolons_and_backslashes_are_escaped():
    # RFC 5545, 3.3.11.
    event = Event("u", "a,b;c\\d", date(2027, 4, 5), date(2027, 4, 6), text="one\ntwo")
    content = written([event]).decode()
    assert "SUMMARY:a\\,b\\;c\\\\d\r\n" in content and "DESCRIPTION:one\\ntwo\r\n" in content


def test_hostile_names_make_no_line_of_their_own(hostile, plan):
    content = written(events(hostile, plan, Whose.CREW, "North", all_day=False))
    back = parsed(content)
    assert len(back) == 7 and content.count(b"BEGIN:VEVENT\r\n") == 7
    assert "=cmd|calc" in back[0]["LOCATION"][1]


def test_all_day_ends_on_the_day_after():
    # RFC 5545, 3.6.1: DTEND is not included; 3 July 2026 as a whole day ends 4 July.
    (fields,) = parsed(written([Event("u", "t", date(2026, 7, 3), date(2026, 7, 4))]))
    assert fields["DTSTART"] == ({"VALUE": "DATE"}, "20260703") and fields["DTEND"][1] == "20260704"


def test_jobs_are_whole_days_crews_are_hours(roster, plan):
    job = events(roster, plan, Whose.JOB, "P-014", all_day=True)
    assert job[0].title == f"Pond installation, day 1 of {len(job)}: dig"
    assert (job[0].start, job[0].end) == (date(2027, 4, 5), date(2027, 4, 6))
    assert (job[-1].title.rpartition(": ")[2], job[-1].start) == ("fill", date(2027, 4, 14))
    told = "".join(e.title + e.text for e in job)
    assert "P-014" not in told and "Crew" not in told and job[0].text == roster.firm.name
    crew = events(roster, plan, Whose.CREW, "River", all_day=False)
    assert [(e.title, e.start) for e in crew] == [("P-014 liner", datetime(2027, 4, 8, 7))]
    machine = events(roster, plan, Whose.MACHINE, "excavator", all_day=False)
    assert {e.start.day for e in machine} == {5, 6, 8, 9}
    firm = events(roster, plan, Whose.FIRM, all_day=True)
    assert len(firm) == len(plan.bookings) and all("(" in e.title for e in firm)


@pytest.mark.parametrize(
    ("day", "offset_h"),
    # Energy Policy Act of 2005: second Sunday in March (14th in 2027) to first in November (7th).
    [(date(2027, 3, 12), -5), (date(2027, 3, 15), -4), (date(2027, 11, 5), -4), (date(2027, 11, 8), -5)],
)
def test_seven_in_the_morning_stays_seven_across_daylight_saving(roster, plan, day, offset_h):
    start = datetime(day.year, day.month, day.day, 7)
    booking = replace(plan.bookings[0], start=start, end=start + timedelta(hours=4))
    (event,) = events(roster, replace(plan, bookings=(booking,)), Whose.CREW, "North", all_day=False)
    content = written([event])
    (fields,) = parsed(content)
    assert fields["DTSTART"] == ({"TZID": "America/New_York"}, start.strftime("%Y%m%dT%H%M%S"))
    assert moment(fields["DTSTART"]).utcoffset() == timedelta(hours=offset_h)
    # the file's own VTIMEZONE says the same, read by the library's parser
    from icalendar import Calendar

    zone = Calendar.from_ical(content).timezones[0].to_tz()
    assert start.replace(tzinfo=zone).utcoffset() == timedelta(hours=offset_h)


def test_private_words_stay_out(roster, plan):
    for whose, name in (
        (Whose.CREW, "North"),
        (Whose.JOB, "P-014"),
        (Whose.FIRM, ""),
        (Whose.MACHINE, "excavator"),
    ):
        text = written(events(roster, plan, whose, name, all_day=False)).decode()
        assert "pays late" not in text and "gate code" not in text and "555-0100" not in text
    assert "Fern" not in written(events(roster, plan, Whose.JOB, "P-014", all_day=True)).decode()


def test_uids_survive_a_move_and_tell_nothing(roster, plan):
    before = events(roster, plan, Whose.CREW, "North", all_day=False)
    moved = replace(
        plan,
        bookings=tuple(
            replace(b, start=b.start + timedelta(days=7), end=b.end + timedelta(days=7))
            for b in plan.bookings
        ),
    )
    after = events(roster, moved, Whose.CREW, "North", all_day=False)
    assert {e.uid for e in before} == {e.uid for e in after}
    assert all(re.fullmatch(r"[0-9a-f]{12}-[0-9a-f]{24}", e.uid) for e in before)
    assert len({e.uid for e in before}) == len(before)
    other = {e.uid for e in events(roster, plan, Whose.FIRM, all_day=False)}
    assert other.isdisjoint(e.uid for e in before)


def test_sequence_rises_only_with_a_change():
    event = Event("s-1", "dig", datetime(2027, 4, 5, 7), datetime(2027, 4, 5, 15))
    today = date(2027, 4, 1)
    sent = {"s-1": remembered(event)}
    assert [e.sequence for e in reconcile([event], sent, {}, today)] == [0]
    moved = replace(event, start=datetime(2027, 4, 6, 7), end=datetime(2027, 4, 6, 15))
    (first,) = reconcile([moved], sent, {}, today)
    assert first.sequence == 1
    (second,) = reconcile([moved], {"s-1": remembered(first)}, {}, today)
    assert second.sequence == 1
    (gone,) = reconcile([], {"s-1": remembered(second)}, {"s-1": moved}, today)
    assert (gone.sequence, gone.cancelled) == (2, True)
    (still,) = reconcile([], {"s-1": remembered(gone)}, {"s-1": moved}, today)
    assert (still.sequence, still.cancelled) == (2, True)
    (back,) = reconcile([moved], {"s-1": remembered(gone)}, {}, today)
    assert (back.sequence, back.cancelled) == (3, False)


def test_work_that_is_past_is_not_cancelled():
    event = Event("s-1", "dig", datetime(2027, 4, 5, 7), datetime(2027, 4, 5, 15))
    sent, gone = {"s-1": remembered(event)}, {"s-1": event}
    assert reconcile([], sent, gone, date(2027, 4, 6)) == []
    for today in (date(2027, 4, 5), date(2027, 4, 4)):  # work of today that vanished is called off
        assert [(e.uid, e.cancelled) for e in reconcile([], sent, gone, today)] == [("s-1", True)]


def test_the_store_remembers_what_was_sent(stored, plan):
    today = date(2027, 4, 4)

    def sent(**more):
        return {e.uid: e for e in send_calendar(stored, "test", Whose.CREW, "North", today, **more).events}

    first = sent()
    assert {e.sequence for e in first.values()} == {0} and first == sent()
    with Store(stored).writing("test") as book:
        kept = [b for b in plan.bookings if b.phase is not Phase.ROCK]
        later = [
            replace(b, start=b.start + timedelta(days=14), end=b.end + timedelta(days=14))
            if b.phase is Phase.LINER
            else b
            for b in kept
        ]
        number = book.save_plan(replace(plan, number=0, published_at=None, bookings=tuple(later)))
    assert sent() == first  # a draft changes nothing
    with Store(stored).writing("test") as book:
        book.publish(number, datetime(2027, 4, 4, 12))
    second = sent()
    changed = {e.title for e in second.values() if e.sequence == 1 and not e.cancelled}
    cancelled = {e.title for e in second.values() if e.cancelled}
    assert changed == {"P-014 liner, day 1 of 2", "P-014 liner, day 2 of 2"}
    assert cancelled == {"P-014 rock, day 1 of 2", "P-014 rock, day 2 of 2"}
    assert sent() == second
    status = {f["UID"][1]: f["STATUS"][1] for f in parsed(written(list(second.values())))}
    assert sorted(status.values()).count("CANCELLED") == 2


def test_scopes_differ():
    assert len({scope_of(w, n) for w in Whose for n in ("", "a", "b")}) == 12
