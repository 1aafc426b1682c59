"""A page as PDF: printed by a browser of the Chromium family that this computer has, without a window.

The page's own style lays it on paper, so the file is what the browser's print dialog would give: fonts
embedded, true to scale. Tried as well: WeasyPrint 70, which loses those words of a drawing that stand on a
white halo, and the season's shapes.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from planner.errors import PlannerError

#: Names and places of such browsers on Linux, macOS and Windows.
BROWSERS = (
    *("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge", "msedge"),
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    r"C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe",
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
)
#: A page takes some seconds; a browser that hangs is given up after this [s].
PATIENCE_S = 120.0


def browser() -> str | None:
    """The browser that prints: PLANNER_BROWSER, else the first one found; None when there is none."""
    named = os.environ.get("PLANNER_BROWSER")
    return next(filter(None, map(shutil.which, [named] if named else BROWSERS)), None)


def as_pdf(html: str) -> bytes:
    """The page on paper. PlannerError when no browser is found or it prints nothing."""
    found = browser()
    if found is None:
        raise PlannerError(
            "a PDF needs a browser of the Chromium family (Chromium, Chrome, Edge), and none is found: write "
            "an .html file and print that from any browser, or name one in PLANNER_BROWSER"
        )
    with tempfile.TemporaryDirectory(prefix="planner-print-") as folder:
        page, out = Path(folder) / "page.html", Path(folder) / "page.pdf"
        page.write_text(html, "utf-8")
        command = [found, "--headless", "--disable-gpu", "--no-pdf-header-footer", "--no-first-run"]
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            command.append(
                "--no-sandbox"
            )  # a browser refuses its sandbox to root; the page runs no foreign code
        command += [f"--user-data-dir={folder}/profile", f"--print-to-pdf={out}", page.as_uri()]
        try:
            subprocess.run(command, capture_output=True, timeout=PATIENCE_S, check=False)
        except (OSError, subprocess.TimeoutExpired):
            raise PlannerError(
                f"{found} did not print the page: write an .html file and print that"
            ) from None
        content = out.read_bytes() if out.exists() else b""
    if not content.startswith(b"%PDF-"):
        raise PlannerError(f"{found} did not print the page: write an .html file and print that")
    return content
