"""What all tests share, made once and copied: an empty season, and a small one that is planned."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.flow.keeping.database import create_store

DESIGN = Path(__file__).parents[1] / "seed_demo" / "designs"
NOW = "2027-04-05T06:45"
#: What a small pond needs, and what a crew can do, as options of `planner job add` and `planner crew add`.
WORK = [
    *("-q", "dig_machine_cy=12", "-q", "liner_ft2=400"),
    *("-q", "boulder_small_ton=3", "-q", "fill_gal=1500"),
]
SKILLS = "excavator,stonework,plumbing"

# The search of tests runs as plain Python: nothing compiles in the background, each process starts at once.
os.environ.setdefault("PLANNER_COMPILED", "0")


@pytest.fixture(scope="session")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file to copy: as `planner db create` leaves it."""
    path = tmp_path_factory.mktemp("ready") / "season.sqlite3"
    create_store(str(path), "ada")
    return path


@pytest.fixture
def new_season(tmp_path: Path, ready: Path) -> Path:
    """A new, empty season of the test's own."""
    path = tmp_path / "season.sqlite3"
    path.write_bytes(ready.read_bytes())
    path.chmod(0o600)
    return path


@pytest.fixture(scope="session")
def planned(tmp_path_factory: pytest.TempPathFactory, ready: Path) -> Path:
    """A folder to copy: a small season, planned and published, with files of every kind beside it."""
    folder = tmp_path_factory.mktemp("planned")
    db = folder / "season.sqlite3"
    shutil.copy(ready, db)
    commands = [
        ["crew", "add", "North", "--lead", "Ada", "--skills", SKILLS],
        ["crew", "add", "South", "--lead", "Bo", "--skills", SKILLS],
        ["machine", "add", "excavator", "excavator", "--units", "2"],
        ["firm", "set", "--state", "OH", "--latitude", "41", "--longitude", "-82"],
        ["job", "add", "P-1", "Marsh", "--address", "1 Hill Road", "--promised", "2027-05-20", *WORK],
        ["job", "add", "P-2", "Moor [bold]", "--promised", "2027-05-10", *WORK],
        ["job", "add", "P-3", "Mere", "--status", "inquiry", *WORK],
        ["office", "here", "P-1"],
        ["office", "here", "P-2"],
        ["plan", "make", "--steps", "800"],
        ["plan", "publish"],
        ["log", "add", "P-1", "dig", "North", "4", "--day", "2027-04-05", "--share", "0.4"],
        ["export", "jobs", str(folder / "jobs.csv")],
        ["export", "firm", str(folder / "firm.json")],
    ]
    with pytest.MonkeyPatch.context() as patch:
        for name, value in (("PLANNER_NOW", NOW), ("PLANNER_USER", "ada"), ("PLANNER_DB", str(db))):
            patch.setenv(name, value)
        for words in commands:
            assert main(words) == 0, words
    for design in sorted(DESIGN.glob("*.toml"))[:1]:
        shutil.copy(design, folder / "pond.toml")
    (folder / "junk.bin").write_bytes(bytes(range(256)) * 40)
    (folder / "sheet.txt").write_text("PLANNER DAY North 2027-04-05\n", encoding="utf-8")
    return folder
