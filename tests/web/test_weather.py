"""A forecast typed or handed in in the browser: kept, told on the morning's page, refused when wrong."""

from __future__ import annotations

from tests.web.conftest import Browser

ROWS = (
    "date,rain_chance,rain_in,low_f,high_f,wind_mph\n2027-04-12,95,1.5,41,60,8\n2027-04-13,20,0.1,40,62,8\n"
)


def test_typed_rows_are_kept_and_the_morning_tells_them(browser: Browser) -> None:
    assert "No forecast is kept" in browser.look("/weather").text
    assert "rain may take the day" not in browser.look("/").text
    answer = browser.post("/weather/take", rows=ROWS, place="Columbus, OH", made="2027-04-05")
    assert answer.status_code == 303, answer.text
    assert "Mon Apr 12  rain 95 %, 1.5 in; 41 to 60 F; wind 8 mph" in browser.look("/weather").text
    assert "rain may take the day" in browser.look("/").text
    assert browser.post("/weather/drop").status_code == 303
    assert "No forecast is kept" in browser.look("/weather").text


def test_what_is_wrong_is_told_and_nothing_is_kept(browser: Browser) -> None:
    for rows, place, made in (
        (ROWS, "Erie, PA", "2027-04-05"),
        (ROWS.replace("95", "wet"), "Columbus, OH", "2027-04-05"),
        (ROWS, "Columbus, OH", "2027-03-20"),
        ("", "Columbus, OH", "2027-04-05"),
    ):
        assert browser.post("/weather/take", rows=rows, place=place, made=made).status_code == 422
    assert "No forecast is kept" in browser.look("/weather").text
