"""Seasons lived against what was told of them:
`python -m tests.bench.lived [JOBS] [SEEDS] [LIVES] [STEPS] [tight|loose]`.

Each season is planned in several ways, told its chances, then lived; all ways meet the same luck. A plan of
perfect foresight says what could have been kept.

`python -m tests.bench.lived drift [JOBS] [SEEDS] [STEPS]`: ten disturbances in one week, repaired morning by
morning, against a plan made afresh. Two days of rain, three people sick, two machines down, two deliveries
late and a job that takes 1.4 times its hours, drawn by seed. Each morning the plan is repaired as `planner
replan` does it, once without a search and once with so many steps of one. On the next Monday both are priced
beside the best of a fresh search on the same season that nobody was told anything of, so that no move is
charged.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from math import sqrt
from statistics import fmean, stdev

from planner.domain.firm.actuals import Log
from planner.domain.forecast.outlook import Outlook, outlook
from planner.domain.forecast.slack import judged
from planner.domain.season.cost import plan_cost
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Plan
from planner.domain.season.season import Season
from planner.flow.forecast.expecting import Judge
from planner.flow.forecast.playing import basis_of
from planner.flow.season.aiming import Limits, aimed
from planner.flow.season.replan import fixes_of
from planner.schedule.model.effort import Effort
from planner.schedule.solve import solve
from tests.bench.lived_days import MONDAY, Life, Site, Truth, firm_of, live, news, truth_of, work_a_day

# ---- the ways ----


def _solved(season: Season, aim: Season, steps: int, start: Plan | None = None) -> Plan:
    effort = Effort(steps=steps, exact_jobs=0, bound=False)
    return judged(solve(aim, effort=effort, seed=1, start=start), season)


def on_paper(season: Season, _judge: Judge, steps: int) -> Plan:
    """The plan best on paper, with all the steps."""
    return _solved(season, season, steps)


def as_planned(season: Season, judge: Judge, steps: int) -> Plan:
    """What `planner plan make` does."""
    return aimed(season, judge, Limits(0.0, steps, 1, 1)).plan


WAYS = {"on paper": on_paper, "plan make": as_planned}

# ---- perfect foresight ----

#: How promises lie after the finish of a plain rule's plan: days, and a share of the days until then. Tight
#: is where perfect foresight keeps 95 % of them on average, loose where it keeps all (`lived.md`).
PROMISES = {"tight": ((0, 10), 0.4), "loose": ((5, 15), 0.6)}
#: Share of the promises that perfect foresight keeps in a life in which they could be kept.
COULD_BE_KEPT = 0.95


def foresight(facts: Facts, truth: Truth, steps: int) -> float:
    """Share of the promises that a plan keeps which knows every hour and every day of rain, sick people and
    broken machines; deliveries are in time, as whoever knows of one asks earlier."""
    days = (facts.firm.season_last - MONDAY.date()).days
    lost = [entry for n in range(days + 1) for entry in news(facts, truth, MONDAY.date() + timedelta(days=n))]
    season = season_of(replace(facts, lost=tuple(lost)), MONDAY)
    works = {
        key: replace(
            work,
            modes=tuple(replace(m, work_min=m.work_min * truth.ratio.get(key, 1.0)) for m in work.modes),
        )
        for key, work in season.works.items()
    }
    known = replace(season, works=works)
    plan = _solved(known, known, steps)
    promised = {code: job.promised for code, job in known.jobs.items() if job.promised}
    return fmean((plan.finish(code) or known.last_day) <= day for code, day in promised.items())


# ---- the table ----

HEAD = "{:>8} {:>9} {:>6} {:>9} {:>6} {:>6} {:>7}"
ROW = "{:8,.0f} {:9,.0f} {:6.3f} {:9,.0f} {:6.3f} {:6.0f} {:7.0f}"


def main() -> None:
    """Plan in several ways, tell, live, compare. LIVES 0: only told, by luck that no way has seen."""
    words = [word for word in sys.argv[1:] if word not in PROMISES]
    jobs, seeds, lives, steps = ([int(w) for w in words] + [20, 2, 5, 300_000][len(words) :])[:4]
    in_hand, share = PROMISES["loose" if "loose" in sys.argv else "tight"]
    could: list[float] = []
    told: dict[str, list[tuple[float, bool]]] = defaultdict(list)
    in_time: dict[str, list[bool]] = defaultdict(list)
    rows: dict[str, list[tuple[float, ...]]] = defaultdict(list)
    print(" " * 20, HEAD.format("paper $", "expected", "kept", "lived $", "kept", "calls", "idle h"))
    for seed in range(1, seeds + 1):
        with tempfile.TemporaryDirectory() as folder:
            facts = firm_of(folder, jobs, seed, days_in_hand=in_hand, share=share)
            basis = basis_of(folder + "/x.sqlite3", facts, MONDAY.date())
        season = season_of(facts, MONDAY)
        judge, unseen = (Judge(facts, season, basis, seed=number) for number in (seed, seed + 1000))
        truths: list[Truth] = []
        for name, way in WAYS.items():
            plan = way(season, judge, steps)
            seen = unseen.price(plan, 300)
            if not truths:
                truths = [truth_of(facts, plan.bookings, basis, 100 * seed + n) for n in range(lives)]
                could += [foresight(facts, truth, steps) for truth in truths]
            done = [live(facts, plan, truth) for truth in truths]
            told_by = _told(unseen, plan)
            chance = {job.job: job.kept for job in told_by.jobs if job.kept is not None}
            told[name] += [(chance[job], kept) for life in done for job, kept in life.kept(facts).items()]
            in_time[name] += [life.ends_by(facts, told_by.percentile_finish) for life in done]
            rows[name].append(
                (
                    plan.cost.total_cents / 100,
                    seen.mean_cents / 100,
                    seen.kept / seen.promises,
                    _mean(life.price_usd(facts) for life in done),
                    _mean(fmean(life.kept(facts).values()) for life in done),
                    _mean(life.calls for life in done),
                    _mean(life.idle_h for life in done),
                )
            )
            print(f"seed {seed} {name:13}", ROW.format(*rows[name][-1]), flush=True)
    for name, mine in rows.items():
        print(f"mean   {name:13}", ROW.format(*(fmean(column) for column in zip(*mine, strict=True))))
    if lives:
        print("perfect foresight keeps", " ".join(f"{share:.2f}" for share in could))
        for name, pairs in told.items():
            by_life = [pairs[n : n + jobs] for n in range(0, len(pairs), jobs)]
            _print_lives(name, by_life, could, fmean(in_time[name]))


def _print_lives(
    name: str, by_life: list[list[tuple[float, bool]]], could: list[float], holds: float
) -> None:
    """What came of the lives of one way beside what was told of them, (told chance, kept) by promise."""
    pairs = [pair for life in by_life for pair in life]
    good = [life for life, share in zip(by_life, could, strict=True) if share >= COULD_BE_KEPT]
    kept = fmean(k for life in good for _, k in life) if good else 0.0
    off = [fmean(k - p for p, k in life) for life in by_life]
    error = stdev(off) / sqrt(len(off)) if len(off) > 1 else 0.0
    brier = fmean((p - k) ** 2 for p, k in pairs)
    print(f"{name}: kept {kept:.3f} in the {len(good)} lives in which {COULD_BE_KEPT:.0%} could be;", end=" ")
    print(f"told {fmean(p for p, _ in pairs):.3f}, lived {fmean(k for _, k in pairs):.3f},", end=" ")
    print(f"apart {fmean(off):+.3f} with an error of {error:.3f}, Brier {brier:.4f};", end=" ")
    print(f"P80 of the season's end holds {holds:.2f};", reliability(pairs))


def _mean(values: Iterable[float]) -> float:
    found = list(values)
    return fmean(found) if found else 0.0


def _told(judge: Judge, plan: Plan) -> Outlook:
    return outlook(judge.season, plan, judge.draws(plan.bookings, 300), seed=judge.seed)


def reliability(pairs: list[tuple[float, bool]]) -> str:
    """Told and seen share kept, by fifths of the told chance, with how many promises each holds."""
    found = []
    for n in range(5):
        mine = [(p, k) for p, k in pairs if n / 5 <= p < (n + 1) / 5 or (n == 4 and p == 1)]
        if mine:
            found.append(f"{fmean(p for p, _ in mine):.2f}->{fmean(k for _, k in mine):.2f} ({len(mine)})")
    return " ".join(found)


# ---- ten disturbances in a week ----

WEEK = [MONDAY.date() + timedelta(days=n) for n in range(5)]


def week_of(facts: Facts, plan: Plan, seed: int) -> Truth:
    """Ten things that go wrong in the week."""
    luck = random.Random(f"drift {seed}")
    rain = frozenset(luck.sample(WEEK[1:], 2))
    sick: dict[str, dict[date, int]] = {crew.name: defaultdict(int) for crew in facts.crews}
    for _ in range(3):
        sick[luck.choice(facts.crews).name][luck.choice(WEEK[1:])] += 1
    machine = facts.machines[0]
    broken = {(machine.key, unit): frozenset[date]() for unit in range(1, machine.units + 1)}
    for day in luck.sample(WEEK[1:], 2):
        unit = luck.randint(1, machine.units)
        broken[machine.key, unit] |= {day}
    soon = [b.key for b in plan.bookings if b.start.date() in WEEK[1:] and b.key.part == 1]
    late = {key: luck.randint(2, 5) for key in luck.sample(soon, 2)}
    begun = sorted({b.job for b in plan.bookings if b.start.date() in WEEK})
    slow = luck.choice(begun)
    ratio = {b.key: 1.4 if b.job == slow else 1.0 for b in plan.bookings}
    return Truth(ratio, rain, sick, broken, late)


def repaired(season: Season, plan: Plan, steps: int) -> Plan:
    """The cheapest repair, improved by so many steps."""
    found = fixes_of(season, plan, quick=steps == 0)
    best = min(found, key=lambda fix: plan_cost(season, fix.bookings).total_cents)
    if not steps:
        return best
    better = solve(season, effort=Effort(steps=steps, exact_jobs=0, bound=False), seed=1, start=best)
    return min([best, better], key=lambda p: plan_cost(season, p.bookings).total_cents)


def after_the_week(facts: Facts, plan: Plan, truth: Truth, steps: int) -> tuple[Season, Plan]:
    """The season and its plan on the next Monday morning."""
    life, site, logs = Life(), Site(), list[Log]()
    start, lost = season_of(facts, MONDAY), facts.lost
    for day in WEEK:
        now = MONDAY + (day - MONDAY.date())
        lost = (*lost, *news(facts, truth, day))
        season = season_of(replace(facts, logs=tuple(logs), lost=lost, published=plan), now)
        plan = repaired(season, plan, steps)
        work_a_day(facts, start, plan, truth, day, site, life, logs)
    monday = season_of(
        replace(facts, logs=tuple(logs), lost=lost, published=plan), MONDAY + timedelta(days=7)
    )
    return monday, repaired(monday, plan, steps)


def drift(words: list[str]) -> None:
    """Each seed's drift, and the mean."""
    jobs, seeds, steps = ([int(w) for w in words] + [20, 5, 4000][len(words) :])[:3]
    drifts: dict[int, list[float]] = defaultdict(list)
    for seed in range(1, seeds + 1):
        with tempfile.TemporaryDirectory() as folder:
            facts = firm_of(folder, jobs, seed, days_in_hand=(0, 10), share=0.15)
        plan = solve(
            season_of(facts, MONDAY), effort=Effort(steps=3 * steps, exact_jobs=0, bound=False), seed=1
        )
        truth = week_of(facts, plan, seed)
        for each in (0, steps):
            season, kept = after_the_week(facts, plan, truth, each)
            untold = replace(season, published={}, frozen={})
            mine = plan_cost(untold, kept.bookings).total_cents
            fresh = solve(
                untold, effort=Effort(steps=3 * steps, exact_jobs=0, bound=False), seed=1, start=kept
            )
            drifts[each].append(mine / fresh.cost.total_cents - 1)
            print(
                f"seed {seed}, {each:5} steps a morning: ${mine / 100:,.0f}, afresh"
                f" ${fresh.cost.total_cents / 100:,.0f}: drift {drifts[each][-1]:.1%}",
                flush=True,
            )
    for each, found in drifts.items():
        print(f"{each:5} steps a morning: mean drift {fmean(found):.1%}, worst {max(found):.1%}")


if __name__ == "__main__":
    drift(sys.argv[2:]) if sys.argv[1:2] == ["drift"] else main()
