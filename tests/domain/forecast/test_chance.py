"""The played seasons against closed forms: scipy's distributions, a printed PERT network, queueing laws."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import pairwise
from math import sqrt

import numpy as np
import pytest
from scipy import stats

from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.forecast.chance import Draws, play
from planner.domain.forecast.clock import DAY_MIN
from planner.domain.forecast.luck import Spread, Weather, lost_days
from planner.domain.forecast.outlook import outlook
from planner.domain.season.plan import Booking, Cost, Plan, PlanState
from planner.domain.season.season import After, Mode, Season, Work

MONDAY = datetime(2027, 4, 5, 7)
#: Works every day, around the clock: hours of work are hours of the clock.
ROUND_THE_CLOCK = Firm(
    country="",
    shift_start=datetime(2027, 1, 1).time(),
    paid_h_day=24,
    meal_break_min=0,
    weekdays=frozenset(range(7)),
    unknown_site_mi=0,
)
EIGHT_HOURS = Firm(country="", meal_break_min=0, weekdays=frozenset(range(7)), unknown_site_mi=0)
USUAL = Firm(country="US", unknown_site_mi=0)


def make_season(
    firm: Firm,
    minutes: dict[WorkKey, float],
    *,
    crews: dict[WorkKey, str] | None = None,
    after: dict[WorkKey, tuple[After, ...]] | None = None,
    opens: dict[WorkKey, date] | None = None,
    last: date = date(2027, 11, 19),
    jobs: dict[str, Job] | None = None,
    lost: tuple[LostTime, ...] = (),
    now: datetime = MONDAY,
) -> tuple[Season, list[Booking]]:
    """A season whose plan starts every work at `now`, in the order given: only the order matters."""
    of = crews or dict.fromkeys(minutes, "A")
    works = {
        key: Work(
            key,
            (Mode((of[key],), m),),
            after=(after or {}).get(key, ()),
            opens=(opens or {}).get(key),
        )
        for key, m in minutes.items()
    }
    codes = {key.job for key in minutes}
    season = Season(
        firm=firm,
        jobs={c: (jobs or {}).get(c, Job(c, "client")) for c in codes},
        crews={name: Crew(name, "lead") for name in set(of.values())},
        machines={},
        works=works,
        now=now,
        last_day=last,
        lost=lost,
    )
    rows = [
        Booking(key, (of[key],), now + timedelta(seconds=n), now + timedelta(hours=1, seconds=n), m / 60)
        for n, (key, m) in enumerate(minutes.items())
    ]
    return season, rows


def one(code: str, phase: Phase = Phase.DIG) -> WorkKey:
    return WorkKey(code, phase)


def hours(draws: Draws, key: WorkKey) -> np.ndarray:
    return (draws.end[:, draws.keys.index(key)] - 7 * 60) / 60


def test_one_job_is_the_lognormal_of_scipy() -> None:
    key = one("P-1")
    season, rows = make_season(ROUND_THE_CLOCK, {key: 6000.0})
    draws = play(season, rows, {key: Spread(1.0, 0.3, 0.5)}, Weather(), seasons=20_000, seed=1, early=True)
    sigma = sqrt(np.log(1 + 0.3**2))
    law = stats.lognorm(s=sigma, scale=100 * np.exp(-(sigma**2) / 2))
    assert stats.kstest(hours(draws, key), law.cdf).pvalue > 0.01
    assert law.mean() == pytest.approx(100)
    assert np.mean(hours(draws, key) <= 120) == pytest.approx(law.cdf(120), abs=0.01)


def test_one_crew_adds_means_and_variances() -> None:
    # independent works in line: the mean of the sum is the sum of means, and so the variance.
    keys = [one(f"P-{n}") for n in range(12)]
    season, rows = make_season(ROUND_THE_CLOCK, {k: 600.0 + 60 * n for n, k in enumerate(keys)})
    draws = play(
        season, rows, dict.fromkeys(keys, Spread(1.1, 0.4)), Weather(), seasons=20_000, seed=2, early=True
    )
    means = np.array([11.0 + 1.1 * n for n in range(12)])
    total = hours(draws, keys[-1])
    assert total.mean() == pytest.approx(means.sum(), rel=0.005)
    assert total.std() == pytest.approx(sqrt(((0.4 * means) ** 2).sum()), rel=0.02)


def test_works_of_a_job_share_their_luck() -> None:
    # log variances are sigma^2 each, their covariance within a job is common * sigma^2, across jobs 0.
    a, b, c = one("P-1"), one("P-1", Phase.ROCK), one("P-2")
    season, rows = make_season(ROUND_THE_CLOCK, dict.fromkeys([a, b, c], 600.0))
    spread = dict.fromkeys([a, b, c], Spread(1.0, 0.5, 0.6))
    draws = play(season, rows, spread, Weather(), seasons=20_000, seed=3, early=True)
    logs = np.corrcoef(np.log(draws.worked_min.T))
    assert logs[0, 1] == pytest.approx(0.6, abs=0.02)
    assert logs[0, 2] == pytest.approx(0.0, abs=0.02)


def test_days_to_finish_in_the_rain_are_negative_binomial() -> None:
    # ten full days of work, each day lost with chance 0.3: the lost days before the tenth worked one.
    key = one("P-1")
    season, rows = make_season(EIGHT_HOURS, {key: 10 * 480.0})
    weather = Weather((0.3,) * 12)
    draws = play(season, rows, {}, weather, seasons=20_000, seed=4, early=True)
    lost = draws.end[:, 0] // DAY_MIN - 9
    law = stats.nbinom(9, 0.7)  # the first day is known to be dry: nine more worked days are drawn
    for days in range(10):
        assert np.mean(lost <= days) == pytest.approx(law.cdf(days), abs=0.012)


def test_rain_that_carries_over_keeps_its_long_run_share() -> None:
    # two-state chain: stationary share p, correlation of neighbors r.
    lost = lost_days(Weather((0.25,) * 12, 0.4), date(2027, 1, 1), 400, 2000, np.random.default_rng(5))
    assert not lost[:, 0].any()
    settled = lost[:, 50:]
    assert settled.mean() == pytest.approx(0.25, abs=0.005)
    assert np.corrcoef(settled[:, :-1].ravel(), settled[:, 1:].ravel())[0, 1] == pytest.approx(0.4, abs=0.01)


# PERT network printed in a management-science textbook (flylib.com/books/en/3.287.1.117/1): activities
# (a, m, b) in weeks, critical path 1-3-5-7, mean 24, chance of 28 weeks or less 0.9633.
PERT = {1: (5, 8, 17), 2: (7, 10, 13), 3: (3, 5, 7), 4: (1, 3, 5), 5: (4, 6, 8), 6: (3, 3, 3), 7: (3, 4, 5)}


def test_printed_pert_path() -> None:
    path = [one(f"A-{n}") for n in (1, 3, 5, 7)]
    moments = {one(f"A-{n}"): ((a + 4 * m + b) / 6, (b - a) / 6) for n, (a, m, b) in PERT.items()}
    week = 7 * 24 * 60.0
    season, rows = make_season(
        ROUND_THE_CLOCK, {k: moments[k][0] * week for k in path}, last=date(2028, 4, 1)
    )
    spreads = {k: Spread(1.0, moments[k][1] / moments[k][0]) for k in path}
    draws = play(season, rows, spreads, Weather(), seasons=40_000, seed=6, early=True)
    weeks = hours(draws, path[-1]) / (7 * 24)
    assert weeks.mean() == pytest.approx(24, abs=0.05)
    assert weeks.std() == pytest.approx(sqrt(5), abs=0.05)
    # the book takes the sum as normal, ours are right-skewed lognormals: a hundredth apart at the tail
    assert stats.norm(weeks.mean(), weeks.std()).cdf(28) == pytest.approx(0.9633, abs=0.003)
    assert np.mean(weeks <= 28) == pytest.approx(0.9633, abs=0.015)


def test_a_single_crew_queue_obeys_lindley_and_little() -> None:
    # A long line of jobs, each open from its own day, one crew in order.
    random = np.random.default_rng(7)
    keys = [one(f"P-{n:03}") for n in range(150)]
    days = np.sort(random.integers(0, 200, len(keys)))
    opens = {k: MONDAY.date() + timedelta(days=int(d)) for k, d in zip(keys, days, strict=True)}
    season, rows = make_season(
        ROUND_THE_CLOCK, dict.fromkeys(keys, 1500.0), opens=opens, last=date(2028, 4, 1)
    )
    draws = play(
        season, rows, dict.fromkeys(keys, Spread(1.0, 0.5)), Weather(), seasons=4, seed=8, early=True
    )
    for n in range(4):
        arrive = np.maximum(days * DAY_MIN, 7 * 60.0)
        # Lindley's recursion (1952): W(n+1) = max(0, W(n) + S(n) - T(n+1))
        wait = [0.0]
        for (a, b), s in zip(pairwise(arrive), draws.worked_min[n], strict=False):
            wait.append(max(0.0, wait[-1] + s - (b - a)))
        assert draws.start[n] - arrive == pytest.approx(np.array(wait), abs=1e-3)
        # Little's law (1961): time-average number of open jobs = arrival rate x mean time in the system,
        # the left side counted on a grid of minutes, the right from each job's own times.
        horizon = draws.end[n].max()
        grid = np.arange(0, horizon, 5.0)
        inside = np.searchsorted(arrive, grid, side="right") - np.searchsorted(
            np.sort(draws.end[n]), grid, side="right"
        )
        rate, stay = len(keys) / horizon, (draws.end[n] - arrive).mean()
        assert inside.mean() == pytest.approx(rate * stay, rel=0.002)


def test_order_lags_and_shares() -> None:
    dig, boxes, liner, fill = (one("P-1", p) for p in (Phase.DIG, Phase.SET_FILTERS, Phase.LINER, Phase.FILL))
    season, rows = make_season(
        USUAL,
        {dig: 960.0, boxes: 120.0, liner: 240.0, fill: 60.0},
        crews={dig: "A", boxes: "B", liner: "A", fill: "A"},
        after={
            boxes: (After(dig, share=0.5),),
            liner: (After(dig), After(boxes)),
            fill: (After(liner, lag_h=24.0),),
        },
    )
    draws = play(season, rows, {}, Weather(), seasons=1, early=True)
    start, end = ({k: t[0] for k, t in zip(draws.keys, v, strict=True)} for v in (draws.start.T, draws.end.T))
    day = DAY_MIN
    assert end[dig] == day + 15.5 * 60  # two shifts: 07:00 to 15:30 with half an hour's meal
    assert start[boxes] == day + 7 * 60  # half of the dig is done when Monday's shift ends
    assert end[boxes] == end[dig]  # not before the dig ends
    assert start[liner] == 2 * day + 7 * 60
    assert end[liner] == 2 * day + 11 * 60
    assert start[fill] == 3 * day + 11.5 * 60  # 24 h later falls into the meal break


def test_gates_blackouts_lost_days_and_waits() -> None:
    a, b = one("P-1"), one("P-2")
    season, rows = make_season(
        USUAL,
        {a: 480.0, b: 480.0},
        opens={a: date(2027, 4, 6)},
        jobs={"P-1": Job("P-1", "x", blackouts=(DayRange(date(2027, 4, 6), date(2027, 4, 6)),))},
        lost=(
            LostTime(LostKind.RAIN, DayRange(date(2027, 4, 8), date(2027, 4, 8))),
            LostTime(LostKind.DELIVERY, DayRange(date(2027, 4, 9), date(2027, 4, 12)), target="P-2"),
        ),
    )
    draws = play(season, rows, {}, Weather(), seasons=1, early=True)
    assert draws.end[0, 0] // DAY_MIN == 2  # Wednesday: gate Tuesday, blackout Tuesday
    assert draws.start[0, 1] // DAY_MIN == 8  # rain on Thursday, waiting to Monday, so Tuesday 13 April


def test_a_told_day_holds_unless_early_is_allowed() -> None:
    key = one("P-1")
    season, _ = make_season(USUAL, {key: 480.0})
    told = [Booking(key, ("A",), datetime(2027, 4, 12, 7), datetime(2027, 4, 12, 15, 30), 8.0)]
    assert play(season, told, {}, Weather(), seasons=1).start[0, 0] // DAY_MIN == 7
    assert play(season, told, {}, Weather(), seasons=1, early=True).start[0, 0] // DAY_MIN == 0


def test_same_seed_same_draws() -> None:
    key = one("P-1")
    season, rows = make_season(USUAL, {key: 4800.0})
    spread, weather = {key: Spread(1.0, 0.4)}, Weather((0.2,) * 12, 0.1)
    first, again = (play(season, rows, spread, weather, seasons=50, seed=9).end for _ in range(2))
    other = play(season, rows, spread, weather, seasons=50, seed=10).end
    assert (first == again).all()
    assert (first != other).any()


def test_outlook_reads_the_draws() -> None:
    # full-day works of one crew, no luck: finishes are Monday and Wednesday, so chances are 1 and 0.
    a, b = one("P-1"), one("P-2")
    season, rows = make_season(
        USUAL,
        {a: 480.0, b: 960.0},
        jobs={
            "P-1": Job("P-1", "x", promised=date(2027, 4, 5)),
            "P-2": Job("P-2", "x", promised=date(2027, 4, 6)),
        },
        last=date(2027, 4, 30),
    )
    plan = Plan(tuple(rows), Cost(), PlanState.RULE, MONDAY)
    draws = play(season, rows, {}, Weather(), seasons=20, early=True)
    seen = outlook(season, plan, draws, seed=0)
    assert {j.job: (j.kept, j.error, j.percentile_day) for j in seen.jobs} == {
        "P-1": (1.0, 0.0, date(2027, 4, 5)),
        "P-2": (0.0, 0.0, date(2027, 4, 7)),
    }
    assert (seen.expected_kept, seen.promises, seen.fits) == (1.0, 2, 1.0)
    assert seen.runs_out == (2027, 14)
    assert [(m.working_days, m.weather_days, m.keep_days) for m in seen.months] == [(20, 0.0, 0.0)]


def test_slack_is_the_percentile_of_lost_days() -> None:
    # April 2027 from Monday 5th, a firm that works every day: 25 days drawn with chance 0.2.
    key = one("P-1")
    season, rows = make_season(EIGHT_HOURS, {key: 480.0}, last=date(2027, 4, 30))
    plan = Plan(tuple(rows), Cost(), PlanState.RULE, MONDAY)
    draws = play(season, rows, {}, Weather((0.2,) * 12), seasons=20_000, seed=11, early=True)
    (april,) = outlook(season, plan, draws, seed=11).months
    law = stats.binom(25, 0.2)
    assert april.working_days == 26
    assert april.weather_days == pytest.approx(law.mean(), abs=0.05)
    assert april.keep_days == law.ppf(0.8)
