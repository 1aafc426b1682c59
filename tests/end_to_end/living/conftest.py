"""A little invented firm in a database of its own, and a way to type commands."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from planner.cli.main import main
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job, Line, Status
from planner.flow.keeping.database import create_store
from planner.flow.season.plans import make_plan, publish
from planner.store.engine import Store

MORNING = datetime(2027, 4, 5, 6, 45)
ALL = frozenset({"excavator", "stonework", "plumbing"})
LINES = (
    Line("dig_machine_cy", 9),
    Line("filter_boxes", 2),
    Line("liner_ft2", 420),
    Line("boulder_medium_ton", 4),
    Line("pipe_ft", 35),
    Line("connections", 6),
    Line("fill_gal", 2200),
    Line("hose_gpm", 4),
    Line("edge_ft", 50),
)


@dataclass
class Typed:
    """What one command line gave."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """The JSON answer's data."""
        return json.loads(self.out)["data"]


Run = Callable[..., Typed]


def season_db(
    location: str, jobs: int = 5, crews: int = 2, machines: int = 1, *, located: bool = True
) -> None:
    """`jobs` sold jobs with promises three days apart, and one inquiry called P-90.

    located: the office has asked for every locate in time, every owner has answered, all material is here.
    """
    kinds = (GateKind.LOCATE, GateKind.MATERIAL) if located else ()
    marked = tuple(Gate(kind, date(2027, 4, 5), met=True) for kind in kinds)
    create_store(location, "test")
    with Store(location).writing(who="test") as book:
        book.save_firm(Firm(name="Test firm (invented)", state="OH"))
        for name in ("Heron", "Otter", "Finch", "Newt", "Carp", "Reed")[:crews]:
            book.save_crew(Crew(name, f"lead of {name}", 3, ALL))
        book.save_machine(Machine("excavator", "mini excavator", machines))
        for n in range(jobs):
            job = Job(
                f"P-{n + 1:02}",
                f"Client {n + 1}",
                region=("north", "south")[n % 2],
                lines=LINES,
                promised=date.fromordinal(date(2027, 4, 14).toordinal() + 3 * n),
                gates=(*marked, *((Gate(GateKind.DEPOSIT, date(2027, 4, 7)),) if n == 1 else ())),
            )
            book.save_job(job)
        book.save_job(
            replace(job, code="P-90", client="Asks", status=Status.INQUIRY, promised=None, gates=())
        )


@pytest.fixture(scope="session")
def season_files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Databases that are copied for each test: as typed in, and with a published plan."""
    bare = tmp_path_factory.mktemp("bare") / "season.sqlite3"
    season_db(str(bare))
    ready = tmp_path_factory.mktemp("ready") / "season.sqlite3"
    shutil.copy(bare, ready)
    made = make_plan(str(ready), MORNING, seconds=60, steps=400).plan
    publish(str(ready), made.number, MORNING, "test")
    silent = tmp_path_factory.mktemp("silent") / "season.sqlite3"
    season_db(str(silent), located=False)
    made = make_plan(str(silent), MORNING, seconds=60, steps=400).plan
    publish(str(silent), made.number, MORNING, "test")
    return {"bare": bare, "ready": ready, "silent": silent}


@pytest.fixture
def run(
    season_files: dict[str, Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Run:
    """Type a command on the morning of Monday 5 April 2027 (or at `at`); there is no plan yet."""
    location = tmp_path / "season.sqlite3"
    shutil.copy(season_files["bare"], location)
    monkeypatch.setenv("PLANNER_DB", str(location))
    monkeypatch.setenv("PLANNER_USER", "test")
    monkeypatch.setenv("COLUMNS", "100")

    def typed(*words: object, at: str = MORNING.isoformat()) -> Typed:
        monkeypatch.setenv("PLANNER_NOW", at)
        code = main([str(w) for w in words])
        shown = capsys.readouterr()
        return Typed(code, shown.out, shown.err)

    return typed


@pytest.fixture
def planned(run: Run, season_files: dict[str, Path], tmp_path: Path) -> Run:
    """The same with a published plan, number 1."""
    shutil.copy(season_files["ready"], tmp_path / "season.sqlite3")
    return run


@pytest.fixture
def unlocated(run: Run, season_files: dict[str, Path], tmp_path: Path) -> Run:
    """A published plan that was made long before its digs, and nobody has asked for a locate."""
    shutil.copy(season_files["silent"], tmp_path / "season.sqlite3")
    return run
