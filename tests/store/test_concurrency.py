"""Eight processes write at once: nothing is lost, nobody sees an error."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable

import pytest

from planner.store.engine import Store
from tests.store import writers

PROCESSES, TIMES = 8, 12


def _at_once(work: Callable[[str, int], None], location: str) -> list[int | None]:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.store.writers"])
    started = [context.Process(target=work, args=(location, TIMES)) for _ in range(PROCESSES)]
    for process in started:
        process.start()
    for process in started:
        process.join()
    return [process.exitcode for process in started]


def test_no_update_is_lost(location: str) -> None:
    writers.fill(location)
    assert _at_once(writers.add_to_importance, location) == [0] * PROCESSES
    with Store(location).reading() as book:
        assert book.job("P-014").importance == PROCESSES * TIMES


def test_every_entry_gets_its_own_number(location: str) -> None:
    writers.fill(location)
    assert _at_once(writers.add_logs, location) == [0] * PROCESSES
    with Store(location).reading() as book:
        assert sorted(log.id for log in book.logs()) == list(range(1, PROCESSES * TIMES + 1))


def test_a_reader_sees_one_moment(location: str) -> None:
    writers.fill(location)
    store = Store(location)
    with store.reading() as book:
        before = book.job("P-014").importance
        if store.path is None:  # on SQLite the reader would make the writer wait
            writers.add_to_importance(location, 1)
        assert book.job("P-014").importance == before


def test_a_writer_that_waits_too_long_is_told(location: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from planner.errors import StoreTrouble

    monkeypatch.setattr("planner.store.turns.WAIT_S", 1.0)
    with Store(location).writing() as book:
        book.firm()
        with pytest.raises(StoreTrouble, match="locked by another"), Store(location).writing() as other:
            other.firm()
