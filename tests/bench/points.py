"""The twelve points of the scheduler's benchmark. Each returns rows of plain values for the table and the
JSON.

Steps stand for seconds, so the costs of a run do not depend on how busy the machine is: on one core that does
nothing else, the compiled search takes some `STEPS_PER_S` of them.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from statistics import fmean, median, pstdev
from typing import Any

from planner.domain.season.breaches import breaches
from planner.domain.season.cost import late_days, plan_cost
from planner.domain.season.plan import Plan, PlanState
from planner.domain.season.season import Season
from planner.schedule.answers.engine import bookings_of
from planner.schedule.door import enter
from planner.schedule.model.decode import pieces
from planner.schedule.model.effort import Effort
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.search.dispatch import RULES, best_dispatch, dispatch
from planner.schedule.search.floor import floor_price
from planner.schedule.solve import solve, solve_problem
from tests.bench.peer import compare
from tests.bench.shops import SIX, against_plain
from tests.schedule.published import JOB_SHOPS, job_shop, project
from tests.schedule.seasons import season

Row = dict[str, Any]
SIZES = ((20, 2), (50, 3), (100, 4), (200, 6))
LOADS = (0.75, 0.85, 0.95)


#: Steps a second of the compiled search at 20 to 50 jobs (measured; only sizes the work).
STEPS_PER_S = 90_000


def effort(seconds: float) -> Effort:
    """The work of so many seconds, counted in steps."""
    return Effort(steps=int(seconds * STEPS_PER_S), bound=False, exact_jobs=0)


def late_jobs(s: Season, plan: Plan) -> int:
    return sum(late_days(s, job, plan.of_job(job)) > 0 for job in s.jobs)


def point_1(seeds: int, sizes: tuple[tuple[int, int], ...] = SIZES) -> Iterator[Row]:
    """Against the best dispatch rule after the work of 10 s, with shocks."""
    for jobs, crews in sizes:
        found = []
        for load in LOADS:
            for seed in range(1, seeds + 1):
                found.append(_against_rules(season(jobs, crews, load, seed, shocks=True)))
        yield {
            "jobs": jobs,
            "crews": crews,
            "seasons": len(found),
            "worse than rules": sum(r["cost"] > 1.0 for r in found),
            "median saving": 1 - median(r["cost"] for r in found),
            "least": 1 - max(r["cost"] for r in found),
            "most": 1 - min(r["cost"] for r in found),
            "travel ratio": median(r["travel"] for r in found),
            "late, rules": median(r["late rule"] for r in found),
            "late, ours": median(r["late"] for r in found),
            "breaches": sum(r["breaches"] for r in found),
        }


def _against_rules(s: Season) -> Row:
    door = enter(s)
    shop = Shop(door.problem)
    table, _, _ = best_dispatch(shop, Pricer(shop))
    rule = bookings_of(door, shop, table)
    cost = plan_cost(s, rule)
    plan = solve(s, effort=effort(10), seed=1)
    rule_plan = replace(plan, bookings=rule)
    return {
        "cost": plan.cost.total_cents / cost.total_cents,
        "travel": plan.cost.cents["travel"] / cost.cents["travel"],
        "late": late_jobs(s, plan),
        "late rule": late_jobs(s, rule_plan),
        "breaches": len(breaches(s, plan.bookings)),
    }


def point_2(seeds: int) -> Iterator[Row]:
    """Promises from a hidden plan, no shock: seasons in which lateness 0 is found, promises first."""
    for jobs, crews, seconds in ((20, 2, 20), (50, 3, 20), (100, 4, 60)):
        found, rules, total = 0, 0, 0
        for load in LOADS:
            for seed in range(1, seeds + 1):
                s = season(jobs, crews, load, seed)
                plan = solve(s, effort=effort(seconds), seed=1, promises_first=True)
                found += plan.cost.cents["late"] == 0
                rules += _rule_late(s) == 0
                total += 1
        yield {
            "jobs": jobs,
            "crews": crews,
            "work of [s]": seconds,
            "seasons": total,
            "late 0": found,
            "late 0, rules": rules,
        }


def _rule_late(s: Season) -> float:
    shop = Shop(enter(s).problem)
    return best_dispatch(shop, Pricer(shop))[1].late


def point_3(seconds: float, sizes: tuple[tuple[int, int], ...] = SIZES) -> Iterator[Row]:
    """Against PyJobShop on the reduced problem, same time on the clock, one core each."""
    for jobs, crews in sizes:
        yield compare(season(jobs, crews, 0.9, 1, shocks=True), jobs, crews, seconds)


def point_4(seconds: float) -> Iterator[Row]:
    """Small seasons: proven best or not, and the gap that is left."""
    for jobs in range(1, 9):
        s = season(jobs, 1 if jobs < 3 else 2, 0.85, 1)
        began = time.perf_counter()
        plan = solve(s, effort=Effort.for_seconds(seconds), seed=1)
        bound = plan.bound_cents or 0
        yield {
            "jobs": jobs,
            "works": len(plan.bookings),
            "proven best": plan.state is PlanState.BEST,
            "cost": plan.cost.total_cents / 100,
            "gap": (plan.cost.total_cents - bound) / plan.cost.total_cents,
            "clock [s]": time.perf_counter() - began,
        }


def point_5() -> Iterator[Row]:
    """Published optima, proven."""
    for name in (*JOB_SHOPS, "j301_1"):
        problem, optimum = project() if name == "j301_1" else job_shop(name)
        began = time.perf_counter()
        found = solve_problem(problem, effort=Effort(exact_work=60.0))
        yield {
            "instance": name,
            "optimum": optimum,
            "found": found.price,
            "proven": found.proven,
            "clock [s]": time.perf_counter() - began,
        }


def point_6(sizes: tuple[tuple[int, int], ...] = SIZES) -> Iterator[Row]:
    """The proven floor against the best plan known."""
    for jobs, crews in sizes:
        s = season(jobs, crews, 0.85, 1)
        shop = Shop(enter(s).problem)
        began = time.perf_counter()
        floor = floor_price(shop, Pricer(shop), pieces(shop)) or 0.0
        took = time.perf_counter() - began
        plan = solve(s, effort=effort(10), seed=1)
        yield {
            "jobs": jobs,
            "crews": crews,
            "floor": floor / 100,
            "cost": plan.cost.total_cents / 100,
            "gap": 1 - floor / plan.cost.total_cents,
            "clock [s]": took,
        }


def point_7(sizes: tuple[tuple[int, int], ...] = SIZES, long: float = 60) -> Iterator[Row]:
    """Growth: each size in a process of its own, for its peak memory."""
    for jobs, crews in sizes:
        code = f"from tests.bench.points import growth; growth({jobs}, {crews}, {long})"
        out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        first, ten, sixty, megabytes, clock = (float(x) for x in out.stdout.split())
        yield {
            "jobs": jobs,
            "crews": crews,
            "first plan [s]": first,
            "cost, work of 10 s": ten,
            f"cost, work of {long:g} s": sixty,
            "clock of both [s]": clock,
            "peak [MB]": megabytes,
        }


def growth(jobs: int, crews: int, long: float) -> None:
    """Print: seconds to the first plan, costs after 10 s and `long` s of work, peak memory, clock."""
    s = season(jobs, crews, 0.9, 1, shocks=True)
    began = time.perf_counter()
    first: list[float] = []
    ten = solve(s, effort=effort(10), seed=1, on_progress=lambda _: first.append(time.perf_counter() - began))
    more = solve(s, effort=effort(long), seed=1)
    clock = time.perf_counter() - began
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(first[0], ten.cost.total_cents / 100, more.cost.total_cents / 100, peak, clock)


def point_8() -> Iterator[Row]:
    """The same plan in other processes: another hash seed, and two at once."""
    for jobs, crews in ((8, 2), (20, 2), (50, 3)):
        code = f"from tests.bench.points import fingerprint; fingerprint({jobs}, {crews})"
        alone = _print_of(code, "1").communicate()[0]
        both = [_print_of(code, seed) for seed in ("2", "3")]
        prints = {alone, *(p.communicate()[0] for p in both)}
        yield {"jobs": jobs, "runs": 3, "different plans": len(prints)}


def _print_of(code: str, hash_seed: str) -> subprocess.Popen[str]:
    environment = {**os.environ, "PYTHONHASHSEED": hash_seed}
    return subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True, env=environment)


def fingerprint(jobs: int, crews: int) -> None:
    """Print a digest of the plan of a seeded season."""
    from hashlib import sha256

    plan = solve(season(jobs, crews, 0.9, 1, shocks=True), effort=effort(3), seed=1)
    print(sha256(repr(plan).encode()).hexdigest())


#: A goal's seasons: loose, mixed and tight by their load, so many seeds each.
GOAL_SEEDS = 4
#: Of the rule's price, what 10 s of processor are to save.
GOAL_SAVING = 0.30
#: Steps that take 10 s of one quiet core, by jobs (measured), and how far ten seeds may lie apart.
SPREADS = {(20, 2): (1_400_000, 0.02), (50, 3): (900_000, 0.03)}


def of_processor(seconds: float) -> tuple[Effort, Callable[[], bool]]:
    """Effort and stop that end after so many seconds of this process's processor, whatever else runs."""
    began = time.process_time()
    return Effort(bound=False, exact_jobs=0), lambda: time.process_time() - began > seconds


