"""The sheet on the phones that leads have: narrow, without script, without storage, in sun and dark."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
import segno

from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.crew_day.returned import decode_all
from planner.report.pages import read_part, sheet_page
from planner.store.shipped.rules import phase_rules
from tests.end_to_end.browser.test_browser import HARSH, answered, text_from

pytestmark = pytest.mark.browser
TUESDAY = date(2027, 4, 6)

#: Text that is seen, with its contrast by WCAG 2.2 (relative luminance); what lies below the bound.
CONTRAST = """least => {
  const part = (v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  const light = (c) => 0.2126 * part(c[0]) + 0.7152 * part(c[1]) + 0.0722 * part(c[2]);
  const rgba = (text) => [...text.match(/[\\d.]+/g).map(Number), 1].slice(0, 4);
  const low = [];
  for (const e of document.querySelectorAll("body *")) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || !e.checkVisibility() || e.closest("script, noscript, option")) continue;
    let ground = [255, 255, 255, 1];
    for (let up = e; up; up = up.parentElement) {
      const found = rgba(getComputedStyle(up).backgroundColor);
      if (found[3] > 0) { ground = found; break; }
    }
    const a = light(rgba(getComputedStyle(e).color)), b = light(ground);
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < least) low.push(e.tagName + "." + e.className + " " + ratio.toFixed(1) + e.textContent);
  }
  return low;
}"""


@pytest.fixture
def sheet(roster, plan, lists):
    return day_sheet(roster, plan, "North", TUESDAY, lists, rules=phase_rules(), forecast=HARSH)


@pytest.fixture
def bare(chromium, tmp_path):
    """Open HTML in a context of its own settings."""
    contexts = []

    def go(html: str, width: int = 375, init: str = "", **settings):
        path = tmp_path / "bare.html"
        path.write_text(html, "utf-8")
        context = chromium.new_context(viewport={"width": width, "height": 812}, offline=True, **settings)
        contexts.append(context)
        if init:
            context.add_init_script(init)
        page = context.new_page()
        page.goto(path.as_uri())
        return page

    yield go
    for context in contexts:
        context.close()


@pytest.mark.parametrize("width", [320, 375, 430])
def test_nothing_runs_off_the_side_in_plain_and_in_big_type(opened, sheet, width):
    page = opened(sheet_page([sheet]), width)
    for _ in range(2):
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.locator("[data-type-big]").click()
    page.reload()
    assert page.evaluate("document.documentElement.dataset.type") == "plain"


@pytest.mark.parametrize("width", [320, 430])
def test_without_script_all_is_read_and_the_way_to_report_is_told(bare, sheet, width):
    page = bare(sheet_page([sheet]), width, java_script_enabled=False)
    seen = " ".join(page.locator("body").inner_text().split())
    for task in sheet.tasks:
        for line in task.ready.lines:
            assert line.text in seen, line.key
            assert line.wanted is None or line.wanted.words in seen
    for text in (*sheet.load, *sheet.rain, *sheet.cautions):
        assert text in seen
    assert "send the office as a message" in seen and "Send the day back" not in seen
    assert page.locator(".script:visible, [data-answer]:visible, .fractions:visible").count() == 0


def test_where_nothing_is_kept_the_lead_is_told_and_the_day_can_be_sent(bare, sheet):
    blocked = "Object.defineProperty(window, 'localStorage', {get() { throw new Error('shut'); }});"
    page = bare(sheet_page([sheet]), init=blocked)
    page.locator('[data-tick="clean"]').check()
    assert "keeps nothing" in page.locator("[data-said]").inner_text()
    answered(page)
    (back,) = decode_all(text_from(page))
    assert "clean" in back.tasks[0].ticks


@pytest.mark.parametrize("dark", [False, True])
def test_every_word_stands_out_seven_to_one(bare, sheet, dark):
    # WCAG 2.2, 1.4.6 (level AAA): contrast of at least 7 to 1 for text.
    page = bare(sheet_page([sheet]), color_scheme="dark" if dark else "light")
    assert page.evaluate("document.documentElement.dataset.look") == ("dark" if dark else "light")
    page.locator('[data-value="shelf-1"]').fill("99")
    assert page.evaluate(CONTRAST, 7) == []
    page.locator("[data-look-dark]").click()
    assert page.evaluate(CONTRAST, 7) == []
    assert len(page.evaluate(CONTRAST, 99)) > 30, "the measure itself sees texts"


def test_the_jump_bar_stays_in_sight_and_what_to_bring_stands_before_the_steps(opened, sheet):
    page = opened(sheet_page([sheet]))
    tops = [
        page.locator(f"#d1-{name}").bounding_box()["y"]
        for name in ("load", "t1", "t2", "back", "rain", "care")
    ]
    assert tops == sorted(tops)
    assert page.locator("text=Tools:").bounding_box()["y"] < tops[1]
    page.evaluate("window.scrollTo(0, 4000)")
    assert page.locator(".jump").bounding_box()["y"] == pytest.approx(0, abs=1)


def test_fractions_are_typed_with_a_finger(opened, sheet):
    page = opened(sheet_page([sheet]))
    field = page.locator('[data-value="shelf-1"]')
    button = field.locator("xpath=ancestor::*[contains(@class,'measure')]").locator(".fractions button")
    assert not button.first.is_visible()
    field.fill("6")
    for n, said in ((0, "6 1/8"), (1, "6 3/8"), (2, "6 7/8"), (0, "7")):
        button.nth(n).click()
        assert field.input_value() == said
    field.fill("-1")
    button.nth(1).click()
    assert field.input_value() == "-1 1/4"


def test_a_drawing_grows_under_a_button_and_by_two_fingers_and_prints_at_its_scale(opened, sheet):
    page = opened(sheet_page([sheet]))
    image = page.locator(".drawing img").first
    assert "user-scalable" not in page.locator("meta[name=viewport]").get_attribute("content")
    widths = [image.bounding_box()["width"]]
    for name in ("Larger", "Larger", "Smaller", "Smaller", "Smaller"):
        page.get_by_role("button", name=name).click()
        widths.append(image.bounding_box()["width"])
    assert widths[0] < widths[1] < widths[2] > widths[3] > widths[4] > widths[5]
    assert page.evaluate("document.documentElement.scrollWidth") == 375, (
        "only the drawing's own strip scrolls"
    )
    page.emulate_media(media="print")
    assert image.bounding_box()["width"] == pytest.approx(11 * 96, abs=1)


def test_the_office_is_called_by_a_press(opened, sheet):
    page = opened(sheet_page([replace(sheet, office="Invented Ponds, +1 614-555-0100")]))
    link = page.locator(".call a")
    assert link.get_attribute("href") == "tel:+16145550100" and link.bounding_box()["height"] >= 44


def test_the_day_is_shown_as_codes_that_hold_the_day(opened, sheet):
    page = opened(sheet_page([sheet]))
    answered(page)
    for box in page.locator("[data-tick]").all():
        box.check()
    page.locator('[data-part-of="note"]').first.fill("a longer word to the office, " * 18)
    text = text_from(page)
    codes = [svg.get_attribute("data-text") for svg in page.locator("[data-codes] svg").all()]
    assert len(codes) > 1 and page.locator("figcaption").first.inner_text() == f"code 1 of {len(codes)}"
    (whole,), (short,) = decode_all(text), decode_all("\n".join(codes[::-1]))
    assert [t.asked for t in short.tasks] == [None, None]
    for mine, full in zip(short.tasks, whole.tasks, strict=True):
        assert replace(mine, asked=full.asked) == full


def test_a_code_is_the_one_that_a_general_library_draws(bare):
    # ISO/IEC 18004, by the library segno: same version and, with the same mask, the same squares. Of lengths
    # whose bits end on a word's edge only the version: there segno 1.6 pads with a word of zeros more.
    page = bare("<!doctype html><title>x</title>")
    page.evaluate(read_part("sheet_code.js").replace('"use strict";', "") + "; window.scanCode = scanCode; 0")
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567-."
    for n in (
        1,
        24,
        41,
        77,
        110,
        150,
        190,
        225,
        270,
        320,
        366,
        420,
        501,
        590,
        700,
        840,
        930,
        1100,
        1150,
        1400,
        1850,
    ):
        text = "".join(letters[(7 * k * k + n) % len(letters)] for k in range(n))
        version, mask, grid = page.evaluate(
            "t => { const c = scanCode(t); return [c.version, c.mask, c.grid.map((r) => r.map(Number))]; }",
            text,
        )
        bits = 4 + (9 if version < 10 else 11) + 11 * (n // 2) + 6 * (n % 2)
        small = segno.make(text, error="l", mode="alphanumeric", boost_error=False, micro=False)
        assert version == small.version
        if (bits + 4) % 8:
            drawn = segno.make(
                text, version=version, mask=mask, error="l", mode="alphanumeric", boost_error=False
            )
            assert grid == [list(map(int, row)) for row in drawn.matrix], n
    assert page.evaluate("t => scanCode(t)", "A" * 1854) is None
