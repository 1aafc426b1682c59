"""CSV in and out: round trips, every fault with its place, and nothing kept on any fault."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.flow.keeping.cells import guard, restore
from planner.store.engine import Store
from tests.store.values import CREW, FIRM, JOB, MACHINE

KINDS = ("jobs", "quantities", "gates", "crews", "people", "machines", "days-off")
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(
    new_season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.chdir(tmp_path)

    def typed(*words: str) -> tuple[int, str, str]:
        code = main(list(words))
        told = capsys.readouterr()
        return code, told.out, told.err

    return typed


@pytest.fixture
def filled(run: Run, tmp_path: Path) -> Run:
    with Store(tmp_path / "season.sqlite3").writing() as book:
        book.save_firm(FIRM)
        book.save_crew(CREW)
        book.save_machine(MACHINE)
        book.save_job(JOB)
    return run


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("kind", KINDS)
def test_what_was_exported_changes_nothing_when_imported(filled: Run, kind: str, units: str) -> None:
    filled("firm", "set", "--units", units)
    before = filled("export", "firm")[1]
    assert filled("export", kind, f"{kind}.csv")[0] == 0
    code, out, _ = filled("import", kind, f"{kind}.csv")
    assert code == 0 and "0 new: -\n0 changed: -" in out
    assert filled("export", "firm")[1] == before


def test_a_season_moves_to_another_firm_through_csv(filled: Run, tmp_path: Path) -> None:
    for kind in KINDS:
        filled("export", kind, f"{kind}.csv")
    other = str(tmp_path / "other.sqlite3")
    assert main(["--db", other, "db", "create"]) == 0
    assert main(["--db", other, "firm", "set", "--dates", "day first"]) == 0  # as the other one writes them
    for kind in ("crews", "machines", "people", "jobs", "quantities", "gates", "days-off"):
        assert main(["--db", other, "import", kind, f"{kind}.csv"]) == 0
    with Store(other).reading() as there, Store(tmp_path / "season.sqlite3").reading() as here:
        assert there.crews() == here.crews()
        assert there.machines()[0].out == here.machines()[0].out
        new, old = there.job("P-014"), here.job("P-014")
        assert (new.gates, new.blackouts, new.client, new.notes) == (
            old.gates,
            old.blackouts,
            old.client,
            old.notes,
        )
        assert [(x.item, x.origin, x.note) for x in new.lines] == [
            (x.item, x.origin, x.note) for x in old.lines
        ]
        for a, b in zip(new.lines, old.lines, strict=True):
            assert a.quantity == pytest.approx(b.quantity, rel=1e-11)


def test_all_faults_are_told_with_line_and_column_and_nothing_is_kept(filled: Run, tmp_path: Path) -> None:
    before = filled("export", "firm")[1]
    (tmp_path / "bad.csv").write_text(
        "code,client,soil,promised,dig_machine_cy,latitude_deg,longitude_deg\n"
        "OK-1,Fine,clay,2027-05-01,3,,\n"
        'A 1,"two\nlines",mud,2026-02-30,x,91,0\n'
        "A2,,loam,,-12,40,\n"
        "OK-1,Again,loam,,,,\n",
        encoding="utf-8",
    )
    code, out, err = filled("import", "jobs", "bad.csv")
    assert (code, out) == (2, "")
    places = [line.removeprefix("planner: ").partition(": ")[0] for line in err.splitlines()]
    assert places == [
        "bad.csv line 3 column 1 (code)",
        "bad.csv line 3 column 2 (client)",
        "bad.csv line 3 column 3 (soil)",
        "bad.csv line 3 column 4 (promised)",
        "bad.csv line 3 column 5 (dig_machine_cy)",
        "bad.csv line 3 column 6 (latitude_deg)",
        "bad.csv line 5 column 2 (client)",
        "bad.csv line 5 column 5 (dig_machine_cy)",
        "bad.csv line 5",
        "bad.csv line 6 column 1 (code)",
    ]
    assert filled("export", "firm")[1] == before


def test_a_dry_run_tells_and_changes_nothing(filled: Run, tmp_path: Path) -> None:
    before = filled("export", "firm")[1]
    (tmp_path / "new.csv").write_text("name,size\nNorth,2\nSouth,3\n", encoding="utf-8")
    code, out, err = filled("import", "crews", "new.csv", "--dry-run")
    assert code == 0
    assert out == "2 rows read\n1 new: South\n1 changed: North\n"
    assert "--dry-run" in err
    assert filled("export", "firm")[1] == before
    assert filled("import", "crews", "new.csv")[0] == 0
    with Store(tmp_path / "season.sqlite3").reading() as book:
        assert book.crew("North").lead == CREW.lead and book.crew("North").size == 2
        assert book.crew("South").size == 3


def test_a_row_exported_before_somebody_changed_the_job_is_refused(filled: Run, tmp_path: Path) -> None:
    filled("export", "jobs", "jobs.csv")
    filled("job", "change", "P-014", "--region", "south")
    code, _, err = filled("import", "jobs", "jobs.csv")
    assert code == 2
    assert "column 27 (revision): revision = '1': the job was changed since (revision 2)" in err
    assert filled("job", "show", "P-014", "--json")[1].count('"south"') == 1


def test_an_item_column_replaces_the_lines_of_that_item_only(filled: Run, tmp_path: Path) -> None:
    filled("firm", "set", "--units", "us")
    (tmp_path / "q.csv").write_text(
        "code,client,dig_machine_cy,pipe_m,boulder_large_ton\nP-014,Bo,25,3.048,3\n"
    )
    assert filled("import", "jobs", "q.csv")[0] == 0
    with Store(tmp_path / "season.sqlite3").reading() as book:
        job = book.job("P-014")
    assert [(x.item, x.quantity) for x in job.lines] == [
        ("dig_machine_cy", 25.0),
        ("boulder_large_ton", 3.0),
        ("pipe_ft", pytest.approx(10.0)),
    ]


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@x", "\tx", "'=1", "''@", "'plain", "plain", "", "= \n"]
)
def test_formulas_are_guarded_and_come_back(text: str) -> None:
    assert not guard(text).startswith(("=", "+", "-", "@", "\t", "\r"))
    assert restore(guard(text)) == text


def test_no_cell_of_an_export_is_a_formula(filled: Run) -> None:
    for n, name in enumerate(["=HYPERLINK(1)", "+1", "-1", "@SUM(1)"]):
        assert filled("job", "add", "--notes", name, "--address", name, "--", f"F-{n}", name)[0] == 0
        assert filled("crew", "add", "--lead", name, "--", name)[0] == 0
        assert filled("job", "blackout", f"F-{n}", "2027-05-01", "--why", name)[0] == 0
    for kind in KINDS:
        rows = list(csv.reader(io.StringIO(filled("export", kind)[1])))
        for row in rows:
            for cell in row:
                formula = cell.startswith(("=", "+", "@", "-"))
                assert not formula or float(cell) < 0, cell


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf", "empty"),
        (b"\n\n", "empty"),
        (b"\xff\xfec\x00o\x00", "UTF-16"),
        (b"code,client\nA,\xe9\n", "UTF-8"),
        (b"code,client\nA,b\x00c\n", "NUL"),
        (b'code,client\nA,"b\n', "fix the quotes"),
        (b"code,client\nA," + b"x" * 10_000_000 + b"\n", "shorten"),
        (b"code,client\nA," + b"x" * 15_000 + b"\n", "shorten"),
        (b"code,client\nA,b,c\n", "header has 2 columns"),
        (b"code,client,code\nA,b,A\n", "name each column once"),
        (b"kode,client\nA,b\n", "did you mean code for kode?"),
        (b"client\nb\n", "this column is needed"),
        (b"code|client\nA|b\n", "take out code|client"),
        (b"PK\x03\x04\x14\0", "save the sheet as CSV"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "save the sheet as CSV"),
    ],
)
def test_a_file_of_another_kind_is_refused_in_clear_words(
    run: Run, tmp_path: Path, content: bytes, told: str
) -> None:
    (tmp_path / "x.csv").write_bytes(content)
    code, _, err = run("import", "jobs", "x.csv")
    assert code == 2
    assert told in err and "x.csv" in err
    assert run("job", "list", "--json")[1].count("[]") == 1


def test_spreadsheets_of_other_countries_are_read(run: Run, tmp_path: Path) -> None:
    content = "code;client;dig_machine_m3;notes\r\nA1;Bo;12,5;a,b\r\n"
    (tmp_path / "x.csv").write_text(content, encoding="utf-8-sig", newline="")
    assert run("import", "jobs", "x.csv")[0] == 0
    with Store(tmp_path / "season.sqlite3").reading() as book:
        job = book.job("A1")
    assert job.notes == "a,b"
    assert job.amount("dig_machine_cy") == pytest.approx(12.5 / 0.764554858, rel=1e-8)


def test_cells_parted_by_tabs_are_read(run: Run, tmp_path: Path) -> None:
    (tmp_path / "x.tsv").write_bytes(b"code\tclient\tliner_ft2\tnotes\nA1\tBo\t7,5\t1,500; soon\n")
    assert run("import", "jobs", "x.tsv")[0] == 0
    with Store(tmp_path / "season.sqlite3").reading() as book:
        job = book.job("A1")
    assert (job.amount("liner_ft2"), job.notes) == (7.5, "1,500; soon")


def test_a_comma_that_may_part_thousands_is_asked_about(run: Run, tmp_path: Path) -> None:
    head = "code;client;liner_ft2;gravel_ton;notes\n"
    (tmp_path / "x.csv").write_text(head + "A1;Bo;1,500;2;1,500\n")
    code, _, err = run("import", "jobs", "x.csv")
    assert (code, err.count("\n")) == (2, 1)
    assert "x.csv line 2 column 3 (liner_ft2): liner_ft2 = '1,500': write 1500 or 1.5" in err
    assert run("job", "list", "--json")[1].count("[]") == 1
    # Another number of the file shows that its commas are decimal; a text stays as it was.
    (tmp_path / "x.csv").write_text(head + "A1;Bo;1,500;2,25;1,500\n")
    assert run("import", "jobs", "x.csv")[0] == 0
    with Store(tmp_path / "season.sqlite3").reading() as book:
        job = book.job("A1")
    assert (job.amount("liner_ft2"), job.amount("gravel_ton"), job.notes) == (1.5, 2.25, "1,500")


def test_unknown_columns_are_told_once_with_what_they_were_meant_to_be(run: Run, tmp_path: Path) -> None:
    columns = "code,client,promise,liner_sqft,Set Back,phon,favourite color"
    (tmp_path / "x.csv").write_text(columns + "\n" + "\n".join(f"A{i},b,,,,,," for i in range(7)) + "\n")
    code, _, err = run("import", "jobs", "x.csv")
    assert (code, err.count("\n")) == (2, 1)
    assert "promised for promise" in err and "phone for phon" in err
    assert "take out" in err and "favourite color" in err
    assert len(err) < 400


@pytest.mark.parametrize(
    "name", ["season.sqlite3", ".", "none/x.csv", "/dev/null", "/proc/self/mem", "a\0b", "n" * 300]
)
def test_an_output_that_must_not_be_written_is_refused(filled: Run, tmp_path: Path, name: str) -> None:
    before = (tmp_path / "season.sqlite3").read_bytes()
    code, _, err = filled("export", "jobs", name, "--overwrite")
    assert code in (1, 2)
    assert err.startswith("planner: ") and len(err.splitlines()) == 1
    assert (tmp_path / "season.sqlite3").read_bytes() == before
    assert not list(tmp_path.glob("*.part"))


def test_an_existing_file_is_kept_unless_told(filled: Run, tmp_path: Path) -> None:
    (tmp_path / "jobs.csv").write_text("mine")
    assert filled("export", "jobs", "jobs.csv")[0] == 2
    assert (tmp_path / "jobs.csv").read_text() == "mine"
    assert filled("export", "jobs", "jobs.csv", "--overwrite")[0] == 0
    assert (tmp_path / "jobs.csv").read_bytes().startswith(b"\xef\xbb\xbfcode,client")
    assert (tmp_path / "jobs.csv").stat().st_mode & 0o077 == 0


def test_days_off_of_everything(filled: Run, tmp_path: Path) -> None:
    (tmp_path / "d.csv").write_text(
        "of,name,first,last,units,why,lent_to\n"
        "firm,,2027-12-24,2027-12-31,,winter,\n"
        "worked,,2027-05-01,,,,\n"
        "half,,2027-05-28,,,,\n"
        "crew,North,2027-08-02,2027-08-06,,holiday,\n"
        "job,P-014,2027-05-08,,,party,\n"
        "machine,excavator,2027-06-01,2027-06-03,1,service,\n"
        "person,Ada,2027-06-07,2027-06-08,,course,\n"
        "person,Ada,2027-06-14,,,,South\n"
    )
    assert filled("crew", "add", "South")[0] == 0
    assert filled("import", "days-off", "d.csv")[0] == 0
    code, out, _ = filled("export", "days-off")
    assert code == 0
    assert out.splitlines()[1:] == [
        "firm,,24/12/2027,31/12/2027,,winter,",
        "worked,,1/5/2027,1/5/2027,,,",
        "half,,28/5/2027,28/5/2027,,,",
        "crew,North,2/8/2027,6/8/2027,,holiday,",
        "job,P-014,8/5/2027,8/5/2027,,party,",
        "machine,excavator,1/6/2027,3/6/2027,1,service,",
        "person,Ada,7/6/2027,8/6/2027,,course,",
        "person,Ada,14/6/2027,14/6/2027,,,South",
    ]
    (tmp_path / "d.csv").write_text(
        "of,name,first,last\ncrew,Nobody,2027-08-02,\nfirm,x,2027-08-02,\nfirm,,2027-08-02,2027-08-01\n"
    )
    code, _, err = filled("import", "days-off", "d.csv")
    assert (code, len(err.splitlines())) == (2, 3)


@pytest.mark.parametrize("kind", KINDS)
def test_a_template_explains_each_column_and_can_be_imported_as_it_is(run: Run, kind: str) -> None:
    code, _, err = run("import", kind, "--template", f"{kind}.csv")
    assert code == 0, err
    head, told, example = csv.reader(io.StringIO(Path(f"{kind}.csv").read_text("utf-8-sig")))
    assert len(head) == len(told) == len(example)
    assert all(told)
    assert told[0].startswith("#:")
    assert any("(needed)" in cell for cell in told)
    assert run("import", kind, f"{kind}.csv")[:2] == (0, "0 rows read\n0 new: -\n0 changed: -\n")
    assert run("import", kind, "--template", f"{kind}.csv")[0] == 2, "a file that is there stays"


def test_the_templates_example_can_be_imported_when_its_remark_is_taken_off(run: Run) -> None:
    for kind in ("jobs", "crews", "machines", "days-off"):
        run("import", kind, "--template", "t.csv")
        text = Path("t.csv").read_text("utf-8-sig").replace("#: for example ", "")
        Path("t.csv").unlink()
        Path(f"{kind}.csv").write_text(text, encoding="utf-8")
        code, out, err = run("import", kind, f"{kind}.csv")
        assert (code, out.splitlines()[0]) == (0, "1 row read"), err
    assert "Ida Example" in run("job", "list")[1]


def test_a_template_is_of_a_kind_and_a_file_is_needed_otherwise(run: Run) -> None:
    assert run("import", "firm", "--template", "t.csv")[0] == 2
    assert "--template FILE" in run("import", "jobs")[2]


@pytest.mark.parametrize(
    ("cell", "amount"),
    [('"1,500"', 1500), ('"12,345.5"', 12345.5), ("$12", 12), ('"$1,500.00"', 1500), ("12 \u20ac", 12)],
)
def test_numbers_in_a_spreadsheets_dress_are_read(run: Run, cell: str, amount: float) -> None:
    Path("jobs.csv").write_text(f"code,client,fill_gal\nP-1,Lee,{cell}\n", encoding="utf-8")
    code, _, err = run("import", "jobs", "jobs.csv")
    assert code == 0, err
    out = run("export", "quantities")[1]
    assert f"fill_gal,{amount:g}" in out


@pytest.mark.parametrize("cell", ['"1,50"', '"15,00,000"', "$", "12 $ 3", '"$,500"'])
def test_numbers_that_are_none_stay_refused(run: Run, cell: str) -> None:
    Path("jobs.csv").write_text(f"code,client,fill_gal\nP-1,Lee,{cell}\n", encoding="utf-8")
    assert run("import", "jobs", "jobs.csv")[0] == 2


@pytest.mark.parametrize(
    ("order", "said"), [("month first", "Tue May 4, 2027"), ("day first", "Mon 5 Apr 2027")]
)
def test_a_file_whose_dates_read_both_ways_is_told_how_it_was_read(
    filled: Run, tmp_path: Path, order: str, said: str
) -> None:
    assert filled("firm", "set", "--dates", order)[0] == 0
    file = tmp_path / "either.csv"
    file.write_text(
        "code,client,region,promised,depth_in,access,soil\nE-1,Moss,OH,5/4/2027,24,machine,loam\n"
    )
    code, _, err = filled("import", "jobs", str(file), "--dry-run")
    assert code == 0
    assert f"5/4/2027 is read as {said}, {order}" in " ".join(err.split())
    assert "planner firm set --dates" in err
    file.write_text(
        file.read_text()
        + f"E-2,Fern,OH,{'5/14' if order == 'month first' else '14/5'}/2027,24,machine,loam\n"
    )
    assert "is read as" not in filled("import", "jobs", str(file), "--dry-run")[2], (
        "the second date tells which"
    )


def test_a_template_answers_under_json(filled: Run, tmp_path: Path) -> None:
    code, out, _ = filled("import", "jobs", "--template", str(tmp_path / "t.csv"), "--json")
    assert code == 0 and json.loads(out)["data"] == {"wrote": str(tmp_path / "t.csv"), "kind": "jobs"}
