"""How quick the pages are with 1,000 jobs in the book, 200 open: `python -m tests.bench.pages [--times 15]`.

Prints every page's median and 95th percentile, with the ratio to a bare Starlette page served the same way in
the same run; then what 20 leads and 3 people in the office do for a bounded while: errors, and lost writes.
All is invented and seeded.
"""

from __future__ import annotations

import argparse
import csv
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from statistics import median, quantiles
from threading import Thread

import httpx2 as httpx

from planner.flow.crew_day.links import renew_link
from planner.flow.keeping.jobs import load_job

ROOT = Path(__file__).parents[2]
MORNING = "2027-05-03T06:45"
JOBS, OPEN = 1000, 200
CREWS = 20
SKILLS = "excavator stonework plumbing"
BARE = """
import socket
import uvicorn
from starlette.applications import Starlette
from starlette.responses import HTMLResponse
from starlette.routing import Route

door = socket.socket()
door.bind(("127.0.0.1", 0))
print(door.getsockname()[1], flush=True)
app = Starlette(routes=[Route("/", lambda request: HTMLResponse("<p>bare</p>"))])
uvicorn.Server(uvicorn.Config(app, log_level="error")).run(sockets=[door])
"""
HEAD = "| page | median ms | p95 ms | first ms | median / bare | first / bare |\n" + "|---" * 6 + "|"
PAGES = (
    *("/", "/week", "/jobs", "/jobs?words=moss", "/jobs/B-0900", "/office", "/hours", "/hours/against"),
    *("/plan", "/season", "/firm", "/links", "/sheet/Crew01"),
    *("/jobs/B-0900/price", "/jobs/B-0900/orders", "/rates", "/history", "/firm/tables", "/firm/database"),
    *(
        "/guide",
        "/week/wall",
        "/week/board.csv",
        "/sheets",
        "/calendars",
        "/visits",
        "/promises",
        "/hours/week",
    ),
)


