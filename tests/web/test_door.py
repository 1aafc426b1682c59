"""Beyond this computer only by password: slowed tries, sessions that end, a door that only home opens."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from planner.flow.keeping.password import FILE, keep_digest, kept_digest
from planner.web.desk import Desk
from planner.web.keys import IDLE_OUTSIDE_S, LONGEST_OUTSIDE_S, Keys, digest_of, is_it
from tests.web.conftest import Browser

PASSWORD = "four words of ours"
OUTSIDE = "http://192.168.7.5:8000"


@pytest.fixture
def outside(browser: Browser) -> Iterator[Browser]:
    """The same office shared, asked from another computer."""
    desk: Desk = browser.client.app.state.desk  # type: ignore[attr-defined]
    keep_digest(desk.location, digest_of(PASSWORD))
    desk.sharing.base = OUTSIDE
    desk.sharing.hosts.add("192.168.7.5:8000")
    with TestClient(browser.client.app, base_url=OUTSIDE, client=("192.168.7.9", 5000)) as client:
        yield Browser(client, browser.db, browser.keys, browser.clock)


def enter(browser: Browser, password: str, name: str = "bo") -> int:
    headers = {"sec-fetch-site": "same-origin", "origin": OUTSIDE}
    form = {"name": name, "password": password}
    answer = browser.client.post("/enter", data=form, headers=headers, follow_redirects=False)
    return answer.status_code


def test_a_page_from_elsewhere_asks_for_the_password(outside: Browser) -> None:
    assert outside.look("/jobs").url.path == "/enter"
    assert enter(outside, "wrong words of yours") == 403
    assert enter(outside, PASSWORD) == 303
    assert "P-1" in outside.look("/jobs").text
    assert "Leave (bo)" in outside.look("/").text


def test_a_start_link_opens_nothing_from_elsewhere(outside: Browser) -> None:
    token = outside.keys.start_link("ada")
    assert outside.client.get(f"/start/{token}").status_code == 403
    assert outside.keys.redeem(token) is not None, "it still works at home"


def test_a_thousand_wrong_passwords_open_nothing_and_slow_the_next(outside: Browser) -> None:
    tried = [enter(outside, f"wrong words no. {n}") for n in range(1000)]
    assert set(tried) == {403}
    assert enter(outside, PASSWORD) == 403, "the right one waits too"
    outside.client.app.state.passwords._wrong.clear()  # type: ignore[attr-defined]  # the minute is over
    assert enter(outside, PASSWORD) == 303


def test_nobody_enters_where_no_password_is_set(outside: Browser) -> None:
    keep_digest(str(outside.db), "")
    for password in ("", PASSWORD):
        assert enter(outside, password) == 403


def test_only_a_digest_is_kept_and_only_its_owner_reads_it(outside: Browser) -> None:
    place = outside.db.with_name(FILE)
    assert place.stat().st_mode & 0o777 == 0o600
    assert place.read_text("utf-8").startswith("$argon2id$")
    assert PASSWORD not in place.read_text("utf-8")
    assert is_it(kept_digest(str(outside.db)), PASSWORD)
    assert not is_it("no digest", PASSWORD)


def test_the_password_is_changed_by_form_and_sends_the_others_out(browser: Browser) -> None:
    other = browser.keys.open("bo")
    for new, again in (("short", "short"), (PASSWORD, PASSWORD + "x")):
        assert browser.post("/firm/password/set", password=new, again=again).status_code == 422
    assert browser.post("/firm/password/set", password=PASSWORD, again=PASSWORD).status_code == 303
    assert is_it(kept_digest(str(browser.db)), PASSWORD)
    assert browser.keys.session(other) is None


def test_from_elsewhere_the_old_password_is_asked_and_the_door_stays_as_it_is(outside: Browser) -> None:
    enter(outside, PASSWORD)
    ours = {"sec-fetch-site": "same-origin", "origin": OUTSIDE}
    new = {"_token": outside.token(), "password": "other words of ours", "again": "other words of ours"}
    wrong = {**new, "old": "not it"}
    assert outside.client.post("/firm/password/set", data=wrong, headers=ours).status_code == 422
    for address in ("/share", "/share/end", "/stop"):
        assert outside.client.post(address, data=new, headers=ours).status_code == 409, address
    right = {**new, "old": PASSWORD}
    assert outside.client.post("/firm/password/set", data=right, headers=ours).status_code == 200
    assert is_it(kept_digest(str(outside.db)), "other words of ours")


def test_nothing_is_shared_before_a_password_is_set(browser: Browser) -> None:
    assert browser.post("/share").headers["location"] == "/firm/password"
    desk: Desk = browser.client.app.state.desk  # type: ignore[attr-defined]
    opened: list[str] = []
    desk.sharing.begin = lambda: opened.append("open")
    keep_digest(desk.location, digest_of(PASSWORD))
    assert browser.post("/share").headers["location"] == "/links"
    assert opened == ["open"]


def test_a_session_by_password_ends_sooner_and_leaving_ends_it_at_once(tmp_path: Path) -> None:
    clock = [0.0]
    keys = Keys(lambda: clock[0])
    idle, long = keys.open("bo", outside=True), keys.open("cy", outside=True)
    while clock[0] <= LONGEST_OUTSIDE_S:
        assert keys.session(long) is not None
        clock[0] += IDLE_OUTSIDE_S / 2
    assert keys.session(idle) is None
    assert keys.session(long) is None


def test_leaving_ends_the_session(browser: Browser) -> None:
    assert browser.post("/leave").status_code == 200
    assert browser.look("/jobs").status_code == 403


def test_a_proxys_request_is_not_from_here_and_its_cookie_is_for_tls_only(browser: Browser) -> None:
    desk: Desk = browser.client.app.state.desk  # type: ignore[attr-defined]
    desk.sharing.base = "https://office.example"
    desk.sharing.hosts.add("office.example")
    keep_digest(desk.location, digest_of(PASSWORD))
    with TestClient(browser.client.app, base_url="https://office.example", client=("127.0.0.1", 9)) as client:
        assert client.get("/jobs").url.path == "/enter"
        ours = {"origin": "https://office.example"}
        form = {"name": "bo", "password": PASSWORD}
        answer = client.post("/enter", data=form, headers=ours, follow_redirects=False)
        assert answer.status_code == 303
        assert "Secure" in answer.headers["set-cookie"]
        assert "HttpOnly" in answer.headers["set-cookie"]
        assert "SameSite=strict" in answer.headers["set-cookie"]


def test_the_network_door_opens_and_closes_on_the_same_port(
    browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    from urllib.request import urlopen

    from planner.web import serve

    monkeypatch.setattr(serve, "own_address", lambda: "127.0.0.2")
    app = browser.client.app
    desk: Desk = app.state.desk  # type: ignore[attr-defined]
    with serve._door("127.0.0.1", 0) as door:
        port = door.getsockname()[1]
        network = serve.Network(app, port, desk.sharing)  # type: ignore[arg-type]
        network.open()
        assert desk.sharing.base == f"http://127.0.0.2:{port}"
        page = urlopen(f"http://127.0.0.2:{port}/jobs", timeout=10)
        assert page.url.endswith("/enter")
        network.close()
        assert desk.sharing.base == ""
