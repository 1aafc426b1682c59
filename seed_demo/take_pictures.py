"""README's pictures from the demo's database: `python -m seed_demo.take_pictures [demo-out/season.sqlite3]`.

Needs the browser extra and Debian's chromium. The pages are made by the commands that a contractor types,
opened without a network, and kept as `seed_demo/pictures/*.png`; look at each before it is committed.
"""

from __future__ import annotations

import os
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from planner.cli.main import main as planner
from seed_demo import MORNING

HERE = Path(__file__).parent
PICTURES = HERE / "pictures"
DESIGN = HERE / "designs" / "ellipse_patio.toml"


@dataclass(frozen=True)
class Shot:
    """One picture: the page, the window [px], how far it is scrolled [px]."""

    name: str
    page: str
    width: int
    height: int
    scroll: int = 0


#: Page -> the command that writes it.
PAGES = {
    "sheet.html": ("sheet", "Kingfisher", "--page"),
    "board.html": ("board", "--page"),
    "season.html": ("season", "--page"),
    "design.svg": ("design", "draw", str(DESIGN), "--out"),
}
SHOTS = (
    Shot("phone", "sheet.html", 375, 760),
    Shot("phone-steps", "sheet.html", 375, 760, scroll=1100),
    Shot("board", "board.html", 1100, 700),
    Shot("season", "season.html", 1000, 880),
    Shot("design", "design.svg", 1056, 816),
)


def main() -> int:
    """Write the pages, take the pictures, tell their sizes."""
    database = sys.argv[1] if len(sys.argv) > 1 else "demo-out/season.sqlite3"
    os.environ.update(PLANNER_DB=str(Path(database).resolve()), PLANNER_NOW=MORNING)
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        for page, words in PAGES.items():
            if code := planner([*words, str(Path(folder) / page)]):
                return code
        browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        for shot in SHOTS:
            _take(browser, shot, Path(folder))
        browser.close()
    return 0


def _take(browser: Browser, shot: Shot, folder: Path) -> None:
    context = browser.new_context(viewport={"width": shot.width, "height": shot.height}, offline=True)
    page = context.new_page()
    page.goto((folder / shot.page).as_uri())
    page.evaluate(f"window.scrollTo(0, {shot.scroll})")
    target = PICTURES / f"{shot.name}.png"
    page.screenshot(path=target)
    print(f"{target.name}: {target.stat().st_size / 1000:.0f} kB")
    context.close()


if __name__ == "__main__":
    sys.exit(main())
