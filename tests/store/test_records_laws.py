"""Laws of the records: what is kept comes back the same, whatever a person may legally write."""

from __future__ import annotations

import csv
import io
import json
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.domain.firm.jobs import (
    ITEMS,
    Access,
    DayRange,
    Gate,
    GateKind,
    Job,
    Line,
    Need,
    Origin,
    Pin,
    Soil,
    Status,
)
from planner.domain.firm.phases import SKILLS, Phase
from planner.domain.firm.sound import faults_of_job
from planner.domain.plain import from_plain, to_plain
from planner.flow.keeping.cells import guard, read_sheet, restore, write_sheet
from planner.flow.keeping.kind import Records
from planner.flow.keeping.kinds import KINDS
from planner.store.engine import Store
from planner.store.safekeeping.migrate import create

LINES_OF_TEXT = st.text(st.characters(blacklist_categories=("Cc", "Cs", "Zl", "Zp")), max_size=60)
CLIENTS = LINES_OF_TEXT.filter(lambda text: bool(text.strip())).map(str.strip)
CODES = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,23}", fullmatch=True)
DAYS = st.dates(date(2000, 1, 1), date(2100, 12, 31))
RANGES = st.tuples(DAYS, DAYS, LINES_OF_TEXT.map(str.strip)).map(
    lambda t: DayRange(min(t[0], t[1]), max(t[0], t[1]), t[2])
)
MEASURES = st.floats(0, 5000)


@st.composite
def lines(draw: st.DrawFn) -> Line:
    item = draw(st.sampled_from(sorted(ITEMS)))
    whole = ITEMS[item].unit == "count"
    amount = float(draw(st.integers(0, 500))) if whole else draw(st.floats(0, 1e6))
    return Line(item, amount, draw(st.sampled_from(Origin)), draw(LINES_OF_TEXT.map(str.strip)))


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    place = draw(st.none() | st.tuples(st.floats(-90, 90), st.floats(-180, 180)))
    gates = st.builds(
        Gate, st.sampled_from(GateKind), DAYS, st.sampled_from(Phase), st.booleans(), LINES_OF_TEXT
    )
    needs = st.builds(
        Need,
        st.none() | st.frozensets(st.sampled_from(SKILLS)),
        st.none() | st.dictionaries(st.sampled_from(["excavator", "barrow"]), st.integers(0, 5)),
    )
    moments = st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1)).map(lambda m: m.replace(microsecond=0))
    pinned = draw(st.lists(st.sampled_from(Phase), unique=True, max_size=2))
    return Job(
        code=draw(CODES),
        client=draw(CLIENTS),
        address=draw(LINES_OF_TEXT.map(str.strip)),
        latitude_deg=place[0] if place else None,
        longitude_deg=place[1] if place else None,
        status=draw(st.sampled_from(Status)),
        gates=tuple(draw(st.lists(gates, max_size=3))),
        promised=draw(st.none() | DAYS),
        importance=draw(st.floats(0, 1000)),
        blackouts=tuple(draw(st.lists(RANGES, max_size=2))),
        access=draw(st.sampled_from(Access)),
        soil=draw(st.sampled_from(Soil)),
        carry_ft=draw(MEASURES),
        shelves=draw(st.integers(0, 10)),
        wet=draw(st.booleans()),
        notes=draw(
            st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\r"), max_size=80)
        ),
        lines=tuple(draw(st.lists(lines(), max_size=4))),
        needs=draw(st.dictionaries(st.sampled_from(Phase), needs, max_size=2)),
        pins=tuple(Pin(phase, None, draw(moments)) for phase in pinned),
    )


SOUND_JOBS = jobs().filter(lambda job: not faults_of_job(job))


@given(st.text(max_size=200))
def test_a_guarded_cell_is_no_formula_and_comes_back(text: str) -> None:
    assert restore(guard(text)) == text
    assert not guard(text).startswith(("=", "+", "-", "@", "\t", "\r"))


@given(
    st.lists(
        st.lists(st.text(max_size=20).filter(lambda t: "\r" not in t), min_size=2, max_size=2), max_size=5
    )
)
def test_csv_text_is_csv(rows: list[list[str]]) -> None:
    text = write_sheet(["code", "client"], rows, to_file=False)
    assert list(csv.reader(io.StringIO(text, newline=""))) == [["code", "client"], *rows]


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(SOUND_JOBS)
def test_a_job_through_json_is_the_same(job: Job) -> None:
    assert from_plain(Job, json.loads(json.dumps(to_plain(job)))) == job


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    made = Store(tmp_path_factory.mktemp("laws") / "season.sqlite3")
    create(made)
    return made


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(SOUND_JOBS)
def test_a_job_through_the_store_is_the_same(store: Store, job: Job) -> None:
    with store.writing() as book:
        book.save_job(job)
        assert book.job(job.code) == job


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    SOUND_JOBS,
    st.sampled_from(["us", "metric"]),
    st.sampled_from(["jobs", "quantities", "gates", "days-off"]),
)
def test_a_job_through_csv_changes_nothing(job: Job, units: str, kind_name: str) -> None:
    from dataclasses import replace

    from planner.domain.firm.firm import Firm

    records = Records(replace(Firm(), units=units), {job.code: job}, {}, {}, {})
    kind = KINDS[kind_name]
    text = write_sheet(kind.columns(units), kind.rows(records), to_file=True)
    again = Records(records.firm, dict(records.jobs), {}, {}, {})
    faults = kind.read(read_sheet(Path("x.csv").name, text.encode(), kind.known(), kind.needed), again)
    assert faults == []
    assert again.jobs[job.code] == replace(job, gates=again.jobs[job.code].gates)
    assert [(g.kind, g.opens, g.phase, g.met) for g in again.jobs[job.code].gates] == [
        (g.kind, g.opens, g.phase, g.met) for g in job.gates
    ]
