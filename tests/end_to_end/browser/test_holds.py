"""A hold point holds: on the phone nothing goes on and nothing is sent before it is answered."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.crew_day.misses import missed_in
from planner.domain.crew_day.returned import decode_all
from planner.domain.firm.phases import Phase
from planner.flow.crew_day.sheet import crew_sheets
from planner.flow.hours.returns import log_returns, open_returns
from planner.report.pages import sheet_page
from planner.store.engine import Store

pytestmark = pytest.mark.browser
MONDAY, TUESDAY = date(2027, 4, 5), date(2027, 4, 6)


@pytest.fixture
def page(opened, roster, plan, lists):
    return opened(sheet_page([day_sheet(roster, plan, "North", TUESDAY, lists)]))


def said(page) -> str:
    page.locator('[data-do="make"]').click()
    return page.locator("[data-said]").inner_text()


def answer(page, key: str, how: str, reason: str = "") -> None:
    page.locator(f'[data-answer="{key}"]').select_option(how)
    if reason:
        page.locator(f'[data-reason="{key}"]').fill(reason)


def test_an_empty_day_is_not_ready(page):
    assert "Not ready" in said(page) and "P-014 dig: Shoot the rim" in said(page)
    assert page.locator("[data-out]").input_value() == "" and page.locator("[data-codes] svg").count() == 0
    answer(page, "rim-level", "over")
    assert "Not ready" in said(page), "passed over without a reason"
    answer(page, "rim-level", "later")
    assert "P-014 set filters: Skimmer" in said(page)
    page.locator('.task >> nth=1 >> [data-part-of="none"]').click()
    assert said(page).startswith("Ready to send.")


def test_the_next_step_opens_only_behind_an_answer(page):
    line, behind = page.locator('[data-tick="skimmer-level"]'), page.locator('[data-tick="skimmer-shelf"]')
    value = page.locator('[data-value="skimmer-level"]')
    assert behind.is_disabled() and page.locator('[data-value="skimmer-shelf"]').is_disabled()
    line.check()
    assert page.locator('[data-tick="skimmer-water-line"]').is_disabled(), "ticked without its number"
    value.fill("1")
    assert page.locator('[data-tick="skimmer-water-line"]').is_disabled(), "outside its band"
    value.fill("1/8")
    assert page.locator('[data-tick="skimmer-water-line"]').is_enabled() and behind.is_disabled()
    answer(page, "skimmer-water-line", "over", "no water yet")
    assert behind.is_enabled() and page.locator('[data-tick="lip-drawn"]').is_disabled()
    answer(page, "skimmer-water-line", "later")
    assert behind.is_disabled()


def test_a_finished_phase_has_reached_its_hold_points(page):
    page.locator('.task >> nth=1 >> [data-part-of="none"]').click()
    answer(page, "rim-level", "later")
    page.locator('[data-part-of="done"]').first.check()
    assert "told as finished" in said(page)
    page.locator('[data-part-of="done"]').first.uncheck()
    assert said(page).startswith("Ready to send.")


def test_work_before_a_first_hold_point_is_not_told_away(opened, roster, plan, lists):
    page = opened(sheet_page([day_sheet(roster, plan, "North", MONDAY, lists)]))
    answer(page, "locate", "later")
    page.locator('[data-part-of="h"]').fill("6")
    assert "work is told on this phase" in said(page)
    answer(page, "locate", "over", "ticket in the other truck")
    answer(page, "rim-level", "later")
    assert "1 passed over or outside" in said(page)
    text = page.locator("[data-out]").input_value()
    assert text.splitlines()[1].startswith("PASSED OVER P-014 dig: Walk the utility marks")
    ((task,),) = [sheet.tasks for sheet in decode_all(text)]
    assert (task.passed, task.later) == ({"locate": "ticket in the other truck"}, {"rim-level"})


def test_what_was_passed_over_stands_in_the_log_and_on_the_next_sheet(opened, stored):
    page = opened(sheet_page(crew_sheets(stored, "North", [MONDAY])))
    answer(page, "locate", "over", "ticket in the other truck")
    page.locator('[data-value="shelf-1"]').fill("9")
    answer(page, "rim-level", "later")
    page.locator('[data-part-of="h"]').fill("6")
    page.locator('[data-part-of="note"]').fill("gate code is 4711")
    assert "2 passed over or outside" in said(page)
    (arrival,) = open_returns(stored, page.locator("[data-out]").input_value(), MONDAY)
    log_returns(stored, "test", [arrival])
    with Store(stored).reading() as book:
        (log,) = book.logs()
    assert missed_in(log)[0].startswith(
        "hold point passed over (ticket in the other truck): Walk the utility"
    )
    assert [m.text for m in crew_sheets(stored, "North", [TUESDAY])[0].missed] == missed_in(log)


def test_the_order_of_ticks_their_times_and_who_ticked_come_along(page):
    page.locator("[data-who]").fill("Bo")
    page.locator('[data-tick="clean"]').check()
    page.locator("[data-who]").fill("Ana")
    page.locator('[data-tick="hand-trim"]').check()
    page.locator("[data-by]").fill("Ana")
    answer(page, "rim-level", "later")
    answer(page, "skimmer-level", "later")
    page.reload()
    assert said(page).startswith("Ready to send.")
    task = decode_all(page.locator("[data-out]").input_value())[0].tasks[0]
    assert [(t.key, t.who) for t in task.order] == [("clean", "Bo"), ("hand-trim", "")]
    assert task.order[0].minute <= task.order[1].minute


def test_a_tick_whose_step_changed_says_so_until_it_is_ticked_again(opened, roster, plan, lists, tmp_path):
    sheet = day_sheet(roster, plan, "North", TUESDAY, lists)
    page = opened(sheet_page([sheet]))
    page.locator('[data-tick="clean"]').check()
    html = sheet_page([sheet]).replace("Pick out roots", "Pick out all roots")
    assert html != sheet_page([sheet])
    (tmp_path / "page.html").write_text(html, "utf-8")
    for _ in range(2):
        page.reload()
        assert not page.locator('[data-tick="clean"]').is_checked()
        shown = "getComputedStyle(document.querySelector('.before .do'), '::after').content"
        assert "was ticked before this changed" in page.evaluate(shown)
    page.locator('[data-tick="clean"]').check()
    assert page.locator(".before").count() == 0


def test_what_stands_on_no_sheet_now_is_kept_for_the_one_that_has_it_again(
    opened, roster, plan, lists, tmp_path
):
    sheet = day_sheet(roster, plan, "North", TUESDAY, lists)
    page = opened(sheet_page([sheet]))
    page.locator('.task >> nth=1 >> [data-part-of="note"]').fill("lid is short")
    less = tuple(b for b in plan.bookings if b.phase is Phase.DIG)
    without = day_sheet(roster, replace(plan, bookings=less), "North", TUESDAY, lists)
    (tmp_path / "page.html").write_text(sheet_page([without]), "utf-8")
    page.reload()
    page.locator('[data-part-of="h"]').first.fill("3")
    (tmp_path / "page.html").write_text(sheet_page([sheet]), "utf-8")
    page.reload()
    assert page.locator('.task >> nth=1 >> [data-part-of="note"]').input_value() == "lid is short"
