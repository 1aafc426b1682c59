"""Jobs, crews, machines, firm and history as typed: exit code, stdout, stderr, JSON."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from planner.cli.main import main


@dataclass(frozen=True)
class Done:
    code: int
    out: str
    err: str

    @property
    def data(self) -> object:
        return json.loads(self.out)["data"]


Run = Callable[..., Done]


@pytest.fixture
def run(
    new_season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Types a command into a new, empty database."""
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_USER", "ada")
    monkeypatch.setenv("PLANNER_NOW", "2027-04-01T06:45")
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.chdir(tmp_path)

    def typed(*words: str) -> Done:
        code = main(list(words))
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return Done(code, told.out, told.err)

    return typed


def test_a_job_from_inquiry_to_cancelled(run: Run) -> None:
    done = run(
        "job", "add", "P-014", "Ada [red]Marsh", "--status", "inquiry", "--promised", "2027-05-20",
        "--soil", "clay", "--carry", "15m", "-q", "dig_machine_cy=18", "-q", "gravel_t=0.9071847",
    )  # fmt: skip
    assert (done.code, done.out) == (0, "")
    assert run("job", "change", "P-014", "--status", "sold", "--wet").code == 0
    assert (
        run("job", "gate", "P-014", "material", "2027-04-20", "--phase", "rock", "--note", "12 ton").code == 0
    )
    assert run("job", "blackout", "P-014", "2027-05-08", "2027-05-09", "--why", "party").code == 0
    assert run("crew", "add", "North", "--lead", "Bo", "--skills", "excavator").code == 0
    assert run("job", "pin", "P-014", "rock", "--crew", "North", "--start", "2027-04-21T07:00").code == 0
    assert run("job", "need", "P-014", "dig", "--machines", "", "--skills", "").code == 0
    job = run("job", "show", "P-014", "--json").data
    assert isinstance(job, dict)
    assert (job["status"], job["soil"], job["wet"], job["revision"]) == ("sold", "clay", True, 6)
    assert job["carry_ft"] == pytest.approx(49.2126, abs=1e-4)
    assert [(x["item"], round(x["quantity"], 6)) for x in job["lines"]] == [
        ("dig_machine_cy", 18),
        ("gravel_ton", 1),
    ]
    assert job["gates"][0]["phase"] == "rock" and job["pins"][0]["crew"] == "North"
    assert job["needs"] == {"dig": {"skills": [], "machines": {}}}
    page = run("job", "show", "P-014").out
    for words in (
        "Ada [red]Marsh",
        "rock not before Tue Apr 20, 2027 (open): 12 ton",
        "pinned  rock by North",
    ):
        assert words in page
    assert run("job", "cancel", "P-014", "--even-so").code == 0
    assert run("job", "list", "--status", "cancelled").out.splitlines()[1].startswith("P-014  Ada [red]Marsh")


