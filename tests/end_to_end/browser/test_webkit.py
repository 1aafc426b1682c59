"""The sheet in WebKit, the engine that an iPhone has: WebKitGTK of Debian, driven by Selenium.

Nearest to an iPhone that can be had on Linux: its own browser, keyboard, share sheet and file viewer stay
unproven here.
"""

from __future__ import annotations

import http.server
import os
import shutil
import subprocess
import threading
import warnings
from datetime import date
from functools import partial
from importlib.util import find_spec
from pathlib import Path

import pytest

from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.crew_day.returned import decode_all
from planner.report.pages import sheet_page

pytestmark = pytest.mark.browser
TUESDAY = date(2027, 4, 6)
HERE = Path("/usr/lib/x86_64-linux-gnu")
BROWSERS = sorted(HERE.glob("webkit2gtk-4*/MiniBrowser"))
READY = bool(BROWSERS and shutil.which("WebKitWebDriver") and shutil.which("Xvfb") and find_spec("selenium"))

if READY:

    @pytest.fixture(scope="module")
    def webkit():
        """A WebKit window on a screen of its own."""
        from selenium import webdriver
        from selenium.webdriver.webkitgtk.options import Options
        from selenium.webdriver.webkitgtk.service import Service

        screen = subprocess.Popen(
            ["Xvfb", "-displayfd", "1", "-screen", "0", "1024x900x24", "-nolisten", "tcp"],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert screen.stdout is not None
        env = {**os.environ, "DISPLAY": f":{screen.stdout.readline().strip()}", "GDK_BACKEND": "x11"}
        options = Options()
        options.binary_location = str(BROWSERS[-1])
        options.add_argument("--automation")
        service = Service(shutil.which("WebKitWebDriver"), env=env)
        try:
            with warnings.catch_warnings():  # Selenium warns of its own call
                warnings.simplefilter("ignore", DeprecationWarning)
                driver = webdriver.WebKitGTK(options=options, service=service)
            yield driver
            driver.quit()
        finally:
            screen.terminate()
            screen.wait(10)
            screen.stdout.close()

    @pytest.fixture
    def served(tmp_path, roster, plan, lists):
        """The sheet's page from a server of this computer; its address."""
        sheet = day_sheet(roster, plan, "North", TUESDAY, lists)
        (tmp_path / "page.html").write_text(sheet_page([sheet]), "utf-8")
        quiet = type("Quiet", (http.server.SimpleHTTPRequestHandler,), {"log_message": lambda *_: None})
        server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), partial(quiet, directory=str(tmp_path)))
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/page.html"
        server.shutdown()
        server.server_close()

    def find(driver, selector: str):
        return driver.find_element("css selector", selector)

    def choose(driver, key: str, how: str) -> None:
        driver.execute_script(
            "const s = document.querySelector(arguments[0]); s.value = arguments[1];"
            "s.dispatchEvent(new Event('change', {bubbles: true}));",
            f'[data-answer="{key}"]',
            how,
        )

    def test_a_day_is_kept_held_and_packed(webkit, served):
        webkit.get(served)
        webkit.execute_script("localStorage.clear()")
        webkit.refresh()
        find(webkit, '[data-value="shelf-1"]').send_keys("6 1/4")
        find(webkit, 'label[for="d1-t1-8"]').click()  # the row, not the box
        find(webkit, '[data-do="make"]').click()
        assert "Not ready" in find(webkit, "[data-said]").text
        choose(webkit, "rim-level", "later")
        choose(webkit, "skimmer-level", "later")
        webkit.refresh()
        find(webkit, '[data-do="make"]').click()
        assert find(webkit, "[data-said]").text.startswith("Ready to send.")
        (back,) = decode_all(find(webkit, "[data-out]").get_attribute("value"))
        assert (back.tasks[0].values, len(back.tasks[0].ticks)) == ({"shelf-1": 6.25}, 1)
        assert back.tasks[0].later == {"rim-level"} and back.tasks[1].later == {"skimmer-level"}
        codes = [
            e.get_attribute("data-text") for e in webkit.find_elements("css selector", "[data-codes] svg")
        ]
        assert decode_all("\n".join(codes))[0].mark == back.mark

    def test_nothing_runs_off_the_side_and_the_bar_stays(webkit, served):
        webkit.get(served)
        wide, page = webkit.execute_script("return [innerWidth, document.documentElement.scrollWidth]")
        assert page <= wide
        webkit.execute_script("window.scrollTo(0, 3000)")
        top = "return document.querySelector('.jump').getBoundingClientRect().top"
        assert webkit.execute_script(top) == pytest.approx(0, abs=1)
