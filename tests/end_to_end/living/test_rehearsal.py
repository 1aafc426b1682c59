"""A short season rehearsed through the commands. The full one is played in the benchmark.

The truth, the weather and the firm are invented; what is checked is what must hold in any season.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from .conftest import Run
from .rehearsal import Script
from .stage import rain_record, rehearse

MONDAY = date(2027, 4, 5)
SHORT = Script(
    crews=("Heron", "Otter"),
    machines=2,
    jobs=4,
    monday=MONDAY,
    weeks=8,
    rain=rain_record(MONDAY, 8, 3),
    sick={"Otter": (MONDAY + timedelta(weeks=1),)},
    broken=(MONDAY + timedelta(weeks=2), MONDAY + timedelta(weeks=2, days=3)),
    inquiries=((MONDAY + timedelta(days=4), "Q-001", "P-002", 0.8),),
    seed=3,
    seconds=0.2,
    promise_every_days=4.5,
)


def test_a_short_season(empty: Run) -> None:
    result = rehearse(empty, SHORT)
    told, jobs = result.told, result.jobs
    assert told.breaches == []
    assert told.logged == pytest.approx(told.hours)
    assert told.finished.keys() == jobs | {"Q-001"}
    # here re-planning keeps at least as many promises as leaving the plan alone
    assert told.kept(jobs) >= result.alone.kept(jobs)
    assert told.office
    assert told.office[0] > 0
    typed = [empty("job", "show", j, "--json") for j in told.finished]
    assert [(t.code, t.err) for t in typed] == [(0, "")] * len(typed)
    assert all(t.data["status"] == "done" for t in typed)
    print(result.table())


@pytest.fixture
def empty(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """A database that is not there yet."""
    monkeypatch.setenv("PLANNER_DB", str(tmp_path / "rehearsal.sqlite3"))
    return run
