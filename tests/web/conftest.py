"""The office in a browser without one: the application asked directly, with a session of the office's own."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path

import httpx2 as httpx
import pytest
from PIL import Image
from starlette.testclient import TestClient

from planner.cli.keeping.guide import terminal_tables
from planner.web.app import application
from planner.web.desk import Desk
from planner.web.keys import Keys

HOST = "http://127.0.0.1:8000"
MORNING = datetime(2027, 4, 5, 6, 45)


def picture(kind: str = "JPEG", size: tuple[int, int] = (64, 40), **more: object) -> bytes:
    """A picture of one color."""
    out = BytesIO()
    Image.new("RGB", size, (20, 90, 60)).save(out, kind, **more)
    return out.getvalue()


@dataclass
class Browser:
    """A person at the pages: looks, and posts the forms with the token that the page gave."""

    client: TestClient
    db: Path
    keys: Keys
    clock: list[datetime]

    def look(self, address: str) -> httpx.Response:
        """Read a page."""
        return self.client.get(address)

    def token(self) -> str:
        """The token in the forms of the present session."""
        found = re.search(r'name="_token" value="(\w+)"', self.look("/").text)
        assert found
        return found.group(1)

    def worked(self, begun: httpx.Response) -> httpx.Response:
        """What work in the background comes to: its own page watched until it is over."""
        assert begun.headers.get("location") == "/work", begun.text
        for _ in range(600):
            seen = self.client.get("/work", follow_redirects=False)
            if 'action="/work/stop"' not in seen.text:
                return seen
            time.sleep(0.1)
        raise AssertionError("the work never came to its end")

    def planned(self, **fields: str) -> str:
        """Plan by the form; the new draft's number."""
        done = self.worked(self.post("/plan/make", **{"seconds": "0.5", **fields}))
        assert done.status_code == 303, done.text
        return done.headers["location"].rpartition("=")[2]

    def post(self, address: str, /, follow: bool = False, **fields: str) -> httpx.Response:
        """Send a form as the page's own would be sent."""
        return self.client.post(
            address,
            data={"_token": self.token(), **fields},
            headers={"sec-fetch-site": "same-origin", "origin": HOST},
            follow_redirects=follow,
        )


@pytest.fixture
def browser(tmp_path: Path, planned: Path) -> Iterator[Browser]:
    """The planned season of all tests, opened by its start link."""
    db = tmp_path / "season.sqlite3"
    shutil.copy(planned / "season.sqlite3", db)
    keys = Keys()
    clock = [MORNING]
    app = application(Desk(str(db), lambda: clock[0], keys, tables=terminal_tables()), ["127.0.0.1:8000"])
    with TestClient(app, base_url=HOST) as client:
        assert client.get(f"/start/{keys.start_link('ada')}").status_code == 200
        yield Browser(client, db, keys, clock)
