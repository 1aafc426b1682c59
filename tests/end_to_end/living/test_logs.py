"""Hours: logged once, refused when they cannot be true, taken back without a trace."""

from __future__ import annotations

import pytest

from .conftest import Run


def status(run: Run, job: str) -> str:
    return str(run("job", "show", job, "--json").data["status"])


def test_hours_are_logged_and_the_job_gets_under_way(run: Run) -> None:
    typed = run("log", "add", "P-01", "dig", "heron", "2", "--share", "60", "--note", "roots")
    assert typed.code == 0
    assert typed.out.startswith("logged 1: P-01 dig, Heron, Mon Apr 5: 2 h, 60 % done\n2 h so far of ")
    assert status(run, "P-01") == "under way"
    (entry,) = run("log", "list", "--json").data
    assert (entry["crew"], entry["crew_h"], entry["share_done"], entry["note"]) == (
        "Heron",
        2.0,
        0.6,
        "roots",
    )


def test_without_a_share_it_is_reckoned_from_the_hours(run: Run) -> None:
    kept = run("log", "add", "P-01", "dig", "Heron", "1", "--json").data
    assert kept["share_reckoned"]
    assert kept["entry"]["share_done"] == pytest.approx(1 / kept["planned_crew_h"], abs=0.001)


def test_the_hour_that_opens_the_water_is_the_first_part_of_the_fill(run: Run) -> None:
    run("plan", "make", "--seconds", "0")
    bookings = run("plan", "show", "--json").data["bookings"]
    fill = {b["part"]: b for b in bookings if b["job"] == "P-01" and b["phase"] == "fill"}
    assert set(fill) == {1, 2}
    kept = run("log", "add", "P-01", "fill", fill[1]["crews"][0], str(fill[1]["crew_h"]), "--json").data
    # each part is an equal share of its phase, however long it takes
    assert kept["entry"]["share_done"] == 0.5
    run("plan", "make", "--seconds", "0")
    bookings = run("plan", "show", "--draft", "--json").data["bookings"]
    assert [b["part"] for b in bookings if b["job"] == "P-01" and b["phase"] == "fill"] == [2]


def test_a_quantity_says_the_share(run: Run) -> None:
    kept = run("log", "add", "P-01", "liner", "Heron", "2", "-q", "105", "--json").data
    assert kept["entry"]["share_done"] == 0.25
    kept = run("log", "add", "P-01", "liner", "Heron", "2", "-q", "315", "--json").data
    assert kept["entry"]["done"]
    typed = run("log", "add", "P-02", "plumbing", "Heron", "2", "-q", "5")
    assert (typed.code, "say which: connections, pipe_ft" in typed.err) == (2, True)
    typed = run("log", "add", "P-02", "plumbing", "Heron", "2", "-q", "5", "--item", "pipe_ft")
    assert typed.code == 0


def test_the_last_phase_finishes_the_job_and_undo_takes_it_all_back(run: Run) -> None:
    for phase in ("dig", "set filters", "liner", "rock", "plumbing", "fill"):
        assert run("log", "add", "P-01", phase, "Heron", "1", "--done").code == 0
    assert status(run, "P-01") == "done"
    assert run("log", "undo").err.startswith("taken back 6: P-01 fill")
    assert status(run, "P-01") == "under way"
    for _ in range(5):
        run("log", "undo")
    assert status(run, "P-01") == "sold"
    assert run("log", "list", "--json").data == []


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("P-01", "dig", "Heron", "25"), 2, "a day has 24 hours"),
        (("P-01", "dig", "Heron", "0"), 2, "give hours above 0"),
        (("P-01", "dig", "Heron", "--", "-3"), 2, "hours"),
        (("P-01", "dig", "Heron", "nan"), 2, "hours"),
        (("P-01", "dig", "Heron", "3", "--share", "101"), 2, "from 0 to 100"),
        (("P-01", "liner", "Heron", "3", "-q", "421"), 2, "at most 420 ft2"),
        (("P-01", "dig", "Heron", "3", "--day", "2027-03-01"), 2, "the season runs from"),
        (("P-01", "dig", "Heron", "3", "--day", "2027-04-06"), 2, "today is Mon Apr 5, 2027"),
        (("P-01", "dig", "Heron", "3", "--day", "2027-02-30"), 2, "--day"),
        (("P-01", "moat", "Heron", "3"), 2, "phase"),
        (("P-77", "dig", "Heron", "3"), 2, "P-77"),
        (("P-01", "dig", "Nobody", "3"), 2, "crew"),
        (("P-90", "dig", "Heron", "3"), 1, "P-90 is inquiry"),
        (("P-01", "dig", "Heron", "3", "--share", "5", "-q", "1"), 2, "not both"),
        (("P-01", "dig", "Heron", "3", "--item", "dig_machine_cy"), 2, "--quantity"),
    ],
)
def test_what_cannot_be_true_is_refused_in_one_line(
    run: Run, words: tuple[str, ...], code: int, says: str
) -> None:
    typed = run("log", "add", *words)
    assert typed.code == code
    assert says in typed.err
    assert len(typed.err.strip().splitlines()) == 1
    assert run("log", "list", "--json").data == []
    assert status(run, "P-01") == "sold"


def test_hours_of_one_day_add_up_over_jobs(run: Run) -> None:
    assert run("log", "add", "P-01", "dig", "Heron", "14", "--lost", "4").code == 0
    typed = run("log", "add", "P-02", "dig", "Heron", "7")
    assert (typed.code, "18 h are logged for Heron" in typed.err) == (2, True)
    assert run("log", "add", "P-02", "dig", "Heron", "6").code == 0
    assert run("log", "add", "P-02", "dig", "Otter", "7").code == 0


def test_a_finished_phase_takes_no_more_hours(run: Run) -> None:
    run("log", "add", "P-01", "dig", "Heron", "3", "--done")
    typed = run("log", "add", "P-01", "dig", "Heron", "1")
    assert (typed.code, "logged as done on Mon Apr 5, 2027 (entry 1)" in typed.err) == (1, True)
    # progress cannot pass 100 % by quantity either
    run("log", "add", "P-01", "liner", "Heron", "3", "--share", "90")
    typed = run("log", "add", "P-01", "liner", "Heron", "1", "-q", "84")
    assert (typed.code, "progress would pass 100 %: 42 ft2 are left" in typed.err) == (2, True)


def test_undo_of_nothing(run: Run) -> None:
    assert (
        run("log", "undo").err == "planner: there are no logged hours to take back: see `planner log list`\n"
    )
    assert run("log", "undo", "5").code == 2


def test_odd_names_do_no_harm(run: Run) -> None:
    why = "[bold]rain; 'x' \U0001f327" + "y" * 100
    assert run("log", "add", "P-01", "dig", "Heron", "1", "--lost", "1", "--why", why).code == 0
    assert "([bold]rain; 'x' \U0001f327y" in " ".join(run("log", "list").out.split())