def point_9(sizes: tuple[tuple[int, int], ...] = SIZES, seconds: float = 10) -> Iterator[Row]:
    """Twelve seasons a size against the best of three first-free-crew rules, and against the one that most
    would follow (the earliest promise first), by seconds of processor."""
    for jobs, crews in sizes:
        if jobs < 50:
            continue
        saved, plain, later, late, rule_late = [], [], 0, 0, 0
        for load in LOADS:
            for seed in range(1, GOAL_SEEDS + 1):
                s = season(jobs, crews, load, seed, shocks=True)
                effort, stop = of_processor(seconds)
                plan = solve(s, effort=effort, seed=1, stop=stop)
                assert plan.dispatch_cents is not None
                saved.append(1 - plan.cost.total_cents / plan.dispatch_cents)
                plain.append(1 - plan.cost.total_cents / _by_promise_cents(s))
                mine, theirs = late_jobs(s, plan), _late_by_rule(s, plan)
                later, late, rule_late = later + (mine > theirs), late + mine, rule_late + theirs
        yield {
            "jobs": jobs,
            "seasons": len(saved),
            "processor [s]": seconds,
            "median saving": median(saved),
            "least": min(saved),
            "most": max(saved),
            "goal of 30 %": f"{sum(x >= GOAL_SAVING for x in saved)} of {len(saved)}",
            "median against earliest promise": median(plain),
            "goal against it": f"{sum(x >= GOAL_SAVING for x in plain)} of {len(plain)}",
            "late, rule": rule_late,
            "late, ours": late,
            "seasons with more late": later,
        }