def make(db: Path) -> None:
    """1,000 jobs from the demo's, 200 of them open, planned by the plain rule and published."""
    rows = list(csv.DictReader((ROOT / "seed_demo" / "data" / "jobs.csv").open(encoding="utf-8")))
    lines = []
    for n in range(JOBS):
        row = dict(rows[n % len(rows)])
        row["code"] = f"B-{n:04}"
        row["status"] = "sold" if n >= JOBS - OPEN else "done"
        row["promised"] = str(date(2027, 6, 1) + timedelta(days=n % 150))
        lines.append(row)
    jobs = db.with_name("jobs.csv")
    with jobs.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, fieldnames=list(lines[0]))
        writer.writeheader()
        writer.writerows(lines)
    said = lambda *words: subprocess.run(  # noqa: E731
        [sys.executable, "-m", "planner", *words], check=True, env=env_of(db), capture_output=True
    )
    said("db", "create")
    said("firm", "set", "--name", "Bench (invented)", "--state", "OH", "--season-first", "2027-03-15")
    crews = db.with_name("crews.csv")
    head = "name,lead,size,skills\n"
    crews.write_text(head + "".join(f"Crew{n + 1:02},Ada,3,{SKILLS}\n" for n in range(CREWS)), "utf-8")
    said("import", "crews", str(crews))
    said("machine", "add", "excavator", "mini excavator", "--units", str(CREWS // 2))
    said("import", "jobs", str(jobs))
    said("plan", "make", "--seconds", "0")
    said("plan", "publish")


def env_of(db: Path) -> dict[str, str]:
    return {**os.environ, "PLANNER_DB": str(db), "PLANNER_NOW": MORNING, "PLANNER_USER": "bench"}


@contextmanager
def served(words: list[str], db: Path) -> Iterator[str]:
    """A server; gives the first line that it prints."""
    with subprocess.Popen(words, env=env_of(db), stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            yield process.stdout.readline().strip()
        finally:
            process.terminate()


def took_ms(ask: Callable[[], object], times: int) -> tuple[float, float, float]:
    """Median, 95th percentile and the first [ms]: after a change a page is worked out anew once."""
    began = time.perf_counter()
    ask()
    first = (time.perf_counter() - began) * 1000
    found = []
    for _ in range(times):
        began = time.perf_counter()
        ask()
        found.append((time.perf_counter() - began) * 1000)
    return median(found), quantiles(found, n=20)[-1], first


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.pages")
    parser.add_argument("--times", type=int, default=15)
    parser.add_argument("--minute", type=float, default=60.0)
    parser.add_argument("--db", type=Path, help="a database made by an earlier run; it is copied")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        db = Path(folder) / "season.sqlite3"
        if chosen.db:
            shutil.copy(chosen.db, db)
            words = [sys.executable, "-m", "planner", "db", "upgrade"]
            subprocess.run(words, check=True, env=env_of(db), capture_output=True)
        else:
            make(db)
        words = [renew_link(str(db), f"Crew{n + 1:02}") for n in range(CREWS)]
        office = [sys.executable, "-m", "planner", "open", "--no-browser"]
        with served([sys.executable, "-c", BARE], db) as port, served(office, db) as link:
            base = link.partition("/start/")[0]
            person = httpx.Client(base_url=base, timeout=300, headers={"origin": base})
            person.get(link)
            bare = took_ms(lambda: httpx.get(f"http://127.0.0.1:{port}/").raise_for_status(), 50)
            print(f"bare Starlette page: median {bare[0]:.1f} ms, p95 {bare[1]:.1f} ms\n")
            print(HEAD)
            for path in PAGES:
                row = took_ms(lambda path=path: person.get(path).raise_for_status(), chosen.times)  # type: ignore[misc]
                print(line(path, row, bare[0]), flush=True)
            row = took_ms(_drawing(person), chosen.times)
            print(line("live drawing", row, bare[0]), flush=True)
            print(minute(base, person, words, db, chosen.minute))


def line(name: str, row: tuple[float, float, float], bare_ms: float) -> str:
    """One row of the table."""
    told = " | ".join(f"{ms:.0f}" for ms in row)
    return f"| {name} | {told} | {row[0] / bare_ms:.1f} | {row[2] / bare_ms:.0f} |"


def _drawing(person: httpx.Client) -> Callable[[], object]:
    token = _token(person)
    plain = {"shape": "ellipse", "length": "16 ft", "width": "11 ft", "depth": "24 in", "shelves": "2"}
    begun = person.post("/jobs/B-0900/design/begin", data={"_token": token, **plain}).text
    text = re.findall(r"<textarea[^>]*>(.*?)</textarea>", begun, re.DOTALL)[0].replace("&#34;", '"')
    form = {"_token": token, "part": "yes", "text": text, "d.outline.length_ft": "17"}
    return lambda: person.post("/jobs/B-0900/design/look", data=form).raise_for_status()


def _token(person: httpx.Client) -> str:
    found = re.search(r'name="_token" value="(\w+)"', person.get("/jobs/new").text)
    assert found
    return found.group(1)


def minute(base: str, person: httpx.Client, words: list[str], db: Path, seconds: float) -> str:
    """20 leads look at their sheet every 5 s, 3 people look and save; what went wrong."""
    until, asked, wrong = time.monotonic() + seconds, [0], []
    token, kept = _token(person), {}

    def ask(does: Callable[[], httpx.Response]) -> bool:
        asked[0] += 1
        try:
            answer = does()
        except httpx.HTTPError as fault:
            wrong.append(repr(fault))
            return False
        if answer.status_code >= 400:
            told = re.findall(r'class="refused">(.*?)</p>', answer.text) or [answer.text[:80]]
            wrong.append(f"{answer.status_code} {told[0]}")
        return answer.status_code < 400

    def lead(word: str) -> None:
        with httpx.Client(base_url=base, timeout=300) as phone:
            while time.monotonic() < until:
                ask(lambda: phone.get(f"/c/{word}"))
                time.sleep(5)

    def clerk(number: int) -> None:
        cookies = dict(person.cookies)
        with httpx.Client(base_url=base, timeout=300, headers={"origin": base}, cookies=cookies) as desk:
            turn = 0
            while time.monotonic() < until:
                turn += 1
                code, note = f"B-{800 + 60 * number + turn % 60:04}", f"turn {turn}"
                form = {"_token": token, "_code": code, "notes": note}
                if ask(lambda form=form: desk.post("/jobs/save", data=form)):  # type: ignore[misc]
                    kept[code] = note
                ask(lambda turn=turn: desk.get(("/", "/week", "/jobs", "/office")[turn % 4]))  # type: ignore[misc]
                time.sleep(0.5)

    people = [Thread(target=lead, args=(word,)) for word in words]
    people += [Thread(target=clerk, args=(n,)) for n in range(3)]
    for one in people:
        one.start()
    for one in people:
        one.join()
    lost = [code for code, note in kept.items() if load_job(str(db), code).job.notes != note]
    return (
        f"\n{len(words)} leads and 3 people in the office for {seconds:.0f} s: {asked[0]} requests, "
        f"{len(wrong)} errors, {len(kept)} jobs saved, {len(lost)} writes lost {wrong[:3]}"
    )


if __name__ == "__main__":
    main()
