"""A little firm in a database of its own."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job, Line
from planner.flow.keeping.database import create_store
from planner.store.engine import Store

NOW = datetime(2027, 4, 5, 6, 45)
LINES = (
    Line("dig_machine_cy", 9),
    Line("dig_hand_cy", 2),
    Line("filter_boxes", 2),
    Line("liner_ft2", 420),
    Line("boulder_medium_ton", 4),
    Line("gravel_ton", 2),
    Line("pipe_ft", 35),
    Line("connections", 6),
    Line("sealed_joints", 2),
    Line("fill_gal", 2200),
    Line("hose_gpm", 11),
    Line("edge_ft", 50),
)
ALL = frozenset({"excavator", "stonework", "plumbing"})


def job(code: str, **changes: object) -> Job:
    marked = (Gate(GateKind.LOCATE, date(2027, 3, 31), met=True),)  # every owner has answered
    plain = Job(code, f"Client {code}", lines=LINES, promised=date(2027, 5, 14), gates=marked)
    return replace(plain, **changes)  # type: ignore[arg-type]


@pytest.fixture
def firm_db(tmp_path: Path) -> str:
    """Two crews, one excavator, three sold jobs and an inquiry."""
    location = str(tmp_path / "season.sqlite3")
    create_store(location, "test")
    with Store(location).writing(who="test") as book:
        book.save_firm(Firm(name="Test firm (invented)"))
        book.save_crew(Crew("Heron", "Ada", 3, ALL))
        book.save_crew(Crew("Otter", "Bo", 2, ALL))
        book.save_machine(Machine("excavator", "mini excavator", 1))
        for code in ("P1", "P2", "P3"):
            book.save_job(job(code))
        book.save_job(job("P9", promised=None, status="inquiry"))
    return location
