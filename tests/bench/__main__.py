"""`python -m tests.bench [--points 1,4,5] [--seeds 3] [--seconds 10] [--out bench.json]`: measure the
scheduler.

Prints one table a point and saves all as JSON. Run from the repository's root. A full run takes about half an
hour on one core; `--quick` takes some minutes.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
import time
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

from tests.bench import points
from tests.bench.points import SIZES, Row

TITLES = {
    1: "against the best dispatch rule, work of 10 s, with shocks (savings as shares of its cost)",
    2: "lateness 0 where a plan without lateness exists, no shock, promises first",
    3: "against PyJobShop on the reduced problem, one core each (weighted lateness in slots)",
    4: "small seasons: proven best, or the gap that is left",
    5: "published instances: optimum, proven",
    6: "a proven floor of the price",
    7: "growth with the number of jobs",
    8: "the same plan whatever else runs",
    9: "goals for the price: twelve seasons a size against the best dispatch rule (shares of its cost)",
    10: "how far ten seeds lie apart at the steps of 10 s",
    11: "published shops and a project against plain CP-SAT, one worker each",
    12: "many jobs by the clock",
}


def main() -> None:
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench", description="Measure the season scheduler."
    )
    parser.add_argument("--points", default=",".join(map(str, TITLES)))
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--seconds", type=float, default=10.0, help="clock of point 3 and work of point 4")
    parser.add_argument("--long", type=float, default=60.0, help="the longer work of point 7")
    parser.add_argument("--quick", action="store_true", help="up to 50 jobs, one seed")
    parser.add_argument("--out", type=Path, default=Path("bench.json"))
    options = parser.parse_args()
    sizes = SIZES[:2] if options.quick else SIZES
    seeds = 1 if options.quick else options.seeds
    runs: dict[int, Callable[[], Iterator[Row]]] = {
        1: lambda: points.point_1(seeds, sizes),
        2: lambda: points.point_2(seeds),
        3: lambda: points.point_3(options.seconds, sizes),
        4: lambda: points.point_4(options.seconds),
        5: points.point_5,
        6: lambda: points.point_6(sizes),
        7: lambda: points.point_7(sizes, options.long),
        8: points.point_8,
        9: lambda: points.point_9(sizes, options.seconds),
        10: lambda: points.point_10(3 if options.quick else 10),
        11: lambda: points.point_11(options.long),
        12: lambda: points.point_12(options.long),
    }
    machine = f"{processor()}, Python {platform.python_version()}, {date.today()}"
    saved: dict[str, Any] = {"machine": machine, "points": {}}
    if options.out.exists():
        saved["points"] = json.loads(options.out.read_text())["points"]
    print(machine)
    for number in (int(n) for n in options.points.split(",")):
        began = time.perf_counter()
        print(f"\n{number}. {TITLES[number]}")
        rows = []
        for row in runs[number]():
            rows.append(row)
            print(line(row, header=len(rows) == 1), flush=True)
        saved["points"][str(number)] = {"title": TITLES[number], "rows": rows}
        options.out.write_text(json.dumps(saved, indent=1) + "\n")
        print(f"({time.perf_counter() - began:.0f} s)", flush=True)


def processor() -> str:
    """What the machine calls its processor, its cores and how many tasks want them."""
    told = Path("/proc/cpuinfo")
    rows = told.read_text(encoding="utf-8").splitlines() if told.exists() else []
    name = next((row.split(":")[1].strip() for row in rows if row.startswith("model name")), "")
    load = f"{os.getloadavg()[0]:.0f} tasks at work" if hasattr(os, "getloadavg") else "load unknown"
    return f"{name or platform.machine()}, {os.cpu_count()} cores, {load}"


def line(row: Row, *, header: bool) -> str:
    """One row of a Markdown table, with its header when asked."""
    cells = "| " + " | ".join(word(name, value) for name, value in row.items()) + " |"
    if not header:
        return cells
    names = "| " + " | ".join(row) + " |\n|" + "---|" * len(row)
    return names + "\n" + cells


def word(name: str, value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        if name in {
            "median saving",
            "median against earliest promise",
            "least",
            "most",
            "gap",
            "spread",
            "deviation",
            "goal",
            "saving",
        }:
            return f"{value:.1%}"
        return f"{value:.2f}" if abs(value) < 100 else f"{value:,.0f}"
    return str(value)


if __name__ == "__main__":
    sys.exit(main())
