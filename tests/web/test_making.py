"""Plans made as the terminal can ask for them, old drafts away, seasons played as asked, hours by amount."""

from __future__ import annotations

import html
import re

from planner.flow.forecast.climate import own_station
from planner.flow.season.plans import plan_heads
from planner.flow.season.replan import EvenIf, replan
from planner.report.season.changes import disturbance_words
from planner.store.engine import Store
from tests.web.conftest import HOST, MORNING, Browser


def test_old_drafts_go_only_when_it_is_meant(browser: Browser) -> None:
    browser.planned(how="order", note="first try")
    browser.planned(how="order")
    assert "first try" in browser.look("/plan").text
    assert browser.post("/plan/thin", keep="1", days="0").status_code == 422
    assert len(plan_heads(str(browser.db))) == 3
    browser.clock[0] = MORNING.replace(month=6)
    assert browser.post("/plan/thin", keep="1", days="0", sure="yes").status_code == 303
    assert [head.number for head in plan_heads(str(browser.db))] in ([1, 3], [3, 1])
    assert browser.post("/plan/thin", keep="0", sure="yes").status_code == 422


def test_a_plan_is_made_with_all_that_the_terminal_can_say(browser: Browser) -> None:
    number = browser.planned(
        how="afresh", seconds="0", steps="50", slack="2", on_paper="yes", even_if="told", note="for the owner"
    )
    page = browser.look(f"/plan?number={number}").text
    assert "for the owner" in page
    assert "told" in page
    for wrong in ({"steps": "5", "how": "again"}, {"fewest_calls": "yes", "how": "afresh"}, {"cores": "65"}):
        assert browser.post("/plan/make", **wrong).status_code == 422
    browser.planned(how="again", fewest_calls="yes")


def test_the_repairs_are_listed_as_in_the_terminal_and_one_is_taken(browser: Browser) -> None:
    browser.post("/plan/publish", number=browser.planned(how="order"), even_so="yes")
    browser.post("/hours/lost/add", kind="rain", first="2027-04-06", last="2027-04-07")
    before = len(plan_heads(str(browser.db)))
    page = html.unescape(browser.look("/plan/repairs").text)
    assert len(plan_heads(str(browser.db))) == before
    listed = replan(str(browser.db), MORNING, seconds=0).repairs
    assert listed
    told = [f"<strong>{disturbance_words(one.disturbs)}</strong>: {one.words}" for one in listed]
    assert re.findall(r"<li><p>(.*?)</p>", page) == told
    assert page.count('name="repair"') == len(listed)
    for number, one in enumerate(listed, start=1):
        taken = browser.planned(how="order", repair=str(number))
        with Store(str(browser.db)).reading() as book:
            assert book.plan(int(taken)).cost.total_cents == one.disturbs.cents
    for wrong in ({"repair": "9"}, {"repair": "0"}, {"repair": "x"}, {"repair": "1", "how": "afresh"}):
        refused = browser.post("/plan/make", **{"how": "order", **wrong})
        assert refused.status_code == 422
        assert "repair" in refused.text
    assert browser.post("/plan/make", how="order", repair="2", fewest_calls="yes").status_code == 422


def test_a_repair_may_leave_something_aside_and_the_plan_says_so(browser: Browser) -> None:
    browser.post("/plan/publish", number=browser.planned(how="order"), even_so="yes")
    assert browser.look("/plan/repairs").text.count('type="hidden" name="even_if"') == 0
    page = html.unescape(browser.look("/plan/repairs?even_if=locate&even_if=told").text)
    assert "As if nothing of this lacked: locate, the days that stay as told." in page
    listed = replan(str(browser.db), MORNING, seconds=0, even_if=[EvenIf.LOCATE, EvenIf.TOLD]).repairs
    told = [f"<strong>{disturbance_words(one.disturbs)}</strong>: {one.words}" for one in listed]
    assert re.findall(r"<li><p>(.*?)</p>", page) == told
    assert page.count('type="hidden" name="even_if" value="locate"') == len(listed)
    taken = browser.planned(how="order", repair="1", even_if="locate")
    with Store(str(browser.db)).reading() as book:
        assert book.plan(int(taken)).note.startswith("even if locate")
    assert browser.client.get("/plan/repairs?even_if=everything").status_code == 422


def test_the_season_is_played_as_asked_and_an_own_gauge_kept(browser: Browser) -> None:
    asked = "/plan/chance?seasons=50&station=Columbus OH&quick=yes"
    begun = browser.client.get(asked, follow_redirects=False)
    assert "Columbus" in browser.worked(begun).text
    assert browser.look("/plan/chance?seasons=5").status_code == 422
    rows = "month,wet_days\n" + "".join(f"{n},6\n" for n in range(1, 13))
    headers = {"sec-fetch-site": "same-origin", "origin": HOST}
    kept = browser.client.post(
        "/plan/chances/station",
        data={"_token": browser.token()},
        files={"file": ("gauge.csv", rows.encode())},
        headers=headers,
        follow_redirects=False,
    )
    assert kept.status_code == 303, kept.text
    found = own_station(str(browser.db))
    assert found is not None
    assert sum(found.wet_days) == 72


def test_hours_are_logged_by_amount_with_lost_time_and_looked_up(browser: Browser) -> None:
    sent = {"job": "P-2", "phase": "dig", "crew": "South", "day": "2027-04-05", "hours": "5"}
    more = {"quantity": "6", "item": "dig_machine_cy", "lost": "0.5", "lost_why": "truck was late"}
    assert browser.post("/hours/log", **sent, **more, people="1").status_code == 303
    page = browser.look("/hours?of_crew=South&first=2027-04-01").text
    assert "truck was late" in page
    assert "truck was late" not in browser.look("/hours?of_crew=North").text
    assert browser.post("/hours/log", **sent, share="50", quantity="6").status_code == 422
    assert "in crew-hours" in browser.look("/hours/week").text
