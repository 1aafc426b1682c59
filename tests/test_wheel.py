"""The wheel by itself, outside the checkout: it makes and reads its database, so the migrations are in it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from urllib.request import HTTPCookieProcessor, build_opener

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with only the built wheel in it; its libraries come from the tests' own environment."""
    folder = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
    build = [*pip, "wheel", "--no-deps", "--no-build-isolation", "-w", str(folder / "dist"), str(ROOT)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = (folder / "dist").glob("planner-*.whl")
    subprocess.run(
        [*pip, "install", "--no-deps", "--target", str(folder / "site"), str(wheel)],
        check=True,
        capture_output=True,
    )
    return folder / "site"


def run(site: Path, cwd: Path, code_or_words: list[str]) -> str:
    env = {**os.environ, "PYTHONPATH": str(site), "PLANNER_DB": str(cwd / "s.sqlite3")}
    env["PLANNER_NOW"] = "2027-05-03T06:45"
    done = subprocess.run(
        [sys.executable, *code_or_words], cwd=cwd, env=env, check=True, capture_output=True, text=True
    )
    return done.stdout


def test_the_wheel_makes_its_database_and_plans(site: Path, tmp_path: Path) -> None:
    where = run(site, tmp_path, ["-c", "import planner; print(planner.__file__)"])
    assert where.startswith(str(site))
    planner = ["-m", "planner.cli.main"]
    run(site, tmp_path, [*planner, "db", "create"])
    for kind in ("crews", "machines", "jobs"):
        run(site, tmp_path, [*planner, "import", kind, str(ROOT / "seed_demo" / "data" / f"{kind}.csv")])
    plan = run(site, tmp_path, [*planner, "plan", "make", "--seconds", "1"])
    assert "Plan 1, draft: 35 jobs" in plan  # four more wait for the take-off of their designs
    assert "up to date" in run(site, tmp_path, [*planner, "db", "state"])


def test_the_wheel_opens_the_invented_season(site: Path, tmp_path: Path) -> None:
    env = {**os.environ, "PYTHONPATH": str(site), "PLANNER_DB": str(tmp_path / "own.sqlite3")}
    words = [sys.executable, "-m", "planner.cli.main", "open", "--demo", "--no-browser"]
    with subprocess.Popen(words, cwd=tmp_path, env=env, stdout=subprocess.PIPE, text=True) as office:
        try:
            assert office.stdout is not None
            link = office.stdout.readline().strip()
            cookies = build_opener(HTTPCookieProcessor())
            cookies.open(link)
            page = cookies.open(link.partition("/start/")[0] + "/").read().decode()
        finally:
            office.terminate()
    assert "Quillback Ponds (invented)" in page
    assert "An invented season" in page
    assert not (tmp_path / "own.sqlite3").exists()
