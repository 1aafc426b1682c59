"""What an attacker or an accident tries: script in every name, odd paths, a server killed between writes."""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from threading import Thread
from urllib.error import URLError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, OpenerDirector, Request, build_opener

import pytest

from planner.flow.keeping.jobs import load_jobs
from planner.store.safekeeping.health import file_faults
from tests.web.conftest import Browser

EVIL = "<script>alert(1)</script>'\"><img src=x onerror=alert(2)>{{7*7}}"
KILLS = int(os.environ.get("PLANNER_KILLS", "3"))


def test_script_in_every_name_field_is_only_text(browser: Browser) -> None:
    posts = [
        ("/firm/save", {"name": EVIL}),
        ("/firm/crew/save", {"name": "East", "lead": EVIL, "size": "2", "skills": "plumbing"}),
        ("/firm/machine/save", {"key": "truck", "words": EVIL, "units": "1"}),
        ("/jobs/save", {"code": "E-1", "client": EVIL, "address": EVIL, "notes": EVIL, "site_notes": EVIL}),
        ("/jobs/save", {"_code": "P-1", "client": EVIL, "region": EVIL}),
        ("/jobs/P-1/gate", {"kind": "permit", "opens": "2027-05-01", "phase": "fill", "note": EVIL}),
        ("/jobs/P-1/blackout", {"first": "2027-06-01", "why": EVIL}),
        ("/hours/lost/add", {"kind": "crew off", "first": "2027-04-09", "crew": "South", "note": EVIL}),
        (
            "/hours/log",
            {"job": "P-2", "phase": "dig", "crew": "North", "day": "2027-04-05", "hours": "1", "note": EVIL},
        ),
    ]
    for address, form in posts:
        assert browser.post(address, **form).status_code == 303, address
    pages = ["/", "/week", "/jobs", "/jobs/E-1", "/jobs/P-1", "/office", "/hours", "/hours/lost", "/plan"]
    pages += [
        "/firm",
        "/firm/crew?name=East",
        "/firm/machine?name=truck",
        "/undo",
        "/hours/against",
        "/hours/owner",
        "/season",
    ]
    pages += [
        "/jobs/P-1/messages",
        "/jobs/P-1/price",
        "/links",
        "/sheet/South",
        "/season",
        "/jobs?words=" + EVIL,
    ]
    for address in pages:
        page = browser.look(address)
        assert page.status_code in (200, 409, 422), address
        assert "<script>alert" not in page.text, address
        assert "<img src=x" not in page.text, address
    assert "{{7*7}}" in browser.look("/firm").text, "a template never reads what people type"


@pytest.mark.parametrize(
    "path",
    [
        "/look/..%2fweb.css",
        "/look/%2e%2e%2f%2e%2e%2fapp.py",
        "/look/web.css%00",
        "/look/frame.html",
        "/jobs/..%2f..%2fetc%2fpasswd",
        "/jobs/%00",
        "/jobs/P-1/drawing.svg/..",
        "/sheet/..%2f..%2fetc%2fpasswd",
        "/sheet/%0d%0aset-cookie:x=1",
        "/c/..%2fjobs",
        "/c/" + "0" * 5000,
        "/start/..%2f",
        "/jobs?page=999999999999999999999",
        "/jobs?page=-1",
        "/plan?number=99999999999",
        "/week?day=9999-99-99",
        "/week?day=0001-01-01",
        "/office?kind=" + "x" * 3000,
        "//evil.example/jobs",
    ],
)
def test_odd_addresses_get_a_line_and_never_a_file_or_a_fault(browser: Browser, path: str) -> None:
    answer = browser.client.get("http://127.0.0.1:8000" + path)
    assert answer.status_code in (200, 403, 404, 409, 422), answer.text
    assert "root:" not in answer.text
    assert "Traceback" not in answer.text
    assert "import annotations" not in answer.text
    assert "set-cookie" not in answer.headers


def test_where_a_form_leads_back_to_stays_in_the_office(browser: Browser) -> None:
    for elsewhere in ("https://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)"):
        done = browser.post("/firm/save", name="Reed", _from=elsewhere)
        assert done.headers["location"] == "/firm"
        refused = browser.post("/hours/log", _from=elsewhere)
        assert "evil" not in refused.text
        assert "javascript:" not in refused.text


def _enter(db: Path) -> tuple[subprocess.Popen[str], OpenerDirector, str, str]:
    """A server of its own, a person inside, the address and the form's token."""
    env = {**os.environ, "PLANNER_DB": str(db), "PLANNER_NOW": "2027-04-05T06:45", "PLANNER_USER": "ada"}
    words = [sys.executable, "-m", "planner", "open", "--no-browser"]
    served = subprocess.Popen(words, env=env, stdout=subprocess.PIPE, text=True)
    assert served.stdout is not None
    link = served.stdout.readline().strip()
    person, base = build_opener(HTTPCookieProcessor()), link.partition("/start/")[0]
    person.open(link, timeout=60).read()
    page = person.open(base + "/jobs/new", timeout=60).read().decode()
    token = re.search(r'name="_token" value="(\w+)"', page)
    assert token
    return served, person, base, token.group(1)


def test_a_server_killed_between_writes_keeps_what_it_acknowledged(tmp_path: Path, ready: Path) -> None:

    db = tmp_path / "season.sqlite3"
    shutil.copy(ready, db)
    kept: list[str] = []
    for turn in range(KILLS):
        served, person, base, token = _enter(db)

        def write(turn: int, person: OpenerDirector, base: str, token: str) -> None:
            for n in range(1000):
                code = f"K-{turn}-{n}"
                form = urlencode({"_token": token, "_from": "/jobs", "code": code, "client": "Reed"}).encode()
                asked = Request(base + "/jobs/save", form, {"origin": base})
                try:
                    person.open(asked, timeout=30).read()
                except (URLError, OSError):
                    return
                kept.append(code)

        writer = Thread(target=write, args=(turn, person, base, token))
        before = len(kept)
        writer.start()
        while len(kept) == before:
            time.sleep(0.01)
        time.sleep(random.Random(turn).uniform(0.0, 0.3))
        os.kill(served.pid, signal.SIGKILL)
        writer.join()
        served.communicate()
        assert file_faults(db) == []
        found = {job.code for job in load_jobs(str(db), None)[0]}
        assert set(kept) <= found
        assert len(found - set(kept)) <= turn + 1, "at most one write of each turn was not acknowledged"
    assert len(kept) >= KILLS
