"""Luck against closed forms: two-state chains, geometric delays; the morning's repair, each case reasoned."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import numpy as np
import pytest
from scipy import stats

from planner.domain.firm.crews import Machine
from planner.domain.firm.phases import Phase
from planner.domain.forecast.chance import play
from planner.domain.forecast.clock import DAY_MIN
from planner.domain.forecast.luck import Mishaps, Spells, Spread, Weather, late_deliveries, lost_days, spells
from planner.domain.forecast.outlook import percentile_error
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.season.season import After, Season
from tests.domain.forecast.test_chance import EIGHT_HOURS, make_season, one


def test_a_wet_spell_is_geometric_and_half_of_its_days_are_lost() -> None:
    # Gabriel and Neumann 1962 (from memory): in a two-state chain a spell lasts n days with chance
    # p11^(n-1) (1 - p11); p11 = p + r (1 - p) = 0.28 + 0.25 x 0.72 = 0.46, mean 1 / 0.54.
    wet = lost_days(Weather((0.28,) * 12, 0.25), date(2027, 1, 1), 3000, 40, np.random.default_rng(1))
    edges = np.diff(np.pad(wet, ((0, 0), (1, 1))).astype(int), axis=1)
    lengths = np.concatenate([np.flatnonzero(row == -1) - np.flatnonzero(row == 1) for row in edges])
    law = stats.geom(0.54)
    for n in range(1, 6):
        assert np.mean(lengths <= n) == pytest.approx(law.cdf(n), abs=0.01)
    # thinned by q: cov q^2 r f (1-f) over var q f (1 - q f) leaves a correlation of q r (1-f) / (1 - q f)
    lost = lost_days(Weather((0.28,) * 12, 0.25, 0.5), date(2027, 1, 1), 3000, 100, np.random.default_rng(2))
    assert lost.mean() == pytest.approx(0.14, abs=0.002)
    tied = np.corrcoef(lost[:, 1:-1].ravel(), lost[:, 2:].ravel())[0, 1]
    assert tied == pytest.approx(0.5 * 0.25 * 0.72 / 0.86, abs=0.01)


def test_spells_keep_their_share_and_their_mean_length() -> None:
    out = spells(Spells(0.03, 2.0), 3, 2000, 100, np.random.default_rng(3))
    assert not out[:, :, 0].any()
    assert out[:, :, 200:].mean() == pytest.approx(0.03, abs=0.001)
    ends = (out[:, :, 1:-1] & ~out[:, :, 2:]).sum()
    assert out[:, :, 1:-1].sum() / ends == pytest.approx(2.0, abs=0.05)


def test_late_material_comes_after_a_geometric_delay() -> None:
    luck = Mishaps(late_share=0.2, late_days=2.0, late_phases=frozenset({Phase.ROCK}))
    keys = [one("P-1"), one("P-1", Phase.ROCK)]
    found = late_deliveries(luck, keys, 50_000, np.random.default_rng(4))
    assert set(found) == {keys[1]}
    days = found[keys[1]]
    assert np.mean(days > 0) == pytest.approx(0.2, abs=0.006)
    assert days[days > 0].mean() == pytest.approx(2.0, abs=0.05)


def test_late_material_holds_its_phase_and_nothing_before_it() -> None:
    dig, rock = one("P-1"), one("P-1", Phase.ROCK)
    season, rows = make_season(EIGHT_HOURS, dict.fromkeys([dig, rock], 240.0), after={rock: (After(dig),)})
    rows[1] = replace(rows[1], start=datetime(2027, 4, 6, 7), end=datetime(2027, 4, 6, 11))
    luck = Mishaps(late_share=1.0, late_days=1.0, late_phases=frozenset({Phase.ROCK}))
    draws = play(season, rows, {}, Weather(), seasons=5, seed=1, mishaps=luck)
    assert (draws.start[:, 0] // DAY_MIN == 0).all()
    assert (draws.start[:, 1] // DAY_MIN == 2).all()  # planned on day 1, a day late


def test_sick_people_take_their_share_of_the_crews_day() -> None:
    # 200 days of work by three people of whom each is away 10 % of days: 200 / 0.9 days on average.
    key = one("P-1")
    season, rows = make_season(EIGHT_HOURS, {key: 200 * 480.0}, last=date(2028, 4, 1))
    luck = Mishaps(sick=Spells(0.1, 3.0))
    draws = play(season, rows, {}, Weather(), seasons=2000, seed=5, mishaps=luck, early=True)
    assert (draws.end[:, 0] / DAY_MIN).mean() == pytest.approx(200 / 0.9, rel=0.01)


def _with_machine(
    season: Season, rows: list[Booking], units: int, uses: dict[int, int]
) -> tuple[Season, list[Booking]]:
    season = replace(season, machines={"excavator": Machine("excavator", "mini excavator", units)})
    return season, [
        replace(row, machines=(MachineUse("excavator", uses[n]),)) if n in uses else row
        for n, row in enumerate(rows)
    ]


def test_a_broken_machine_stands_unless_another_is_idle() -> None:
    # 100 days of digging; the one unit is broken 20 % of days: 100 / 0.8 days on average.
    key = one("P-1")
    season, rows = make_season(EIGHT_HOURS, {key: 100 * 480.0})
    luck = Mishaps(down=Spells(0.2, 2.0))
    for units, repairs, days in ((1, True, 125.0), (2, False, 125.0), (2, True, 100.0)):
        there, dug = _with_machine(season, rows, units, {0: 1})
        draws = play(
            there, dug, {}, Weather(), seasons=1000, seed=6, mishaps=luck, repairs=repairs, early=True
        )
        assert (draws.end[:, 0] / DAY_MIN).mean() == pytest.approx(days, rel=0.05)


def test_a_work_takes_whichever_unit_is_free() -> None:
    # Both digs name unit 1; the first takes 2 days. With a second unit in the yard the other need not wait.
    first, second = one("P-1"), one("P-2")
    season, rows = make_season(EIGHT_HOURS, {first: 960.0, second: 480.0}, crews={first: "A", second: "B"})
    season, rows = _with_machine(season, rows, 2, {0: 1, 1: 1})
    kept = play(season, rows, {}, Weather(), seasons=3, early=True)
    repaired = play(season, rows, {}, Weather(), seasons=3, early=True, repairs=True)
    assert (kept.start[:, 1] == 2 * DAY_MIN + 7 * 60).all()
    assert (repaired.start[:, 1] == 7 * 60).all()


def test_a_waiting_crew_goes_on_with_later_work_that_fits_into_the_wait() -> None:
    # The crew's second work waits three days for its gate; the third takes one day and fits before it, the
    # fourth takes three and does not.
    a, b, c, d = (one(f"P-{n}") for n in range(4))
    minutes = {a: 480.0, b: 480.0, c: 480.0, d: 3 * 480.0}
    season, rows = make_season(EIGHT_HOURS, minutes, opens={b: date(2027, 4, 9)})
    kept = play(season, rows, {}, Weather(), seasons=2, early=True)
    repaired = play(season, rows, {}, Weather(), seasons=2, early=True, repairs=True)
    assert (kept.start // DAY_MIN == [0, 4, 5, 6]).all()
    assert (repaired.start // DAY_MIN == [0, 4, 1, 5]).all()
    assert (repaired.days == [1, 1, 1, 3]).all()


def test_two_plans_of_one_season_meet_the_same_luck() -> None:
    keys = [one(f"P-{n}") for n in range(5)]
    season, rows = make_season(EIGHT_HOURS, dict.fromkeys(keys, 960.0))
    spread = dict.fromkeys(keys, Spread(1.0, 0.4, 0.3))
    luck = Mishaps(sick=Spells(0.02, 2.0))
    there = play(season, rows, spread, Weather((0.2,) * 12, 0.25), seasons=50, seed=3, mishaps=luck)
    fewer = play(season, rows[:3], spread, Weather((0.2,) * 12, 0.25), seasons=50, seed=3, mishaps=luck)
    assert np.allclose(fewer.end, there.end[:, :3]), "work that comes later changes nothing before it"
    turned = [replace(row, start=rows[4 - n].start, end=rows[4 - n].end) for n, row in enumerate(rows)]
    back = play(season, turned, spread, Weather((0.2,) * 12, 0.25), seasons=50, seed=3, mishaps=luck)
    assert (there.lost == back.lost).all()
    for key in keys:
        mine, other = there.keys.index(key), back.keys.index(key)
        assert np.allclose(there.worked_min[:, mine], back.worked_min[:, other])


def test_the_error_of_a_percentile_is_that_of_many_repeats() -> None:
    # asymptotically sqrt(p (1-p) / n) / f(x_p); for a standard normal at 80 %: 0.4 / sqrt(n) / 0.28.
    random = np.random.default_rng(8)
    told = np.mean([percentile_error(random.standard_normal(1000), 80) for _ in range(300)])
    seen = np.std([np.percentile(random.standard_normal(1000), 80) for _ in range(2000)])
    law = 0.4 / np.sqrt(1000) / stats.norm.pdf(stats.norm.ppf(0.8))
    assert told == pytest.approx(law, rel=0.1)
    assert seen == pytest.approx(law, rel=0.1)
