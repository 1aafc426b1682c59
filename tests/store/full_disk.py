"""Run in a process of its own: each writing command while no file may grow beyond a limit, told as JSON.

Arguments: the folder of a planned season, where to work. A file-size limit does what a full disk does: the
system refuses to write, SQLite must take its change back, and the command must say so.
"""

from __future__ import annotations

import csv
import io
import json
import os
import resource
import shutil
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from planner.cli.main import main

COMMANDS = (
    "job add N-1 New -q dig_machine_cy=5",
    "job change P-1 --notes {long}",
    "job cancel P-1 --even-so",
    "job gate P-1 permit 2027-04-09 --note {long300}",
    "crew add East --lead Nora",
    "crew away North 2027-06-01 --why {long300}",
    "machine add tamper tamper",
    "firm set --name {long300}",
    "firm closed 2027-07-05 --why {long300}",
    "history undo --yes",
    "import jobs many.csv",
    "log add P-1 dig North 4 --day 2027-04-05 --note {long}",
    "log undo 1",
    "lost rain 2027-04-07 --note {long}",
    "plan make --seconds 0.3",
    "plan publish",
    "replan --quick",
    "promise hold P-3 --until 2027-04-07",
    "office tick {tick}",
    "rates import rates.csv",
    "design take-off pond.toml P-3 --yes",
    "db backup",
    "export firm out.json",
    "board --week 2027-W14 --page out.html",
)


def tried(folder: Path, line: str, limit: int) -> dict[str, object]:
    """Run the command under the limit; what it said, and whether the database is as before."""
    database = folder / "season.sqlite3"
    before = database.read_bytes()
    out, err = io.StringIO(), io.StringIO()
    hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, hard))
    try:
        with redirect_stdout(out), redirect_stderr(err):
            code = main(line.split())
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
    same = database.read_bytes() == before
    left = sorted(p.name for p in folder.rglob("*.part"))
    return {
        "line": line[:60],
        "limit": limit,
        "code": code,
        "err": err.getvalue(),
        "same": same,
        "left": left,
    }


def every(planned: Path, work: Path) -> list[dict[str, object]]:
    """Each command at three limits, each on a season of its own."""
    told = []
    base = work / "base"
    shutil.copytree(planned, base)
    os.environ["PLANNER_DB"] = str(base / "season.sqlite3")
    with redirect_stdout(io.StringIO()):
        main(["plan", "make", "--seconds", "0.3"])  # a draft that can be published
        main(["rates", "export", str(base / "rates.csv")])
    _raise_one_rate(base / "rates.csv")
    keys = {"long": "x" * 9000, "long300": "y" * 300, "tick": _first_item(base)}
    for n, template in enumerate(COMMANDS):
        for limit in (512, 8192, (base / "season.sqlite3").stat().st_size):
            folder = work / f"{n}-{limit}"
            shutil.copytree(base, folder)
            rows = "".join(f"K{k},Client {k},{'n' * 3000}\n" for k in range(60))
            (folder / "many.csv").write_text("code,client,notes\n" + rows, encoding="utf-8")
            os.chdir(folder)
            os.environ["PLANNER_DB"] = str(folder / "season.sqlite3")
            told.append(tried(folder, template.format(**keys), limit))
            shutil.rmtree(folder)
    return told


def _raise_one_rate(path: Path) -> None:
    """Make the table differ from the book it was written from."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    rows[0]["high"] = str(float(rows[0]["high"]) * 2)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)


def _first_item(planned: Path) -> str:
    """The key of something that the office's list asks for."""
    os.environ["PLANNER_DB"] = str(planned / "season.sqlite3")
    out = io.StringIO()
    with redirect_stdout(out):
        main(["office", "list", "--all", "--json"])
    found = json.loads(out.getvalue())["data"]
    items = found if isinstance(found, list) else next(v for v in found.values() if isinstance(v, list) and v)
    return str(items[0]["key"])


if __name__ == "__main__":
    json.dump(every(Path(sys.argv[1]), Path(sys.argv[2])), sys.stdout)
