"""Seed the invented season and do the main job on it: `python -m seed_demo [--folder demo-out]`.

Everything goes through the same commands that a contractor types, in a database of its own. It may be run
again and again: it replaces its own database and nothing else.
"""

from __future__ import annotations

import argparse
import os
import sys
from datetime import date
from pathlib import Path

from planner.cli.main import main as planner
from planner.flow.hours.logs import keep_entry
from planner.flow.stored.facts import load_facts
from planner.store.engine import Store
from seed_demo import MORNING
from seed_demo.past import spring_logs

DATA = Path(__file__).parent / "data"
DESIGNS = Path(__file__).parent / "designs"
#: Ponds that were measured on site, the ones being built first: design file, job code.
SURVEYED = (
    ("bramble_lane.toml", "Q12"),
    ("hollow_mill_basin.toml", "Q15"),
    ("sedge_row.toml", "Q19"),
    ("long_kidney.toml", "Q20"),
    ("ellipse_patio.toml", "Q40"),
    ("stations_side_garden.toml", "Q41"),
    ("taped_oak_corner.toml", "Q42"),
)
#: What was measured wins over what the office noted on the phone.
MEASURED = tuple(
    word for fact in ("depth", "shelves", "waterfall", "soil", "access") for word in ("--take-computed", fact)
)
#: Jobs whose material lies in the yard or on site, and the day confirmed for that of the next ones.
IN_THE_YARD = ("Q12", "Q15", "Q16", "Q17", "Q18", "Q19", "Q20", "Q21")
CONFIRMED = {
    "Q22": "2027-05-13",
    "Q23": "2027-05-07",
    "Q24": "2027-05-10",
    "Q25": "2027-05-12",
    "Q26": "2027-05-18",
    "Q27": "2027-05-20",
    "Q28": "2027-05-20",
}
SEASON_FIRST = date(2027, 3, 15)
#: Rows of `planner firm set` for the invented firm.
FIRM = (
    "--name", "Quillback Ponds (invented)",
    "--phone", "614-555-0100",
    "--state", "OH",
    "--season-first", "2027-03-15",
    "--season-last", "2027-11-12",
    "--latitude", "40.112",
    "--longitude=-82.741",
    "--weight", "wait_day=15",
    "--weight", "hole_day=15",
    "--weight", "hole_rest=60",
    "--weight", "call=40",
)  # fmt: skip


def main() -> int:
    """Seed, plan, publish, print; returns the exit code of the first step that fails."""
    parser = argparse.ArgumentParser(prog="python -m seed_demo", description=__doc__)
    parser.add_argument("--folder", default="demo-out", help="where the demo's database goes")
    parser.add_argument("--seconds", default="12", help="how long to plan")
    chosen = parser.parse_args()
    database = _fresh(Path(chosen.folder))
    os.environ.update(PLANNER_DB=str(database), PLANNER_NOW=MORNING, PLANNER_USER="demo")
    print("An invented firm, an invented town, invented clients. Nothing here is real.\n")
    steps: tuple[tuple[str, ...], ...] = (
        ("db", "create"),
        ("firm", "set", *FIRM),
        ("import", "crews", str(DATA / "crews.csv")),
        ("import", "machines", str(DATA / "machines.csv")),
        ("import", "trucks", str(DATA / "trucks.csv")),
        ("import", "jobs", str(DATA / "jobs.csv")),
        ("import", "gates", str(DATA / "gates.csv")),
        ("import", "days-off", str(DATA / "days_off.csv")),
        *(("design", "take-off", str(DESIGNS / name), job, *MEASURED, "--yes") for name, job in SURVEYED),
    )
    for words in steps:
        _run(*words)
    print("  (hours of the spring so far: drawn from the demo's hidden truth, seed_demo/truth.py)")
    _log_the_spring(str(database))
    steps = (
        *(("office", "here", job) for job in IN_THE_YARD),
        *(("office", "arrives", job, "--on", day) for job, day in CONFIRMED.items()),
        ("plan", "make", "--seconds", chosen.seconds, "--note", "demo"),
        ("plan", "publish"),
        ("board",),
        ("estimate",),
        ("sheet", "Heron"),
    )
    for words in steps:
        _run(*words)
    print(f"\nThe demo's database: {database}. To go on with it:")
    print(f"  export PLANNER_DB={database} PLANNER_NOW={MORNING}")
    print("  planner            (what is on today)")
    print("  planner open       (the same season in the browser)")
    return 0


def _fresh(folder: Path) -> Path:
    """The demo's database file, gone if an earlier run left one."""
    folder.mkdir(parents=True, exist_ok=True)
    database = (folder / "season.sqlite3").resolve()
    for old in (database, database.with_name(database.name + "-journal")):
        old.unlink(missing_ok=True)
    return database


def _run(*words: str) -> None:
    """One command as a person would type it, shown before its answer; stops the demo when it fails."""
    print("$ planner " + " ".join(f'"{w}"' if " " in w else w for w in words), flush=True)
    code = planner(list(words))
    sys.stdout.flush()
    if code:
        sys.exit(code)
    print(flush=True)


def _log_the_spring(location: str) -> None:
    """Put the invented hours of the spring into the logbook, all or none."""
    today = date.fromisoformat(MORNING[:10])
    logs = spring_logs(load_facts(location), SEASON_FIRST, today)
    with Store(location).writing(who="demo") as book:
        for entry in logs:
            keep_entry(book, location, entry, today=today)


if __name__ == "__main__":
    sys.exit(main())
