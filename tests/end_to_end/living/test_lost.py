"""Lost time: one line in, one line back, nothing kept when it cannot be."""

from __future__ import annotations

import pytest

from .conftest import Run

GOOD = [
    (("rain",), "rain everywhere, Mon Apr 5"),
    (("rain", "2027-04-06", "--region", "north"), "rain in north, Tue Apr 6"),
    (("sick", "heron", "--until", "2027-04-07"), "Heron off, Mon Apr 5 to Wed Apr 7"),
    (("short", "Otter", "--people", "2"), "Otter short of 2, Mon Apr 5"),
    (("machine", "excavator"), "1 excavator out of order, Mon Apr 5"),
    (
        ("delivery", "P-01", "--phase", "rock", "--arrives", "2027-04-08"),
        "late delivery for P-01 rock, Mon Apr 5 to Wed Apr 7",
    ),
    (("inspection", "P-02", "--again", "2027-04-06"), "failed inspection at P-02, Mon Apr 5"),
]


@pytest.mark.parametrize(("words", "says"), GOOD)
def test_one_line_in_and_back(run: Run, words: tuple[str, ...], says: str) -> None:
    typed = run("lost", *words)
    assert (typed.code, typed.err.startswith(f"entered 1: {says}. Next: ")) == (0, True)
    assert says in run("lost", "list").out
    again = run("lost", *words)
    assert (again.code, "entered already (entry 1" in again.err) == (1, True)
    assert run("lost", "undo").err.startswith(f"taken back 1: {says}")
    assert run("lost", "list", "--json").data == []


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("rain", "2027-12-24"), "the season runs from"),
        (("rain", "--region", "east"), "use one of: north, south"),
        (("rain", "2027-04-06", "--until", "2027-04-05"), "end on or after"),
        (("sick", "Nobody"), "crew"),
        (("short", "Heron", "--people", "3"), "Heron has 3 hands"),
        (("short", "Heron", "--people", "0"), "Heron has 3 hands"),
        (("machine", "crane"), "crane"),
        (("machine", "excavator", "--units", "2"), "there are 1 of excavator"),
        (("delivery", "P-77", "--arrives", "2027-04-08"), "P-77"),
        (("delivery", "P-01", "--arrives", "2027-04-05"), "after today"),
        (("delivery", "P-01", "--arrives", "2027-04-08", "--phase", "moat"), "--phase"),
    ],
)
def test_what_cannot_be_is_refused(run: Run, words: tuple[str, ...], says: str) -> None:
    typed = run("lost", *words)
    assert (typed.code, says in typed.err) == (2, True), typed.err
    assert run("lost", "list", "--json").data == []


def test_undo_of_nothing(run: Run) -> None:
    assert run("lost", "undo").err == "planner: there is no lost time to take back: see `planner lost list`\n"
    assert run("lost", "undo", "4").code == 2
