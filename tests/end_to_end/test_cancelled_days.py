"""What is cancelled leaves calendars: STATUS:CANCELLED under a raised SEQUENCE, the same UID.

RFC 5545, 3.8.1.11 (status) and 3.8.7.4 (sequence); RFC 5546, 2.1.4: a message with a higher sequence of the
same UID takes the place of what a calendar holds.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from icalendar import Calendar

from planner.cli.main import main
from tests.report.crew_day.test_calendars import parsed

#: SUMMARY -> (UID, SEQUENCE, STATUS)
Sent = dict[str, tuple[str, int, str]]


@pytest.fixture
def season(new_season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    """A published visit of 12 April 2027 or later for one crew, with a hauler on the 14th."""
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.setenv("COLUMNS", "300")
    typed(capsys, "crew", "add", "Red")
    words = ("--client", "Hale", "--hours", "3", "--from", "2027-04-12", "--promised", "2027-04-30")
    typed(capsys, "visit", "add", "V1", "call-back", *words)
    typed(capsys, "job", "gate", "V1", "hauler", "2027-04-14", "--phase", "visit")
    typed(capsys, "plan", "make", "--seconds", "0")
    typed(capsys, "plan", "publish", "1")
    return new_season


def typed(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(list(words)) == 0, (words, capsys.readouterr())
    return capsys.readouterr().out


def calendar(capsys: pytest.CaptureFixture[str], tmp: Path, *whose: str) -> Sent:
    """The calendar as two parsers read it: the library, and a small one of our own from the RFC."""
    out = tmp / "c.ics"
    typed(capsys, "calendar", *whose, "--out", str(out))
    content = out.read_bytes()
    events = Calendar.from_ical(content).walk("VEVENT")
    found = {str(e["SUMMARY"]): (str(e["UID"]), int(e["SEQUENCE"]), str(e["STATUS"])) for e in events}
    again = {f["SUMMARY"][1]: (f["UID"][1], int(f["SEQUENCE"][1]), f["STATUS"][1]) for f in parsed(content)}
    assert again == found and len(events) == len(found)
    return found


@pytest.mark.parametrize("whose", [(), ("--crew", "Red"), ("--job", "V1")], ids=["firm", "crew", "job"])
def test_a_cancelled_visit_and_its_appointment_are_sent_as_cancelled(
    season: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], whose: tuple[str, ...]
) -> None:
    before = calendar(capsys, tmp_path, *whose)
    assert {(sequence, status) for _, sequence, status in before.values()} == {(0, "CONFIRMED")}
    assert len(before) == 2
    typed(capsys, "job", "change", "V1", "--status", "cancelled", "--even-so")
    after = calendar(capsys, tmp_path, *whose)
    assert after == {title: (uid, 1, "CANCELLED") for title, (uid, _, _) in before.items()}
    assert calendar(capsys, tmp_path, *whose) == after, "sent again it is the same message"
    typed(capsys, "job", "change", "V1", "--status", "sold")
    back = calendar(capsys, tmp_path, *whose)
    assert back == {title: (uid, 2, "CONFIRMED") for title, (uid, _, _) in before.items()}


def test_an_appointment_that_is_dropped_leaves_the_calendar_alone(
    season: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = calendar(capsys, tmp_path)
    typed(capsys, "job", "gate", "V1", "hauler", "--drop")
    after = calendar(capsys, tmp_path)
    status = {title: after[title][1:] for title in before}
    assert status["V1 hauler comes"] == (1, "CANCELLED")
    assert {status[title] for title in before if title != "V1 hauler comes"} == {(0, "CONFIRMED")}


def test_a_rule_that_is_taken_back_leaves_the_clients_calendar(
    season: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(capsys, "visit", "repeat", "V1", "FREQ=YEARLY")
    again = "Pond visit about this day: call-back"
    uid, sequence, _ = calendar(capsys, tmp_path, "--job", "V1")[again]
    typed(capsys, "visit", "repeat", "V1", "none")
    assert calendar(capsys, tmp_path, "--job", "V1")[again] == (uid, sequence + 1, "CANCELLED")


def test_the_past_is_left_as_it_was(
    season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = calendar(capsys, tmp_path)
    typed(capsys, "job", "change", "V1", "--status", "cancelled", "--even-so")
    monkeypatch.setenv("PLANNER_NOW", f"{date(2027, 5, 3)}T06:45")
    after = calendar(capsys, tmp_path)
    assert after == {title: told for title, told in before.items() if title.startswith("V1 visit")}
