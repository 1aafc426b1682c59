"""A job keeps the rate book that told it, on every screen, until the office moves it on."""

from __future__ import annotations

from pathlib import Path

from .conftest import Run


def _slower(run: Run, folder: Path) -> None:
    """A second edition in which every liner takes far longer."""
    run("rates", "export", str(folder / "rates.csv"))
    rows = (folder / "rates.csv").read_text().splitlines()
    head = rows[0].split(",")
    kept = [rows[0]]
    for row in rows[1:]:
        cells = row.split(",")
        if cells[0].startswith("liner.") and cells[0] != "liner.heavy_power":
            for column in ("low", "likely", "high"):
                cells[head.index(column)] = str(float(cells[head.index(column)]) * 3)
            kept.append(",".join(cells))
    (folder / "slower.csv").write_text("\n".join(kept) + "\n")
    done = run("rates", "import", str(folder / "slower.csv"), "--edition", "slower")
    assert done.code == 0 and "keep theirs" in done.err, done.err


def _planned_h(run: Run, code: str) -> float:
    return sum(run("estimate", code, "--json").data[0]["planned_crew_h"].values())


def test_a_job_is_told_by_its_own_edition_on_every_screen(run: Run, tmp_path: Path) -> None:
    """Estimate, job card, log and the next plan use the old hours; only a new job uses the new ones."""
    before, card = _planned_h(run, "P-01"), run("job", "show", "P-01")
    assert "hours by rate book 2027-01" in card.out and "not estimated" not in card.out
    assert run("estimate", "P-01", "--edition", "own").code == 0, "own is known from the first day"
    first = run("plan", "make", "--steps", "300", "--json").data
    _slower(run, tmp_path)
    assert _planned_h(run, "P-01") == before
    assert run("job", "show", "P-01", "--json").data["rate_edition"] == "2027-01"
    again = run("plan", "make", "--steps", "300", "--json").data
    assert again["total_cents"] == first["total_cents"], "the same hours, so the same plan"
    run("job", "add", "P-77", "New", "-q", "liner_ft2=420")
    run("job", "add", "P-78", "Also new", "-q", "liner_ft2=420")
    assert run("job", "show", "P-77", "--json").data["rate_edition"] == "slower"
    assert run("estimate", "P-77", "--json").data[0]["edition"] == "slower"


def test_the_office_moves_a_job_on(run: Run, tmp_path: Path) -> None:
    """`rates adopt` is the way that the check names, and it silences the check."""
    before = _planned_h(run, "P-01")
    _slower(run, tmp_path)
    found = run("db", "check")
    assert "planner rates adopt" in found.out + found.err
    newest = run("estimate", "P-01", "--edition", "newest", "--json").data[0]
    assert newest["edition"] == "slower"
    moved = run("rates", "adopt", "P-01")
    assert moved.code == 0 and "P-01" in moved.err
    assert _planned_h(run, "P-01") > 1.2 * before
    assert _planned_h(run, "P-02") < 1.2 * before, "its neighbor stays"
    assert run("rates", "adopt").code == 0
    found = run("db", "check")
    assert "planner rates adopt" not in found.out + found.err
    assert "nothing changed" in run("rates", "adopt").err
    assert run("rates", "adopt", "P-99").code == 2
