"""Designs as typed: from a file to a job's quantities, and every refusal one line with nothing saved."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.cli.main import main

DESIGNS = Path(__file__).parents[3] / "seed_demo" / "designs"
PATIO = str(DESIGNS / "ellipse_patio.toml")


@pytest.fixture
def typed(new_season, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-01T06:45")
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.chdir(tmp_path)

    def run(*words: str) -> tuple[int, str, str]:
        code = main(list(words))
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return code, told.out, told.err

    assert run("job", "add", "P-014", "Ada Marsh", "-q", "gravel_ton=4")[0] == 0
    return run


def quantities(typed) -> dict[str, float]:
    code, out, _ = typed("design", "take-off", PATIO, "P-014", "--dry-run", "--json")
    assert code == 0
    return {item["item"]: item["before"] for item in json.loads(out)["data"]["items"]}


def stored(typed) -> str:
    return typed("job", "show", "P-014", "--json")[1]


def test_check_shows_sketch_quantities_and_cautions(typed):
    code, out, _ = typed("design", "check", PATIO)
    assert code == 0
    for words in ("Patio ellipse (invented)", "bank dug by machine", "3333", "utility locate", "by spillway"):
        assert words in out
    data = json.loads(typed("design", "check", PATIO, "--json")[1])
    assert (data["planner"], data["format"]) == ("design check", 1)
    assert data["data"]["pump"]["duty_gpm"] == pytest.approx(44)


def test_take_off_keeps_what_was_entered_and_tells(typed):
    code, out, err = typed("design", "take-off", PATIO, "P-014")
    assert code == 0
    assert "entered, stays" in out
    assert "quantities saved" in err
    job = json.loads(stored(typed))["data"]
    text = json.dumps(job)
    assert '"computed"' in text
    assert '"entered"' in text
    # depth, soil and waterfall of the job follow the design
    assert "26" in typed("job", "show", "P-014")[1]


def test_a_second_run_asks_before_it_overwrites(typed, tmp_path):
    assert typed("design", "take-off", PATIO, "P-014")[0] == 0
    before = stored(typed)
    code, out, _ = typed("design", "take-off", PATIO, "P-014")
    assert code == 0
    assert "nothing changes" in out or "entered, stays" in out
    longer = tmp_path / "longer.toml"
    longer.write_text(Path(PATIO).read_text().replace("length_ft = 18", "length_ft = 22"))
    code, out, err = typed("design", "take-off", str(longer), "P-014")
    assert code == 2
    assert "liner_ft2" in out
    assert "--yes" in err
    assert stored(typed) == before
    assert typed("design", "take-off", str(longer), "P-014", "--dry-run")[0] == 0
    assert stored(typed) == before
    code, out, _ = typed("design", "take-off", str(longer), "P-014", "--yes", "--take-computed", "gravel_ton")
    assert code == 0
    assert "entered, stays" not in out
    assert stored(typed) != before


def test_the_design_is_kept_with_the_job(typed, tmp_path):
    typed("design", "take-off", PATIO, "P-014")
    for command in ("check", "materials", "pump"):
        code, out, _ = typed("design", command, "P-014")
        assert code == 0
        assert "Patio ellipse (invented)" in out
    assert typed("design", "draw", "P-014", "--out", "p014.svg")[0] == 0
    assert (tmp_path / "p014.svg").read_text().startswith("<?xml")


def test_one_design_to_estimate(typed):
    """A job goes from a design file to phase quantities with one command; the estimate reads them."""
    typed("crew", "add", "North", "--lead", "Bo", "--size", "3", "--skills", "excavator stonework plumbing")
    assert typed("design", "take-off", PATIO, "P-014")[0] == 0
    code, out, err = typed("estimate", "P-014")
    assert code == 0, err
    assert "dig" in out


def test_pull_list_of_one_phase(typed):
    rows = json.loads(typed("design", "materials", PATIO, "--phase", "set filters", "--json")[1])["data"]
    assert {row["phase"] for row in rows} == {"set_filters"}
    assert typed("design", "materials", PATIO, "--phase", "lunch")[0] == 2


def test_pump_page_names_the_meeting_point(typed):
    code, out, _ = typed("design", "pump", str(DESIGNS / "kidney_metric.toml"))
    assert code == 0
    assert "< duty" in out
    assert "would run at" in out


def test_a_line_that_is_too_small_is_said_to_be(typed, tmp_path):
    path = tmp_path / "thin.toml"
    path.write_text(Path(PATIO).read_text().replace("[pump_line]", "[pump_line]\nsize_in = 1"))
    assert "too fast, take a larger line" in typed("design", "pump", str(path))[1]
    assert "too fast" not in typed("design", "pump", PATIO)[1]


BAD = {
    "crossing": ("points_ft = [[0, 0], [10, 10], [10, 0], [0, 10]]", "crosses itself"),
    "tiny": ("points_ft = [[0, 0], [0.5, 0], [0, 0.5]]", "at least 1 ft2"),
    "swallowed": ("points_ft = [[0, 0], [3, 0], [3, 30], [0, 30]]", "nothing is left"),
    "split": (
        "points_ft = [[0,0],[9,0],[9,4],[12,4],[12,0],[21,0],[21,9],[12,9],[12,6],[9,6],[9,9],[0,9]]",
        "splits the pond into 2 basins",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_outlines_save_nothing(typed, tmp_path, name):
    points, says = BAD[name]
    path = tmp_path / "bad.toml"
    steps = "[[step]]\ndown_in = 8\nledge_in = 20\n[[step]]\ndown_in = 8\n"
    path.write_text(f'name = "bad"\n[outline]\nshape = "corners"\n{points}\n{steps}')
    before = stored(typed)
    code, out, err = typed("design", "take-off", str(path), "P-014")
    assert (code, out) == (2, "")
    assert says in err
    assert len(err.strip().splitlines()) == 1
    assert stored(typed) == before
    assert typed("design", "draw", str(path), "--out", "bad.svg")[0] == 2
    assert not (tmp_path / "bad.svg").exists()


@pytest.mark.parametrize("source", ["nowhere.toml", ".", "P-999", "x" * 500, "a[b];'🐸", ""])
def test_sources_that_cannot_be_read(typed, source):
    code, _, err = typed("design", "check", source)
    assert code == 2
    assert len(err.strip().splitlines()) == 1


def test_files_that_are_not_text(typed, tmp_path):
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\xfe\x00\x80" * 10)
    assert typed("design", "check", str(binary))[0] == 2
    huge = tmp_path / "huge.toml"
    huge.write_text("# " + "x" * 300_000)
    code, _, err = typed("design", "check", str(huge))
    assert (code, len(err.strip().splitlines())) == (2, 1)


def test_unknown_job_and_item(typed):
    assert typed("design", "take-off", PATIO, "P-999")[0] == 2
    code, _, err = typed("design", "take-off", PATIO, "P-014", "--take-computed", "gold_ton")
    assert code == 2
    assert "gold_ton" in err


def test_drawing_into_a_missing_folder(typed):
    assert typed("design", "draw", PATIO, "--out", "no/such/place.svg")[0] == 2


def test_a_nasty_name_neither_crashes_nor_styles(typed, tmp_path):
    path = tmp_path / "nasty.toml"
    path.write_text(
        Path(PATIO).read_text().replace('"Patio ellipse (invented)"', "'[bold red]x[/]\"; 🐸 <b>'")
    )
    for words in (("check",), ("materials",), ("pump",)):
        code, out, _ = typed("design", *words, str(path))
        assert code == 0
        assert "[bold red]x[/]" in out
    assert typed("design", "draw", str(path), "--out", "nasty.svg")[0] == 0


def test_a_metric_firm_sees_metric(typed):
    assert typed("firm", "set", "--units", "metric")[0] == 0
    out = typed("design", "check", PATIO)[1]
    assert " m3 " in out
    assert " cy " not in out


def test_without_a_database_a_file_can_still_be_checked(typed, monkeypatch, tmp_path):
    monkeypatch.setenv("PLANNER_DB", str(tmp_path / "none" / "x.sqlite3"))
    code, out, _ = typed("design", "check", str(DESIGNS / "kidney_metric.toml"))
    assert code == 0
    assert " m3 " in out


def test_the_list_of_a_job_tells_of_figures_that_were_entered(typed):
    typed("design", "take-off", PATIO, "P-014")
    assert "kept design differ: gravel 4 ton, design 1.53 ton" in typed("design", "materials", "P-014")[1]
    assert "does not use" not in typed("design", "materials", "P-014", "--phase", "fill")[1]


def test_a_metric_firm_names_items_its_own_way(typed):
    assert typed("firm", "set", "--units", "metric")[0] == 0
    out = typed("design", "take-off", PATIO, "P-014", "--dry-run")[1]
    assert "--take-computed gravel_t\n" in out
    taken = typed("design", "take-off", PATIO, "P-014", "--take-computed", "gravel_t")
    assert (taken[0], "entered, stays" in taken[1]) == (0, False)


def test_every_screen_says_that_job_and_design_differ_until_they_agree(typed):
    said = "P-014: the job and its kept design differ: depth 30 in, design 26 in"
    typed("design", "take-off", PATIO, "P-014", "--take-computed", "gravel_ton")
    assert said in " ".join(typed("job", "change", "P-014", "--depth", "30")[2].split())
    for words in (
        ("job", "show", "P-014"),
        ("estimate", "P-014"),
        ("design", "check", "P-014"),
        ("design", "materials", "P-014"),
    ):
        assert said in " ".join(typed(*words)[1].split()), words
    assert said in json.loads(typed("job", "show", "P-014", "--json")[1])["data"]["parted"]
    typed("design", "draw", "P-014", "--out", "p.svg")
    assert "Take care" in Path("p.svg").read_text("utf-8")
    code, out, err = typed("design", "take-off", PATIO, "P-014", "--yes")
    assert code == 0 and "entered, stays" in out and "no quantity of the job changed" in err and said in err
    code, _, err = typed("design", "take-off", PATIO, "P-014", "--take-computed", "depth", "--yes")
    assert code == 0 and "quantities saved" in err and "differ" not in err
    assert "differ" not in typed("job", "show", "P-014")[1]


def test_a_take_off_says_that_the_plan_has_the_hours_of_before():
    from planner.report.design.design import after_words

    (told,) = after_words("P-014", (), 3, 4, "us")
    assert "plan 4 still has the hours of before" in told
    assert after_words("P-014", (), 0, 4, "us") == after_words("P-014", (), 3, 0, "us") == []