def _by_promise_cents(s: Season) -> int:
    """The plan of the rule that gives the crew that is free first the job promised earliest."""
    door = enter(s)
    shop = Shop(door.problem)
    return plan_cost(s, bookings_of(door, shop, dispatch(shop, RULES["earliest due date"]))).total_cents


def _late_by_rule(s: Season, plan: Plan) -> int:
    """Late jobs of the best dispatch rule's plan."""
    door = enter(s)
    shop = Shop(door.problem)
    table, _, _ = best_dispatch(shop, Pricer(shop))
    return late_jobs(s, replace(plan, bookings=bookings_of(door, shop, table)))


def point_10(seeds: int = 10) -> Iterator[Row]:
    """How far seeds lie apart at the steps of 10 s: the dearest less the cheapest, of the mean."""
    for (jobs, crews), (steps, goal) in SPREADS.items():
        for load in LOADS:
            s = season(jobs, crews, load, 1, shocks=True)
            effort = Effort(steps=steps, bound=False, exact_jobs=0)
            found = [solve(s, effort=effort, seed=n).cost.total_cents / 100 for n in range(1, seeds + 1)]
            yield {
                "jobs": jobs,
                "load": load,
                "seeds": seeds,
                "cheapest": min(found),
                "mean": fmean(found),
                "dearest": max(found),
                "spread": (max(found) - min(found)) / fmean(found),
                "deviation": pstdev(found) / fmean(found),
                "goal": goal,
            }


def point_11(seconds: float = 60, names: tuple[str, ...] = SIX) -> Iterator[Row]:
    """Published shops and a project: processor seconds as a ratio to plain CP-SAT's."""
    for name in names:
        yield against_plain(name, seconds)


def point_12(long: float = 60) -> Iterator[Row]:
    """Many jobs in so many seconds of the clock, each in a process of its own for its peak memory."""
    for jobs in (200, 400, 1000):
        code = f"from tests.bench.points import many; many({jobs}, {long})"
        out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        first, clock, processor, saving, megabytes = (float(x) for x in out.stdout.split())
        yield {
            "jobs": jobs,
            "seconds asked": long,
            "first plan [s]": first,
            "clock [s]": clock,
            "processor [s]": processor,
            "saving": saving,
            "peak [MB]": megabytes,
        }


def many(jobs: int, seconds: float) -> None:
    """Print: first plan, clock and processor [s] of a solve by seconds, saving against the rule, memory."""
    s = season(jobs, 6, 0.85, 1, shocks=True)
    first: list[float] = []
    plan = solve(
        s, effort=Effort.for_seconds(seconds), seed=1, on_progress=lambda p: first.append(p.elapsed_s)
    )
    assert plan.search is not None
    assert plan.dispatch_cents is not None
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    saving = 1 - plan.cost.total_cents / plan.dispatch_cents
    print(first[0], plan.search.wall_s, plan.search.processor_s, saving, peak)
