"""Nobody else gets in: foreign hosts and sites, used links, missing tokens, bodies without end."""

from __future__ import annotations

import pytest

from planner.web.guard import MOST_BYTES
from planner.web.keys import IDLE_S, Keys
from tests.web.conftest import HOST, Browser


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:8001", "", "127.0.0.1:8000.evil.example"])
def test_a_foreign_host_name_gets_nothing(browser: Browser, host: str) -> None:
    assert browser.client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site", "origin": HOST},
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {},
        {"sec-fetch-site": "same-origin", "origin": "http://evil.example"},
    ],
)
def test_a_post_from_elsewhere_changes_nothing(browser: Browser, headers: dict[str, str]) -> None:
    form = {"_token": browser.token(), "code": "P-9", "client": "X"}
    assert browser.client.post("/jobs/save", data=form, headers=headers).status_code == 403
    assert "P-9" not in browser.look("/jobs").text


def test_a_form_without_its_token_or_with_another_sessions_is_refused(browser: Browser) -> None:
    other = browser.keys.session(browser.keys.open("bo"))
    assert other is not None
    ours = {"sec-fetch-site": "same-origin", "origin": HOST}
    for token in ("", "0" * 64, browser.keys.form_token(other)):
        form = {"_token": token, "code": "P-9", "client": "X"}
        assert browser.client.post("/jobs/save", data=form, headers=ours).status_code == 403


def test_a_start_link_works_once(browser: Browser) -> None:
    token = browser.keys.start_link("ada")
    assert browser.client.get(f"/start/{token}").status_code == 200
    assert browser.client.get(f"/start/{token}").status_code == 403


def test_without_a_session_no_page(browser: Browser) -> None:
    browser.client.cookies.clear()
    for address in ("/", "/week", "/jobs/P-1", "/plan"):
        assert browser.client.get(address).status_code == 403


def test_a_body_over_the_bound_is_refused(browser: Browser) -> None:
    ours = {"sec-fetch-site": "same-origin", "origin": HOST}
    assert browser.client.post("/jobs/save", content=b"x" * (MOST_BYTES + 1), headers=ours).status_code == 413


def test_a_session_ends_when_nobody_comes() -> None:
    clock = [0.0]
    keys = Keys(lambda: clock[0])
    value = keys.open("ada")
    assert keys.session(value) is not None
    clock[0] = IDLE_S + 1
    assert keys.session(value) is None
