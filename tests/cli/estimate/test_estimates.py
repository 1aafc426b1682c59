"""estimate and rates as a person types them: exit codes, stdout, stderr, JSON, editions kept."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from planner.cli.main import main
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import Access, Soil, Status
from planner.domain.firm.phases import Phase
from planner.flow.keeping.database import create_store
from planner.store.engine import Store
from seed_demo.truth import PastJob, Truth, past_logs
from tests.domain.estimate.ponds import BOOK, EXCAVATOR, FIRM, MONDAY, NORTH, pond, told

SOUTH = Crew("South [red]", "Bo", 2, frozenset({"stonework"}), pace=0.9)
ODD = 'Ödegaard [bold]x[/] "q"; 😀'


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two open jobs, one without quantities, one with a name of 500 characters, and six finished ones."""
    location = tmp_path_factory.mktemp("template") / "season.sqlite3"
    create_store(str(location), "test")
    truth = Truth(dict.fromkeys(told(pond()).phases, 1.3), job_log_sd=0.05, phase_log_sd=0.05)
    past = [
        PastJob(replace(pond(f"H-{i}"), status=Status.DONE), NORTH, date(2026, 4, 6) + timedelta(days=21 * i))
        for i in range(6)
    ]
    with Store(location).writing("test") as book:
        book.save_crew(NORTH)
        book.save_crew(SOUTH)
        book.save_machine(EXCAVATOR)
        book.save_job(replace(pond("P-1"), client=ODD), BOOK.edition)
        book.save_job(
            replace(pond("P-2"), client="C" * 500, access=Access.HAND, soil=Soil.STONY, depth_in=66.0)
        )
        book.save_job(replace(pond("P-3"), lines=()))
        for one in past:
            book.save_job(one.job, BOOK.edition)
        for entry in past_logs(past, told, FIRM, truth):
            book.save_log(entry)
    return location


