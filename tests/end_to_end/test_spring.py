"""A whole spring through today, board, sheet, office, deliveries, price and the browser, four days of it."""

from __future__ import annotations

import re
from collections import defaultdict
from html import unescape
from pathlib import Path

import pytest

from tests.agreement.desk import Desk
from tests.end_to_end.spring import OTHERS, PONDS, RAINY, VISITS, WHO, WIRED, evening, next_morning, spring


@pytest.fixture(scope="module")
def start(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    folder = tmp_path_factory.mktemp("spring") / "firm"
    folder.mkdir()
    return spring(folder)


@pytest.fixture
def desk(start: Desk, tmp_path: Path) -> Desk:
    return start.copied("spring", tmp_path / "firm", start.now)


def text_of(page: str) -> str:
    body = re.sub(r"(?s)<(script|style).*?</\1>", " ", page)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


def test_every_pond_is_planned_and_every_electrician_is_asked(desk: Desk) -> None:
    assert desk.planned == {*PONDS, *VISITS}
    asked = {i["job"] for i in desk.data("office", "list", "--all") if i["kind"] == "electrician"}
    assert asked == set(WIRED)


def test_one_truck_brings_two_excavators_on_different_days(desk: Desk) -> None:
    tows = defaultdict(set)
    for week in desk.weeks:
        for stint in desk.data("board", "--week", week)["stints"]:
            if stint["towed"]:
                tows[stint["day"]].add((stint["crew"], stint["job"], *stint["towed"]))
    assert all(len(loads) == 1 for loads in tows.values())
    assert {job for loads in tows.values() for _, job, _ in loads} == set(PONDS), (
        "each pond is dug by machine"
    )
    day, ((crew, job, words),) = next(iter(sorted((d, tuple(loads)) for d, loads in tows.items())))
    assert words.endswith("behind the dump truck")
    sheet = desk.text("sheet", crew, day)
    assert "behind the dump truck (9,800 lb on its trailer)" in sheet
    assert "tongue 980 lb to 1,470 lb" in sheet
    assert "Backing: one spotter" in text_of(desk.page("sheet", crew, day))
    assert f"Towed: {words}" in desk.text("calendar", "--crew", crew)
    desk("truck", "shop", "dump1", day, "--why", "brakes")
    gone = "no truck for the mini excavator: dump truck in the shop"
    stopped = [s for s in desk.data("board", "--week", day)["stints"] if s["day"] == day and s["job"] == job]
    assert gone in [s["hindrance"] for s in stopped]
    assert gone in " ".join(desk.text("today").split())
    desk("replan", "--quick")
    assert day not in {s["day"] for s in desk.data("board", "--draft")["stints"] if s["towed"]}


def test_three_other_trades_come_and_the_crane_meets_its_rock(desk: Desk) -> None:
    """The rock that costs less than a crane's coming for nothing begins on the crane's day."""
    told = {(i["job"], i["kind"]): i["what"] for i in desk.data("office", "list", "--all")}
    assert {(job, trade) for job, trade, _ in OTHERS} <= set(told)
    assert "expected Tue Apr 20, morning, rock planned Tue Apr 20" in told["S04", "crane"]
    assert "dig planned Wed Apr 14" in told["S03", "hauler"]


def test_screens_and_pages_tell_the_same_weather(desk: Desk) -> None:
    line = "rain may take the day, 90 % likely"
    assert f"Wed Apr 7: {line}" in desk.text("today")
    assert line in text_of(desk.web("/"))
    assert "Wed Apr 7 may be lost to rain, 90 % likely" in desk.text("office", "list")
    assert "Wed Apr 7 may be lost to rain, 90 % likely" in text_of(desk.web("/office"))
    for crew in ("Red", "Blue"):
        assert "Rain may take the day, 90 % likely" in desk.text("sheet", crew, RAINY)
        assert "Rain may take the day" in text_of(desk.page("sheet", crew, RAINY))


def test_deliveries_are_the_same_on_screen_in_the_browser_and_on_the_sheets(desk: Desk) -> None:
    found = desk.data("deliveries", "list", "--days", 21)["deliveries"]
    assert found and not any(d["day"] < "2027-04-05" for d in found)
    page = text_of(desk.web("/office/deliveries"))
    for one in found:
        assert one["words"] in page
    crews = defaultdict(set)
    for one in found:
        for job in one["jobs"]:
            if one["to"] == "site" and one["received_by"]:
                crews[one["received_by"].split(" and ")[0], one["day"]].add((job["job"], one["words"]))
    for (crew, day), jobs in sorted(crews.items())[:4]:
        arrives = desk.data("sheet", crew, day)["arrives"]
        assert {
            (code, words) for code, words in jobs if any(a.startswith(f"{code}: {words}") for a in arrives)
        } == jobs


def test_four_days_with_rain_and_a_time_clock(desk: Desk) -> None:
    """Mon, Tue worked by the clock; Wednesday is called off and planned anew; Thursday goes on."""
    for _ in range(2):
        file = evening(desk)
        planned = sum(s["crew_h"] for s in desk.data("board")["stints"] if s["day"] == f"{desk.now:%Y-%m-%d}")
        told = desk("log", "clock", file, "--yes", "--accept", *WHO)
        desk("log", "clock", file, "--yes", "--accept")
        logged = [e for e in desk.data("log", "list") if e["day"] == f"{desk.now:%Y-%m-%d}"]
        assert sum(e["crew_h"] for e in logged) == pytest.approx(planned, rel=0.15)
        assert "3 people" in told and "2 people" in told
        next_morning(desk)
    assert desk.now.date().isoformat() == RAINY
    assert all(row["not_reported"] == [] for row in desk.data("hours", "--week")["crews"])
    desk("lost", "rain", RAINY)
    desk("replan", "--quick")
    desk("plan", "publish")
    assert not [s for s in desk.data("board")["stints"] if s["day"] == RAINY]
    assert "rain may take the day" not in desk.text("today")
    next_morning(desk)
    stints = [s for s in desk.data("board")["stints"] if s["day"] == "2027-04-08"]
    assert stints
    for crew in {s["crew"] for s in stints}:
        hours = sum(s["crew_h"] for s in stints if s["crew"] == crew)
        assert desk.data("sheet", crew)["crew_h"] == pytest.approx(hours, abs=0.01)
    frost = [i for i in desk.data("office", "list", "--all") if i["kind"] == "frost"]
    spoilt = {s["job"] for s in stints if s["phase"] in ("rock", "plumbing", "fill")}
    assert {i["job"] for i in frost} == spoilt


def test_the_price_of_a_pond_is_one_on_screen_and_in_the_browser(desk: Desk) -> None:
    asked = desk.data("price", "S05")["asked_usd"]
    assert f"${asked:,.0f}" in desk.text("price", "S05")
    assert f"${asked:,.0f}" in text_of(desk.web("/jobs/S05/asked"))
    assert f"${asked:,.0f}" in text_of(desk.web("/jobs/S05/proposal?even-so=yes"))
    assert "electrician 1" in desk.text("price", "S05")
