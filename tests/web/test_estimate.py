"""Hours, prices and rates in the browser: the terminal's words; nothing kept that was only looked at."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planner.flow.design.design import job_orders
from planner.flow.estimate.estimates import rate_book, rate_books
from planner.flow.keeping.jobs import load_job
from tests.web.conftest import HOST, Browser


def test_ways_stand_side_by_side_and_conditions_change_the_hours(browser: Browser) -> None:
    plain = browser.look("/jobs/P-1/price").text
    assert "labour-h" in plain
    beside = browser.look("/jobs/P-1/price?compare=people").text
    assert "5 people" in beside
    hot = browser.look("/jobs/P-1/price?temperature=100F&humidity=70&sunny=yes").text
    assert _whole(hot) > _whole(plain), "heat costs hours"
    wrong = browser.look("/jobs/P-1/price?temperature=warm")
    assert wrong.status_code == 422
    assert "like 96F or 35C" in wrong.text
    assert browser.look("/jobs/P-1/price?compare=moons").status_code == 422
    assert "P-1" in browser.look("/price").text


def _whole(page: str) -> float:
    found = re.search(r"\n(?:dig|liner|rock|whole job) +([\d.]+)", page)
    assert found
    return float(found[1])


def test_materials_stand_by_supplier_once_the_own_file_names_one(browser: Browser) -> None:
    before = browser.look("/jobs/P-1/price").text
    orders, _ = job_orders(str(browser.db), "P-1")
    assert orders
    assert all(order.lead.words.capitalize() in before for order in orders), "each under its own words"
    keys = '[[supplier]]\nname = "Invented Yard"\nlead_days = 3\n' + "".join(
        f'[[lead]]\nkey = "{o.lead.key}"\nwords = "{o.lead.words}"\nspare_days = 1\n'
        f'materials = {[*o.lead.materials]}\nsupplier = "Invented Yard"\n'.replace("'", '"')
        for o in orders[:2]
    )
    (browser.db.parent / "lead_times.toml").write_text(keys, "utf-8")
    now, _ = job_orders(str(browser.db), "P-1")
    assert [order.lead.supplier for order in now].count("Invented Yard") == 2
    page = browser.look("/jobs/P-1/price").text
    assert page.count("Invented yard") + page.count("Invented Yard") == 1, "one heading for both orders"


def test_rates_are_looked_at_taken_out_and_a_table_kept_as_a_new_edition(browser: Browser) -> None:
    location = str(browser.db)
    book = rate_book(location)
    key = next(iter(book.rows))
    assert key in browser.look(f"/rates?row={key}").text
    assert "No row begins so" in browser.look("/rates?row=moon").text
    table = browser.look("/rates/table.csv").text
    assert table.splitlines()[0].startswith("key,")
    old = book.rows[key]
    own = f"key,low,likely,high\n{key},{old.low * 1.1:g},{old.likely * 1.1:g},{old.high * 1.1:g}\n"
    seen = _upload(browser, own.encode())
    assert key in seen
    assert len(rate_books(location)) == 1, "a look keeps nothing"
    content = re.search(r'name="content" value="([^"]+)"', seen)
    assert content
    assert browser.post("/rates/read", content=content.group(1), edition="own-1").status_code == 303
    assert rate_book(location).edition == "own-1"
    assert rate_book(location).rows[key].likely == pytest.approx(old.likely * 1.1)
    assert browser.post("/rates/read", content=content.group(1), edition="own-1").status_code in (409, 422)
    assert load_job(location, "P-1").rate_edition == book.edition
    assert browser.post("/rates/adopt", jobs="P-1").status_code == 303
    assert load_job(location, "P-1").rate_edition == "own-1"


def test_a_table_with_faults_is_refused(browser: Browser) -> None:
    assert _upload(browser, b"key,low,likely,high\nmoon.dig,1,2,3\n").startswith("422")
    assert _upload(browser, b"\xff\xfe\x00").startswith("422")
    assert browser.post("/rates/read", content="%%").status_code == 422
    assert browser.post("/rates/adopt", jobs="NO-1").status_code == 422


def _upload(browser: Browser, content: bytes) -> str:
    answer = browser.client.post(
        "/rates/look",
        data={"_token": browser.token()},
        files={"file": ("rates.csv", content, "text/csv")},
        headers={"sec-fetch-site": "same-origin", "origin": HOST},
    )
    return f"{answer.status_code} {answer.text}"


def test_pump_and_materials_of_a_kept_design(browser: Browser) -> None:
    assert browser.look("/jobs/P-1/pump").status_code == 422, "no design is kept yet"
    begun = browser.post(
        "/jobs/P-1/design/begin", shape="ellipse", length="16", width="11", depth="30", shelves="1"
    )
    text = re.search(r"<textarea[^>]*name=\"text\"[^>]*>(.*?)</textarea>", begun.text, re.DOTALL)
    assert text
    from html import unescape

    assert (
        browser.post("/jobs/P-1/design/keep", text=unescape(text[1]).lstrip("\n"), agreed="yes").status_code
        == 303
    )
    assert "head" in browser.look("/jobs/P-1/pump").text
    every = browser.look("/jobs/P-1/materials").text
    rock = browser.look("/jobs/P-1/materials?phase=rock").text
    assert "underlayment" in every
    assert "underlayment" not in rock


def test_a_job_is_never_read_from_a_file_of_that_name(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("secret.toml").write_text('name = "a file on this computer"\n', "utf-8")
    for page in ("drawing.svg", "pump", "materials", "price", "design"):
        answer = browser.look(f"/jobs/secret.toml/{page}")
        assert answer.status_code == 422
        assert "a file on this computer" not in answer.text