@pytest.fixture
def season(template: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the template for one test; the clock stands on 1 March 2027."""
    location = tmp_path / "season.sqlite3"
    shutil.copy(template, location)
    monkeypatch.setenv("PLANNER_DB", str(location))
    monkeypatch.setenv("PLANNER_NOW", "2027-03-01T08:00")
    monkeypatch.setenv("COLUMNS", "100")
    return location


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


def data(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    code, out, err = run(capsys, *words, "--json")
    assert code == 0, err
    envelope = json.loads(out)
    assert envelope["format"] == 1
    return envelope["data"]


@pytest.mark.parametrize("columns", ["80", "100", "140"])
def test_the_list_fits_its_width(
    season: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    code, out, err = run(capsys, "estimate")
    assert (code, err) == (0, "")
    assert "P-1" in out and "no quantities" in out and "H-0" not in out
    assert max(len(line) for line in out.splitlines()) <= int(columns)


def test_one_job_says_hours_days_drivers_and_defaults(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, "estimate", "P-1", "--start", "2027-04-05")
    assert code == 0
    assert ODD in out
    for words in ("whole job", "days on site", "Driven by:", "still defaults", "Take care:", "unattended"):
        assert words in out
    assert "from Mon Apr 5, 2027" in out


def test_numbers_on_the_screen_are_those_of_the_model(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (one,) = data(capsys, "estimate", "P-1", "--start", "2027-04-05")
    expected = told(pond("P-1"))
    assert one["crew_h"]["likely"] == pytest.approx(expected.crew_h)
    assert one["crew_h"]["p80"] == pytest.approx(expected.crew_h_at(80))
    assert one["start"] == MONDAY.isoformat()
    assert one["days"]["p50"]["working_days"] <= one["days"]["p80"]["working_days"]
    assert len(one["drivers"]) == 3
    _, out, _ = run(capsys, "estimate", "P-1", "--start", "2027-04-05")
    assert f"{expected.crew_h_at(80):.1f}" in out


def test_explain_ends_every_row_in_a_source(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each key in brackets has an entry under Sources, and the crew-minutes of the lines sum to the total."""
    code, out, _ = run(capsys, "estimate", "P-1", "--explain")
    assert code == 0
    arithmetic, sources = out.split("\nSources\n")
    keys = {key.strip() for part in _brackets(arithmetic) for key in part.split(",")}
    assert len(keys) > 30
    assert all(f"  {key}  " in sources for key in keys)
    (one,) = data(capsys, "estimate", "P-1", "--explain")
    for phase in one["phases"].values():
        assert sum(line["crew_h"] for line in phase["lines"]) == pytest.approx(phase["crew_h"]["likely"])


def _brackets(text: str) -> list[str]:
    import re

    joined = " ".join(text.split())
    return [
        found for found in re.findall(r"\[([a-z_0-9., ]+)\]", joined) if "." in found or found == "occupied"
    ]


def test_the_planning_percentile_is_a_setting(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Store(season).writing("test") as book:
        book.save_firm(replace(book.firm(), planning_percentile=65.0))
    (one,) = data(capsys, "estimate", "P-1")
    assert sum(one["planned_crew_h"].values()) == pytest.approx(told(pond()).crew_h_at(65))
    assert set(one["days"]) == {"p50", "p65", "p80", "p90"}
    _, out, _ = run(capsys, "estimate", "P-1")
    assert f"{told(pond()).crew_h_at(65):.1f} at 65 %" in " ".join(out.split())


def test_ways_side_by_side(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    crews = data(capsys, "estimate", "P-1", "--compare", "crews")
    assert [one["way"] for one in crews] == ["North", "South [red]"]
    machine, hand = data(capsys, "estimate", "P-1", "--compare", "digging")
    assert hand["crew_h"]["likely"] > machine["crew_h"]["likely"]
    people = data(capsys, "estimate", "P-1", "--compare", "people")
    hours = [one["crew_h"]["likely"] for one in people]
    assert hours == sorted(hours, reverse=True) and len(hours) == 5
    code, out, _ = run(capsys, "estimate", "P-1", "--compare", "crews")
    assert code == 0 and "South [red]" in out


@pytest.mark.parametrize("width", [60, 80, 99, 100, 140])
def test_ways_keep_their_names_at_every_width(
    season: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    _, out, _ = run(capsys, "estimate", "P-1", "--compare", "digging")
    lines = out.splitlines()
    assert all(len(line.rstrip()) <= width for line in lines)
    assert sum(line.startswith(("machine ", "by hand ")) for line in lines) == 2
    assert "labour-h" in lines[1]
    assert ("plumbing" in lines[1]) is (width >= 100)


def test_weather_and_long_weeks_cost_hours(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (usual,) = data(capsys, "estimate", "P-1")
    (hot,) = data(capsys, "estimate", "P-1", "--temperature", "99")
    (metric,) = data(capsys, "estimate", "P-1", "--temperature", "37.2222222c")
    assert metric["crew_h"]["likely"] == pytest.approx(hot["crew_h"]["likely"])
    (long,) = data(capsys, "estimate", "P-1", "--hours-week", "60")
    (new,) = data(capsys, "estimate", "P-1", "--new-hands", "1")
    (steep,) = data(capsys, "estimate", "P-1", "--steep")
    for worse in (hot, long, new, steep):
        assert worse["crew_h"]["likely"] > usual["crew_h"]["likely"]


def test_metric_firms_see_metric_quantities(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Store(season).writing("test") as book:
        book.save_firm(replace(book.firm(), units="metric"))
    _, out, _ = run(capsys, "estimate", "P-1")
    assert "10.7 m3" in out and "14 cy" not in out
    _, out, _ = run(capsys, "estimate", "P-1", "--explain")
    assert "US units: 1 cy is 0.7646 m3" in out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["estimate", "nobody"], 2, "nobody"),
        (["estimate", "P-1", "--crew", "x"], 2, "--crew"),
        (["estimate", "P-1", "--edition", "1999"], 2, "1999"),
        (["rates", "import", "/dev/null"], 2, "not a plain file"),
        (["estimate", "P-1", "--compare", "x"], 2, "--compare"),
        (["estimate", "--compare", "crews"], 2, "exactly one job"),
        (["estimate", "P-1", "--start", "soon"], 2, "--start"),
        (["estimate", "P-1", "--temperature", "900"], 2, "temperature"),
        (["estimate", "P-1", "--temperature", "warm"], 2, "--temperature"),
        (["rates", "show", "nope"], 2, "nope"),
        (["rates", "import", "/nowhere.csv"], 2, "/nowhere.csv"),
        (["rates", "export", "/nowhere/rates.csv"], 2, "/nowhere/rates.csv"),
        (["rates", "refit", "--from", "1999"], 2, "1999"),
    ],
)
def test_refusals_are_one_line(
    season: Path, capsys: pytest.CaptureFixture[str], words: list[str], code: int, said: str
) -> None:
    before = season.read_bytes()
    got, out, err = run(capsys, *words)
    assert (got, out) == (code, "")
    assert err.startswith("planner: ") and said in err and len(err.splitlines()) == 1
    assert season.read_bytes() == before


def test_refit_proposes_and_saves_only_when_accepted(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    proposed = data(capsys, "rates", "refit")
    assert proposed["new_edition"] == "2027-03" and not proposed["accepted"]
    assert proposed["jobs"] == [f"H-{i}" for i in range(6)]
    assert len(data(capsys, "rates", "list")) == 1
    (before,) = data(capsys, "estimate", "P-1")
    code, out, _ = run(capsys, "rates", "refit", "--accept")
    assert code == 0 and "Saved as rate book 2027-03" in out
    assert [b["edition"] for b in data(capsys, "rates", "list")] == ["2027-01", "2027-03"]
    (after,) = data(capsys, "estimate", "P-1", "--edition", "newest")
    assert after["crew_h"]["likely"] > 1.1 * before["crew_h"]["likely"], "logs took 1.3 times the hours"
    (own,) = data(capsys, "estimate", "P-1")
    assert own["crew_h"] == before["crew_h"], "the job's own edition gives last spring's numbers again"
    code, out, _ = run(capsys, "rates", "refit")
    assert code == 0 and "No new edition" in out and "Backtest" in out
    again = data(capsys, "rates", "refit", "--from", "2027-01")
    assert again["new_edition"] == "2027-03-2"


def test_jobs_keep_the_edition_that_told_them(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """P-2 was never stamped; a new edition keeps the old one for it; undoing takes both back."""
    (before,) = data(capsys, "estimate", "P-2")
    assert run(capsys, "rates", "refit", "--accept")[0] == 0
    (own,) = data(capsys, "estimate", "P-2")
    assert own["edition"] == "2027-01" and own["crew_h"] == before["crew_h"]
    assert run(capsys, "history", "undo", "--yes")[0] == 0
    assert [b["edition"] for b in data(capsys, "rates", "list")] == ["2027-01"]
    (again,) = data(capsys, "estimate", "P-2", "--edition", "own")
    assert again["crew_h"] == before["crew_h"]


def test_refit_page_tells_old_new_interval_and_backtest(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, "rates", "refit")
    assert code == 0
    for words in (
        "old",
        "new",
        "80 % interval",
        "jobs",
        "bias",
        "within safe",
        "Nothing is changed yet",
        "phase rock",
    ):
        assert words in out


def test_refit_asks_about_hours_typed_ten_times_off(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "Ten times off?" not in run(capsys, "rates", "refit")[1]
    with Store(str(season)).writing(who="test") as book:
        entries = [e for e in book.logs() if e.job == "H-3" and e.phase is Phase.LINER]
        for entry in entries:
            book.remove_log(entry.id)
            book.save_log(replace(entry, crew_h=entry.crew_h / 10, id=0))
    code, out, _ = run(capsys, "rates", "refit")
    assert code == 0
    assert "Ten times off? H-3 liner: " in out and "planner log list --job H-3" in " ".join(out.split())
    (slip,) = data(capsys, "rates", "refit")["ten_times_off"]
    assert slip["logged_crew_h"] == pytest.approx(0.1 * slip["likely_crew_h"])
    assert "H-3 liner (" not in out, "it is asked about once"


def test_refit_without_logs_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    location = tmp_path / "empty.sqlite3"
    create_store(str(location), "test")
    monkeypatch.setenv("PLANNER_DB", str(location))
    code, out, _ = run(capsys, "rates", "refit", "--accept")
    assert code == 0 and "nothing to learn from" in out and "No backtest" in out
    code, out, _ = run(capsys, "estimate")
    assert code == 0 and "no open job" in out


def test_rates_out_changed_and_back(season: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    table = tmp_path / "rates.csv"
    assert run(capsys, "rates", "export", str(table))[0] == 0
    code, _, err = run(capsys, "rates", "import", str(table))
    assert code == 1 and "nothing in rates.csv differs" in err
    text = table.read_text(encoding="utf-8").replace(
        "berm.place,rate,cy,0.6,1.15", "berm.place,rate,cy,0.5,0.7"
    )
    table.write_text(text, encoding="utf-8")
    checked = data(capsys, "rates", "import", str(table), "--dry-run")
    assert not checked["saved"] and [row["key"] for row in checked["rows"]] == ["berm.place"]
    assert len(data(capsys, "rates", "list")) == 1
    saved = data(capsys, "rates", "import", str(table), "--note", "our own")
    assert saved["edition"] == "2027-03" and saved["parent"] == "2027-01"
    shown = data(capsys, "rates", "show", "berm.place")
    assert shown["rows"][0]["source"] == "own rate, imported 2027-03-01"
    old = data(capsys, "rates", "show", "berm.place", "--edition", "2027-01")
    assert old["rows"][0]["likely"] == 1.15
    code, _, err = run(capsys, "rates", "import", str(table), "--edition", "2027-01")
    assert code == 1 and "never overwritten" in err


def test_faults_of_a_table_change_nothing(
    season: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    table = tmp_path / "rates.csv"
    table.write_text("key,low,likely,high\nberm.place,a,b,1\nx,1,2,3\n", encoding="utf-8")
    code, _, err = run(capsys, "rates", "import", str(table))
    assert code == 2
    assert len(err.splitlines()) == 3 and all(
        line.startswith("planner: rates.csv line") for line in err.splitlines()
    )
    assert len(data(capsys, "rates", "list")) == 1


@pytest.mark.parametrize(
    ("band", "told_so"),
    [
        ("100000,100000,100000", "less than a year"),
        ("1e-05,1,100000", "at most 1000 times low"),
    ],
)
def test_a_book_that_leaves_every_calendar_is_refused(
    season: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path, band: str, told_so: str
) -> None:
    table = tmp_path / "rates.csv"
    assert run(capsys, "rates", "export", str(table))[0] == 0
    head, *lines = table.read_text(encoding="utf-8").splitlines()
    rates = [
        ",".join([*line.split(",")[:3], band]) for line in lines if line.split(",")[1] in ("rate", "set-up")
    ]
    table.write_text("\n".join([",".join(head.split(",")[:6]), *rates]) + "\n", encoding="utf-8")
    for more in ([], ["--dry-run"]):
        code, _, err = run(capsys, "rates", "import", str(table), *more)
        assert code == 2 and told_so in err, err
    assert len(data(capsys, "rates", "list")) == 1


def test_a_book_of_next_to_no_time_is_told_without_falling(
    season: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    table = tmp_path / "rates.csv"
    assert run(capsys, "rates", "export", str(table))[0] == 0
    _, *lines = table.read_text(encoding="utf-8").splitlines()
    keys = [line.split(",")[0] for line in lines if line.split(",")[1] in ("rate", "set-up")]
    rows = "".join(f"{key},0.00001,0.00001,0.01\n" for key in keys)
    table.write_text("key,low,likely,high\n" + rows, encoding="utf-8")
    assert run(capsys, "rates", "import", str(table))[0] in (0, 2)
    for line in (["estimate"], ["rates", "refit"], ["rates", "refit", "--accept"], ["db", "check"]):
        assert run(capsys, *line)[0] in (0, 1, 2)


@pytest.mark.parametrize("number", [1e-300, 1e-12, 1e12, 1e300])
def test_a_firm_file_brings_no_such_book(
    season: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path, number: float
) -> None:
    file = tmp_path / "firm.json"
    assert run(capsys, "export", "firm", str(file))[0] == 0
    whole = json.loads(file.read_text(encoding="utf-8"))
    for row in whole["rate_books"][-1]["book"]["rows"]:
        row["low"] = row["likely"] = row["high"] = number
    file.write_text(json.dumps(whole), encoding="utf-8")
    other = tmp_path / "other.sqlite3"
    create_store(str(other), "test")
    code, _, err = run(capsys, "--db", str(other), "import", "firm", str(file))
    assert code == 2 and "write a number from" in err and err.count("\n") == 1, err


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("--edition", "own"),
        ("--edition", "  "),
        ("--edition", "x" * 99),
        ("--edition", "a\nb"),
        ("--note", "a\x1b[31m"),
        ("--note", "x" * 501),
    ],
)
def test_an_edition_has_a_name_to_type_and_a_note_of_one_line(
    season: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path, option: str, value: str
) -> None:
    table = tmp_path / "rates.csv"
    table.write_text("key,low,likely,high\nberm.place,0.5,0.7,1.1\n", encoding="utf-8")
    code, out, err = run(capsys, "rates", "import", str(table), option, value)
    assert (code, out) == (2, "")
    assert option in err
    assert len(data(capsys, "rates", "list")) == 1


def test_show_defaults_only(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = data(capsys, "rates", "show", "--defaults")["rows"]
    assert rows and all(row["source"].startswith("default, to be calibrated") for row in rows)
