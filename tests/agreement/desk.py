"""The desk: types commands into one database, looks at its web pages, and keeps the answers."""

from __future__ import annotations

import contextlib
import functools
import io
import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest
import typer.main
from starlette.testclient import TestClient

from planner.cli.main import main
from planner.web.app import application
from planner.web.desk import Desk as WebDesk
from planner.web.keys import Keys

#: The tree of commands, built once: building it takes longer than most commands.
_tree = functools.cache(typer.main.get_command)


#: Under which name the pages are asked for.
HOST = "127.0.0.1:8000"


@dataclass
class Desk:
    """One season: its folder with `season.sqlite3` and its files, and the moment.

    designs: job -> its design file; asked: job -> when the one-call center was called, as the office wrote it
    down.
    """

    name: str
    folder: Path
    now: datetime
    designs: dict[str, Path] = field(default_factory=dict)
    asked: dict[str, datetime] = field(default_factory=dict)
    _known: dict[tuple[str, ...], tuple[int, str, str]] = field(default_factory=dict)

    def __call__(self, *words: object, code: int = 0) -> str:
        """Type a command that changes something; its answer. Fails when the exit code is another."""
        self._known.clear()
        for name in ("jobs", "crews", "planned", "weeks", "shown", "number", "ahead"):
            self.__dict__.pop(name, None)
        got, out, err = self._typed(tuple(map(str, words)))
        assert got == code, (words, got, out, err)
        return out

    def copied(self, name: str, folder: Path, now: datetime) -> Desk:
        """The same season in another folder at another moment."""
        shutil.copytree(self.folder, folder)
        return Desk(name, folder, now, dict(self.designs), dict(self.asked))

    def again(self) -> Desk:
        """The same season with nothing read yet."""
        return Desk(self.name, self.folder, self.now, dict(self.designs), dict(self.asked))

    def text(self, *words: object) -> str:
        """The answer of a reading command, as the terminal shows it, wide enough that no line is broken."""
        code, out, err = self._once(tuple(map(str, words)))
        assert code == 0, (self.name, words, code, out, err)
        return out

    def refusal(self, *words: object) -> str:
        """What a reading command says on stderr when it refuses; "" when it answers."""
        code, _, err = self._once(tuple(map(str, words)))
        return err if code else ""

    def lines(self, *words: object) -> list[str]:
        """The same by lines."""
        return self.text(*words).splitlines()

    def data(self, *words: object) -> Any:
        """The data of its JSON answer."""
        return json.loads(self.text(*words, "--json"))["data"]

    def page(self, *words: object, option: str = "--page", end: str = "html") -> str:
        """The file that it writes, the further sheets of a drawing after it."""
        file = self.folder / f"page.{end}"
        key = (*map(str, words), option, end)
        if key not in self._known:
            for old in self.folder.glob(f"page*.{end}"):
                old.unlink()
            code, out, err = self._typed((*map(str, words), option, str(file)))
            assert code == 0, (self.name, words, code, out, err)
            sheets = [file, *sorted(self.folder.glob(f"page-*.{end}"))]
            self._known[key] = (0, "".join(sheet.read_text("utf-8") for sheet in sheets), "")
        return self._known[key][1]

    def web(self, address: str) -> str:
        """A page of `planner open`, as the office's own browser gets it."""
        if (address,) not in self._known:
            with pytest.MonkeyPatch.context() as patch:
                patch.setenv("PLANNER_NOW", self.now.isoformat(timespec="minutes"))
                answer = self._browser.get(address)
            assert answer.status_code == 200, (self.name, address, answer.status_code, answer.text[:500])
            self._known[address,] = (0, answer.text, "")
        return self._known[address,][1]

    @cached_property
    def _browser(self) -> TestClient:
        """The office's browser, let in by the start link."""
        keys = Keys()
        app = application(WebDesk(str(self.folder / "season.sqlite3"), lambda: self.now, keys), [HOST])
        client = TestClient(app, base_url=f"http://{HOST}")
        assert client.get(f"/start/{keys.start_link('test')}").status_code == 200
        return client

    @cached_property
    def ahead(self) -> Ahead:
        """What `replan --quick` says on a copy of this season, and the copy with that plan published.

        Refused where the facts leave no plan.
        """
        folder = self.folder.with_name(f"{self.folder.name}-ahead")
        shutil.rmtree(folder, ignore_errors=True)
        copy = self.copied(f"{self.name}, ahead", folder, self.now)
        code, out, _ = copy._typed(("replan", "--quick", "--json"))
        if code:
            return Ahead(copy, None)
        said = json.loads(out)["data"]
        text = copy._typed(("replan", "--quick"))[1] if self.shown["published_at"] else ""
        copy("plan", "publish", said["number"])
        return Ahead(copy, said, text)

    @cached_property
    def jobs(self) -> dict[str, Any]:
        """The jobs on record: code -> row."""
        return {row["code"]: row for row in self.data("job", "list")}

    @property
    def open_jobs(self) -> list[str]:
        """Jobs that are sold or under way."""
        return [code for code, row in self.jobs.items() if row["status"] in ("sold", "under way")]

    @cached_property
    def crews(self) -> list[str]:
        """The crews on record."""
        return [row["name"] for row in self.data("crew", "list")]

    @cached_property
    def planned(self) -> set[str]:
        """Jobs with work ahead by the plan that counts."""
        today = self.now.date().isoformat()
        return {b["job"] for b in self.shown["bookings"] if b["end"][:10] >= today}

    def begun(self, job: str) -> bool:
        """Whether hours are logged on the job."""
        return any(row["job"] == job for row in self.data("log", "list"))

    def items(self, job: str) -> set[str]:
        """Items of which the job has a quantity."""
        return {line["item"] for line in self.jobs[job]["lines"]}

    @cached_property
    def weeks(self) -> list[date]:
        """The Mondays of the weeks on which the published plan, or the newest, has work, and of this week."""
        rows = self.shown["bookings"]
        days = [date.fromisoformat(b[k][:10]) for b in rows for k in ("start", "end")] + [self.now.date()]
        first, last = min(days), max(days)
        monday = first - timedelta(days=first.weekday())
        return [monday + timedelta(weeks=n) for n in range((last - monday).days // 7 + 1)]

    @property
    def this_monday(self) -> date:
        """The Monday of this week."""
        return self.now.date() - timedelta(days=self.now.weekday())

    @cached_property
    def shown(self) -> Any:
        """The plan that counts, as `plan show NUMBER` tells it: the published one, else the newest."""
        return self.data("plan", "show", self.number)

    @property
    def stale(self) -> bool:
        """Whether `plan why` refuses the plan that counts, because facts changed since."""
        return "stale" in self.refusal("plan", "why", "--json")

    @cached_property
    def number(self) -> int:
        """Number of the plan that counts."""
        rows = self.data("plan", "list")
        told = [row for row in rows if row["published_at"]]
        chosen = max(told, key=lambda r: r["published_at"]) if told else max(rows, key=lambda r: r["number"])
        return int(chosen["number"])

    def _once(self, words: tuple[str, ...]) -> tuple[int, str, str]:
        if words not in self._known:
            self._known[words] = self._typed(words)
        return self._known[words]

    def _typed(self, words: tuple[str, ...]) -> tuple[int, str, str]:
        raw = io.BytesIO()
        out, err = io.TextIOWrapper(raw, encoding="utf-8", write_through=True), io.StringIO()
        with pytest.MonkeyPatch.context() as patch, _streams(out, err):
            patch.setenv("PLANNER_DB", str(self.folder / "season.sqlite3"))
            patch.setenv("PLANNER_NOW", self.now.isoformat(timespec="minutes"))
            patch.setenv("PLANNER_USER", "test")
            patch.setenv("COLUMNS", "400")
            patch.setattr(typer.main, "get_command", _tree)
            code = main(list(words))
        return code, raw.getvalue().decode("utf-8"), err.getvalue()


@dataclass(frozen=True, slots=True)
class Ahead:
    """A season planned anew. said: the answer of `replan`; None when there was none to say. text: the same on
    the terminal, "" where no plan is published: the first draft would be what the second repairs."""

    desk: Desk
    said: Any
    text: str = ""


@contextlib.contextmanager
def _streams(out: io.TextIOWrapper, err: io.StringIO) -> Iterator[None]:
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        yield
