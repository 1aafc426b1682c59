"""Ctrl-C in the middle of a change: nothing is kept by halves, one line is told, exit code 130."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from planner import __main__ as door
from planner.cli import main as cli_main
from planner.store.books import Book
from planner.store.engine import Store
from planner.store.tables.rows import Shelf


@pytest.mark.parametrize("after", range(6))
def test_an_import_that_is_stopped_keeps_nothing(
    new_season: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    after: int,
) -> None:
    rows = "".join(f"J{n},Client {n},{n}\n" for n in range(6))
    (tmp_path / "jobs.csv").write_text("code,client,dig_machine_cy\n" + rows, encoding="utf-8")
    monkeypatch.setattr(Book, "note", _stopping_after(after, Shelf.note))
    code = cli_main.main(["--db", str(new_season), "import", "jobs", str(tmp_path / "jobs.csv")])
    assert code == 130
    told = capsys.readouterr()
    assert (told.out, told.err) == ("", "planner: stopped\n")
    with Store(new_season).reading() as book:
        assert book.jobs() == []


def _stopping_after(count: int, real: Callable[..., None]) -> Callable[..., None]:
    left = [count]

    def stopping(*given: object) -> None:
        if left[0] == 0:
            os.kill(os.getpid(), signal.SIGINT)
        left[0] -= 1
        real(*given)

    return stopping


def test_the_door_ends_with_the_code_of_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", ["planner", "job", "show", "NONE", "--db"])
    before = signal.getsignal(signal.SIGINT)
    try:
        with pytest.raises(SystemExit) as left:
            door.run()
    finally:
        signal.signal(signal.SIGINT, before)
    assert left.value.code == 2
