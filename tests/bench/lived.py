"""Seasons lived against what was told of them: `python -m tests.bench.lived [JOBS] [SEEDS] [LIVES] [STEPS]`.

Each season is planned in several ways, told its chances, then lived; all ways meet the same luck.
"""

from __future__ import annotations

import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterable
from statistics import fmean

from planner.domain.forecast.expected import learned_slack
from planner.domain.forecast.outlook import Outlook, outlook
from planner.domain.forecast.slack import judged, with_slack, with_slack_by_job
from planner.domain.season.facts import season_of
from planner.domain.season.plan import Plan
from planner.domain.season.season import Season
from planner.flow.forecast.expecting import Judge
from planner.flow.forecast.playing import basis_of
from planner.flow.season.aiming import Limits, aimed
from planner.schedule.model.effort import Effort
from planner.schedule.solve import solve
from tests.bench.lived_days import MONDAY, Truth, firm_of, live, truth_of

# ---- the ways that were tried ----


def _solved(season: Season, aim: Season, steps: int, start: Plan | None = None) -> Plan:
    effort = Effort(steps=steps, exact_jobs=0, bound=False)
    return judged(solve(aim, effort=effort, seed=1, start=start), season)


def on_paper(season: Season, _judge: Judge, steps: int) -> Plan:
    """The plan best on paper, with all the steps."""
    return _solved(season, season, steps)


def same_for_all(season: Season, judge: Judge, steps: int) -> Plan:
    """Of plans with 0, 3, 7 and 14 days in hand the one with the least expected price, a quarter each."""
    first = _solved(season, season, steps // 4)
    later = [_solved(season, with_slack(season, days), steps // 4, first) for days in (3, 7, 14)]
    return min([first, *later], key=lambda plan: judge.price(plan).mean_cents)


def by_job(season: Season, judge: Judge, steps: int) -> Plan:
    """Days in hand by job, learned from the first plan's played seasons, half the steps each."""
    first = _solved(season, season, steps // 2)
    slack = learned_slack(first.bookings, judge.draws(first.bookings), 80, 28)
    later = _solved(season, with_slack_by_job(season, slack), steps // 2, first)
    return min([first, later], key=lambda plan: judge.price(plan).mean_cents)


def as_planned(season: Season, judge: Judge, steps: int) -> Plan:
    """What `planner plan make` does: by job and 7 days, three fifths and two fifths of the steps."""
    return aimed(season, judge, Limits(0.0, steps, 1, 1)).plan


WAYS = {"on paper": on_paper, "same for all": same_for_all, "by job": by_job, "plan make": as_planned}

# ---- the table ----

HEAD = "{:>8} {:>9} {:>6} {:>9} {:>6} {:>6} {:>7}"
ROW = "{:8,.0f} {:9,.0f} {:6.3f} {:9,.0f} {:6.3f} {:6.0f} {:7.0f}"


def main() -> None:
    """Plan in several ways, tell, live, compare. LIVES 0: only told, by luck that no way has seen."""
    jobs, seeds, lives, steps = ([int(w) for w in sys.argv[1:]] + [20, 2, 5, 40_000][len(sys.argv) - 1 :])[:4]
    told: dict[str, list[tuple[float, bool]]] = defaultdict(list)
    in_time: dict[str, list[bool]] = defaultdict(list)
    rows: dict[str, list[tuple[float, ...]]] = defaultdict(list)
    print(" " * 20, HEAD.format("paper $", "expected", "kept", "lived $", "kept", "calls", "idle h"))
    for seed in range(1, seeds + 1):
        with tempfile.TemporaryDirectory() as folder:
            facts = firm_of(folder, jobs, seed, days_in_hand=(0, 10), share=0.15)
            basis = basis_of(folder + "/x.sqlite3", facts, MONDAY.date())
        season = season_of(facts, MONDAY)
        judge, unseen = (Judge(facts, season, basis, seed=number) for number in (seed, seed + 1000))
        truths: list[Truth] = []
        for name, way in WAYS.items():
            if lives and name not in {"on paper", "plan make"}:
                continue
            plan = way(season, judge, steps)
            seen = unseen.price(plan, 300)
            truths = truths or [truth_of(facts, plan.bookings, basis, 100 * seed + n) for n in range(lives)]
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
    for name, pairs in told.items() if lives else ():
        brier, holds = fmean((p - k) ** 2 for p, k in pairs), fmean(in_time[name])
        print(
            f"{name}: told {fmean(p for p, _ in pairs):.3f}, lived {fmean(k for _, k in pairs):.3f},", end=" "
        )
        print(f"Brier {brier:.4f}; P80 of the season's end holds {holds:.2f};", reliability(pairs))


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


if __name__ == "__main__":
    main()
