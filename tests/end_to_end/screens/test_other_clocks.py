"""The firm's clock and nobody else's: another zone's computer, changes of clocks, 29 February, New Year."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from planner.cli.main import main
from tests.conftest import SKILLS, WORK

Told = Callable[..., str]
ZONES = ("UTC", "Asia/Tokyo", "Pacific/Honolulu", "America/New_York")


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Sets this computer's zone; it is back as it was afterwards."""

    def move(zone: str) -> None:
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield move
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def told(new_season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Told:
    """Runs a command that succeeds, at a moment; what it prints."""
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_USER", "ada")
    monkeypatch.chdir(new_season.parent)

    def run(line: str, *words: str, now: str | None = None) -> str:
        if now is None:
            monkeypatch.delenv("PLANNER_NOW", raising=False)
        else:
            monkeypatch.setenv("PLANNER_NOW", now)
        capsys.readouterr()
        code = main([*line.split(), *words])
        caught = capsys.readouterr()
        assert code == 0, (line, words, caught.err)
        return caught.out

    return run


def _firm(told: Told, now: str, gate: str, last: str = "2028-11-30") -> None:
    """A firm that works every day of the week, and one job behind a gate."""
    told("firm set --state OH --time-zone America/New_York --weekdays mon-sun", now=now)
    told("firm set", "--season-first", now[:10], "--season-last", last, now=now)
    told("crew add North --lead Ada --skills", SKILLS, now=now)
    told("machine add excavator excavator --units 1", now=now)
    told("job add P-1 Marsh", *WORK, now=now)
    told("job gate P-1 deposit", gate, now=now)
    told("job gate P-1", "utility locate", now[:10], "--met", now=now)


@pytest.mark.parametrize(
    ("now", "gate"),
    [
        ("2027-03-12T06:45", "2027-03-14"),  # clocks go forward at 2:00 (15 U.S.C. 260a)
        ("2027-11-05T06:45", "2027-11-07"),  # and back
        ("2028-02-27T06:45", "2028-02-29"),
        ("2027-12-30T06:45", "2028-01-02"),
    ],
)
def test_a_gate_opens_at_the_firms_midnight(
    told: Told, clock: Callable[[str], None], now: str, gate: str
) -> None:
    """Work starts with the first shift of the gate's own day, never on the day before, in whatever zone."""
    seen = set()
    for zone in ZONES:
        clock(zone)
        if not seen:
            _firm(told, now, gate)
        told("plan make --steps 0", now=now)
        plan = json.loads(told("plan show --draft --json", now=now))["data"]
        starts = sorted(str(b["start"]) for b in _bookings(plan))
        seen.add(starts[0][:16])
        told("plan publish", now=now)
    assert len(seen) == 1
    first = datetime.fromisoformat(seen.pop())
    assert first.date() == date.fromisoformat(gate) and first.hour == 7


def _bookings(value: object) -> list[dict[str, object]]:
    """Every booking in an answer, wherever it stands."""
    if isinstance(value, list):
        return [b for part in value for b in _bookings(part)]
    if isinstance(value, dict):
        if "start" in value and "phase" in value:
            return [value]
        return [b for part in value.values() for b in _bookings(part)]
    return []


def test_every_screen_is_the_same_on_a_computer_of_another_zone(
    told: Told, clock: Callable[[str], None]
) -> None:
    now = "2027-03-13T23:50"
    clock("UTC")
    _firm(told, now, "2027-03-14")
    told("plan make --steps 0", now=now)
    told("plan publish", now=now)
    screens = ("today", "board", "sheet North tomorrow", "office list", "season", "job show P-1", "plan show")
    pages = {zone: _pages(told, clock, zone, screens, now) for zone in ZONES}
    assert all(pages[zone] == pages["UTC"] for zone in ZONES)


def _pages(
    told: Told, clock: Callable[[str], None], zone: str, screens: tuple[str, ...], now: str
) -> list[object]:
    clock(zone)
    out = f"{zone.replace('/', '-')}.ics"
    told("calendar --crew North --out", out, now=now)
    events = Calendar.from_ical(Path(out).read_bytes()).walk("VEVENT")
    stamps = [(e["DTSTART"].dt, e["DTEND"].dt, e["DTSTAMP"].dt) for e in events]
    assert stamps and all(str(start.tzinfo) == "America/New_York" for start, _, _ in stamps)
    local = ZoneInfo("America/New_York")
    assert all(stamp == datetime(2027, 3, 13, 23, 50, tzinfo=local).astimezone(UTC) for _, _, stamp in stamps)
    return [[told(line, now=now) for line in screens], stamps]


@pytest.mark.parametrize("zone", ZONES)
def test_now_is_the_firms_now(told: Told, clock: Callable[[str], None], zone: str) -> None:
    """Without PLANNER_NOW: what is stamped, and which day "today" is, follow the firm's zone."""
    clock(zone)
    for firm_zone in ("America/New_York", "Pacific/Kiritimati", "Pacific/Pago_Pago"):
        told("firm set --time-zone", firm_zone)
        told("job add", f"P-{firm_zone[-4:]}", "Marsh")
        change = json.loads(told("history list --limit 1 --json"))["data"][0]
        apart = datetime.now(ZoneInfo(firm_zone)).replace(tzinfo=None) - datetime.fromisoformat(change["at"])
        assert abs(apart) < timedelta(minutes=5), firm_zone
        before = datetime.now(ZoneInfo(firm_zone)).date()
        shown = told("today --json")
        after = datetime.now(ZoneInfo(firm_zone)).date()
        assert any(f'"{day}"' in shown for day in (before, after)), (firm_zone, shown)


def test_a_computer_in_another_zone_is_told(told: Told, clock: Callable[[str], None]) -> None:
    told("firm set --time-zone Asia/Tokyo")
    clock("Asia/Tokyo")
    assert "this computer's" not in told("db check")
    clock("Asia/Kathmandu")  # 5:45 h ahead of UTC, Tokyo 9 h, neither with a change of clocks
    assert "the firm's clock (Asia/Tokyo) is +3.25 h from this computer's" in " ".join(
        told("db check").split()
    )