def test_every_wrong_option_is_told_in_one_line_and_nothing_is_kept(run: Run) -> None:
    done = run(
        "job", "add", "P-1", "Bo", "--promised", "2026-02-30", "--soil", "mud", "--carry", "nan",
        "--importance", "-1", "-q", "sand=3", "-q", "liner_ft2=many",
    )  # fmt: skip
    assert done.code == 2
    told = done.err.splitlines()
    assert [line.split()[1] for line in told] == ["promised", "soil", "carry", "item", "liner_ft2"]
    assert run("job", "list", "--json").data == []


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["job", "show", "NONE"], 2, "planner: job = 'NONE': unknown code"),
        (["job", "add", "a b", "Bo"], 2, "planner: code = 'a b'"),
        (["job", "add", "-1", "Bo"], 2, ""),
        (["job", "add", "P-1", "   "], 2, "planner: client"),
        (["job", "add", "P-1", "x" * 501], 2, "planner: client"),
        (["job", "add", "P-1", "a\x1b[31m"], 2, "planner: client"),
        (["job", "add", "P-1", "Bo", "--latitude", "91", "--longitude", "0"], 2, "planner: latitude"),
        (["job", "add", "P-1", "Bo", "--latitude", "40"], 2, "planner: latitude and longitude"),
        (["job", "add", "P-1", "Bo", "-q", "filter_boxes=1.5"], 2, "planner: filter_boxes"),
        (["job", "add", "P-1", "Bo", "-q", "dig_hand_cy"], 2, "planner: --quantity"),
        (["crew", "add", "North", "--size", "0"], 2, "planner: size"),
        (["crew", "add", "North", "--skills", "cooking"], 2, "planner: skills"),
        (["crew", "change", "North", "--size", "3"], 2, "planner: crew"),
        (["crew", "remove", "North", "--yes"], 2, "planner: crew"),
        (["machine", "add", "Big One", "x"], 2, "planner: machine"),
        (["machine", "out", "none", "2027-04-05"], 2, "planner: machine"),
        (["firm", "set", "--weekdays", "never"], 2, "planner: weekdays"),
        (["firm", "set", "--state", "ZZ"], 2, "planner: state"),
        (["firm", "set", "--time-zone", "../etc/passwd"], 2, "planner: time_zone"),
        (["firm", "set", "--weight", "love=3"], 2, "planner: weight"),
        (["firm", "set", "--season-first", "2028-01-01"], 2, "planner: season_last"),
        (["firm", "closed", "2027-07-09", "2027-07-05"], 2, "planner: closed"),
        (["firm", "worked", "2027-07-09", "--drop"], 2, "planner: day"),
        (["history", "list", "--noun", "x"], 2, "planner: --noun"),
        (["history", "list", "--since", "x"], 2, "planner: --since"),
        (["job", "remove", "NONE", "--yes"], 2, "planner: job"),
        (["db", "restore", "none.sqlite3", "--yes"], 2, "planner: backup"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(
    run: Run, words: list[str], code: int, told: str
) -> None:
    before = run("export", "firm").out
    done = run(*words)
    assert done.code == code
    assert done.err.startswith(told)
    assert run("export", "firm").out == before


def test_names_of_any_kind_neither_crash_nor_restyle(run: Run) -> None:
    names = [
        "[bold]x[/bold]",
        "[/]",
        "a\"b'c; DROP TABLE jobs",
        "🪨 Łąka → e\u0301",
        "n" * 500,
        "=1+1",
        "\\",
        "{0}%s",
    ]
    for n, name in enumerate(names):
        assert run("job", "add", f"P-{n}", name, "--notes", name, "--address", name).code == 0
        assert json.loads(run("job", "show", f"P-{n}", "--json").out)["data"]["client"] == name
        assert name[:40] in " ".join(run("job", "show", f"P-{n}").out.split())
    listed = run("job", "list").out
    assert "[bold]x[/bold]" in listed and "\x1b" not in listed


def test_the_second_office_is_told(run: Run) -> None:
    run("job", "add", "P-1", "Bo")
    assert run("job", "change", "P-1", "--notes", "first", "--seen", "1").code == 0
    done = run("job", "change", "P-1", "--notes", "second", "--seen", "1")
    assert done.code == 1
    assert "changed by ada on Thu Apr 1, 2027 6:45" in done.err
    assert json.loads(run("job", "show", "P-1", "--json").out)["data"]["notes"] == "first"


def test_another_persons_fresh_change_is_mentioned(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    run("job", "add", "P-1", "Bo")
    monkeypatch.setenv("PLANNER_USER", "ben")
    assert "note: ada added it on Thu Apr 1, 2027 6:45" in run("job", "change", "P-1", "--wet").err


def test_undo_takes_the_last_change_back(run: Run) -> None:
    run("crew", "add", "North")
    run("crew", "change", "North", "--size", "5")
    assert run("history", "undo").code == 2  # without a terminal it wants --yes
    done = run("history", "undo", "--yes")
    assert done.code == 0 and "crew North changed by ada" in done.err
    assert json.loads(run("crew", "list", "--json").out)["data"][0]["size"] == 3
    told = run("history", "list").out
    assert "(undo) size 5 → 3" in told and "(taken back) size 3 → 5" in told


def test_a_metric_firm_sees_and_types_metric(run: Run) -> None:
    run("firm", "set", "--units", "metric", "--road-speed", "60", "--unknown-site", "20")
    firm = json.loads(run("firm", "show", "--json").out)["data"]
    assert firm["road_mph"] == pytest.approx(37.2823, abs=1e-4)  # NIST SP 811: 1 mi = 1.609344 km
    run("job", "add", "P-1", "Bo", "--depth", "600", "--carry", "12", "-q", "liner_m2=55.741824")
    run("machine", "add", "excavator", "excavator", "--bucket", "0.07")
    page = run("job", "show", "P-1").out
    for words in ("depth_mm    600", "carry_m     12", "liner_m2     55.74  m2"):
        assert " ".join(words.split()) in " ".join(page.split())
    assert json.loads(run("job", "show", "P-1", "--json").out)["data"]["lines"][0][
        "quantity"
    ] == pytest.approx(600)
    for shown in (page, run("job", "list").out, run("machine", "list").out, run("firm", "show").out):
        assert not {"cy", "ft", "ft2", "ft3", "ton", "mph", "mi", "in", "gal"} & set(shown.split())


@pytest.mark.parametrize("width", [80, 100, 140])
def test_tables_fit_the_width_and_cut_nothing(run: Run, width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    run("job", "add", "P-1", "A client with a rather long name of its own", "--promised", "2027-05-20")
    run(
        "crew",
        "add",
        "The crew of the north side",
        "--lead",
        "Somebody",
        "--skills",
        "excavator,plumbing,stonework",
    )
    run(
        "crew",
        "away",
        "The crew of the north side",
        "2027-05-20",
        "2027-05-28",
        "--why",
        "holiday on the coast",
    )
    run("machine", "add", "excavator", "a machine with a rather long description")
    run("machine", "out", "excavator", "2027-05-20", "2027-05-28", "--why", "service in the county town")
    for words in (
        ["job", "list"],
        ["job", "show", "P-1"],
        ["crew", "list"],
        ["machine", "list"],
        ["firm", "show"],
        ["history", "list"],
    ):
        page = run(*words).out
        assert "…" not in page
        assert all(len(line) <= width for line in page.splitlines()), words


def test_completion_offers_codes_and_stays_silent_on_failure(run: Run, tmp_path: Path) -> None:
    from types import SimpleNamespace

    from planner.cli import complete

    run("job", "add", "P-1", "Bo")
    run("job", "add", "Q-1", "Bo")
    run("crew", "add", "North")

    def at(db: str | None) -> object:
        return SimpleNamespace(find_root=lambda: SimpleNamespace(params={"db": db}))

    assert complete.job_codes(at(None), "p") == ["P-1"]
    assert complete.crew_names(at(None), "") == ["North"]
    assert complete.job_codes(at(str(tmp_path / "none.sqlite3")), "") == []
    assert complete.job_codes(at("mysql://x"), "") == []
    assert complete.dates("2027-04-0")[:2] == ["2027-04-01", "2027-04-02"]


def test_a_mistyped_name_is_answered_with_the_near_one(run: Run) -> None:
    run("job", "add", "L09", "Ada")
    run("crew", "add", "Red", "--lead", "Ann")
    run("machine", "add", "excavator", "mini excavator")
    for typed in ("L9", "l09", "L-09"):
        done = run("job", "show", typed)
        assert (done.code, done.err.count("\n")) == (2, 1)
        assert "did you mean L09?" in done.err
    assert "did you mean Red?" in run("crew", "change", "red", "--size", "3").err
    assert "did you mean excavator?" in run("machine", "change", "excavater", "--units", "2").err
    assert "did you mean liner_ft2?" in run("job", "change", "L09", "-q", "liner_sqft2=3").err


def test_a_promise_in_the_past_is_not_taken_silently(run: Run, tmp_path: Path) -> None:
    assert (
        "note: L1 is promised for Wed May 20, 2026, which is past"
        in run("job", "add", "L1", "Ada", "--promised", "2026-05-20").err
    )
    assert "is past" not in run("job", "add", "L2", "Ada", "--promised", "2027-05-20").err
    assert "is past" in run("job", "change", "L2", "--promised", "2027-03-31").err
    assert "is past" not in run("job", "change", "L2", "--notes", "x").err
    (tmp_path / "jobs.csv").write_text("code,client,promised\nL3,Bo,2026-05-20\nL2,Ada,2027-03-31\n")
    err = run("import", "jobs", "jobs.csv").err
    assert err.count("is past") == 1 and "L3" in err
    done = run("job", "change", "L2", "--promised", "2027-W18")
    assert (done.code, "write a day like 5/14/2027 or 2027-05-14" in done.err) == (2, True)


def test_a_past_job_at_another_size_is_an_inquiry_whose_quantities_grow_by_their_geometry(run: Run) -> None:
    run("job", "add", "P-1", "Lee", "-q", "liner_ft2=400", "-q", "edge_ft=40", "-q", "filter_boxes=2")
    done = run("job", "like", "P-1", "P-2", "Ivo Reed", "--size", "2.25", "--json")
    assert done.code == 0
    assert [(r["item"], r["now"], r["unit"], r["grows"]) for r in done.data] == [
        ("filter_boxes", 2, "count", "stays"),
        ("liner_ft2", 900, "ft2", "as the surface"),
        ("edge_ft", 60, "ft", "as the rim"),
    ]
    assert "inquiry" in run("job", "show", "P-2").out
    assert "as the rim" in run("job", "like", "P-1", "P-3", "Ivo Reed").out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("P-1", "P-1", "Lee"), "a job has it already"),
        (("P-9", "P-2", "Lee"), "P-9"),
        (("P-1", "P-2", "Lee", "--size", "0"), "0.05 to 20"),
        (("P-1", "", "Lee"), "code"),
        (("P-0", "P-2", "Lee"), "no quantities"),
    ],
)
def test_a_copy_that_cannot_be_is_refused_in_one_line(run: Run, words: tuple[str, ...], said: str) -> None:
    run("job", "add", "P-1", "Lee", "-q", "liner_ft2=400")
    run("job", "add", "P-0", "Bo")
    done = run("job", "like", *words)
    assert done.code in {1, 2}
    assert said in done.err
    assert done.err.count("\n") == 1
    assert "P-2" not in run("job", "list").out
