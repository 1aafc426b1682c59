"""Real browser tests: collected only where Debian's chromium and the browser extra are there."""

from __future__ import annotations

import shutil
from importlib.util import find_spec

import pytest

from tests.report.conftest import firm, golden, hostile, jobs, lists, plan, roster, stored

__all__ = ["firm", "golden", "hostile", "jobs", "lists", "plan", "roster", "stored"]

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")

if CHROMIUM is None or find_spec("playwright") is None or find_spec("pypdf") is None:
    collect_ignore_glob = ["test_*.py"]


@pytest.fixture(scope="session")
def chromium():
    """One browser for all tests."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def opened(chromium, tmp_path):
    """Open HTML as a file, offline; any request, console message or script error fails the test."""
    contexts = []

    def go(html: str, width: int = 375, name: str = "page.html"):
        path = tmp_path / name
        path.write_text(html, "utf-8")
        context = chromium.new_context(viewport={"width": width, "height": 812}, offline=True)
        contexts.append(context)
        page = context.new_page()
        page.told = []
        page.on(
            "request", lambda r: None if r.url.startswith(("file:", "blob:")) else page.told.append(r.url)
        )
        page.on("console", lambda m: page.told.append(m.text))
        page.on("pageerror", lambda e: page.told.append(str(e)))
        page.goto(path.as_uri())
        return page

    yield go
    for context in contexts:
        for page in context.pages:
            assert page.told == []
        context.close()
