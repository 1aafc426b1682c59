"""What luck does to a season, drawn before it is played: hours, wet days, sick people, machines, deliveries.

In: spreads and rates of mishap. Out: arrays with one row a played season. Each kind of luck has a random
stream of its own and is drawn in an order that no plan decides, so that two plans of one season can be played
in the same luck.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import log, sqrt
from typing import TYPE_CHECKING, Any
from zlib import crc32

from planner.domain.firm.phases import Phase, WorkKey

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Minutes = NDArray[np.float64]
    Flags = NDArray[np.bool_]
    Days = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Spread:
    """How uncertain one piece of work is.

    mean_ratio: expected over planned working minutes; cv: standard deviation over mean of the minutes;
    common: share of the log variance that all works of the job share, 0 to 1. leaning: how strongly it leans
    on each of the causes that all works of a season share, what the book does not know about the firm.
    """

    mean_ratio: float = 1.0
    cv: float = 0.0
    common: float = 0.0
    leaning: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Weather:
    """Chance that a day is wet by month (January first), and what a wet day does.

    carry_over: correlation of a day with the next, 0 to under 1: wet days come in spells; lost_per_wet_day:
    chance that a wet day costs the day. Rain takes the day from every crew. told: chance that a day is lost,
    of the days that a forecast tells of, which knows of the day before already.
    """

    wet_chance: tuple[float, ...] = (0.0,) * 12
    carry_over: float = 0.0
    lost_per_wet_day: float = 1.0
    told: Mapping[date, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Spells:
    """Something that is out now and then. share: of all days, 0 to 1; days: mean length of a spell [days]."""

    share: float = 0.0
    days: float = 1.0


@dataclass(frozen=True, slots=True)
class Mishaps:
    """How often things go wrong. sick: one person; down: one machine unit.

    late_share: chance that a phase's material comes late, for the phases `late_phases`; late_days: mean
    delay when it does [calendar days, 1 or more].
    """

    sick: Spells = Spells()
    down: Spells = Spells()
    late_share: float = 0.0
    late_days: float = 1.0
    late_phases: frozenset[Phase] = frozenset()


@dataclass(frozen=True, slots=True)
class Luck:
    """The luck of every played season.

    lost: days lost to rain (seasons, days); factors: actual over planned minutes by work (seasons, works in
    the order asked for); hands: crew -> share of its people present (seasons, days), absent when always
    whole; down: machine kind -> flags (units, seasons, days); late: work -> days by which its material comes
    late (seasons,).
    """

    lost: Flags
    factors: Minutes
    hands: Mapping[str, Minutes] = field(default_factory=dict)
    down: Mapping[str, Flags] = field(default_factory=dict)
    late: Mapping[WorkKey, Days] = field(default_factory=dict)

    def of(self, block: slice) -> Luck:
        """The luck of some of the seasons."""
        return Luck(
            self.lost[block],
            self.factors[block],
            {crew: share[block] for crew, share in self.hands.items()},
            {kind: flags[:, block] for kind, flags in self.down.items()},
            {key: days[block] for key, days in self.late.items()},
        )


def lost_days(weather: Weather, first: date, days: int, seasons: int, random: Any) -> Flags:
    """Which days are lost to rain: (seasons, days); the first day is known and never drawn as lost.

    Wet days are a two-state chain with the month's chance as its long-run share and `carry_over` as the
    correlation of neighboring days: P(wet | wet) = p + r (1 - p), P(wet | dry) = p (1 - r) (Gabriel and
    Neumann, Quarterly Journal of the Royal Meteorological Society 88, 1962, from memory). Each is lost with
    `lost_per_wet_day`.
    """
    import numpy as np

    wet = np.zeros((seasons, days), dtype=bool)
    draws = random.random((seasons, days))
    r = weather.carry_over
    costs = np.full(days, weather.lost_per_wet_day)
    for n in range(1, days):
        day = first + timedelta(days=n)
        p = weather.told.get(day, weather.wet_chance[day.month - 1])
        if day in weather.told:
            costs[n] = 1.0
        alone = n == 1 or day in weather.told
        wet[:, n] = draws[:, n] < (p if alone else np.where(wet[:, n - 1], p + r * (1 - p), p * (1 - r)))
    lost: Flags = wet & (random.random((seasons, days)) < costs)
    return lost


def spells(kind: Spells, things: int, days: int, seasons: int, random: Any) -> Flags:
    """Which of `things` are out on which days: (things, seasons, days); the first day is known, none is out.

    A two-state chain: a spell ends each day with chance 1 / days, and begins so that `share` of all days in
    the long run are out: share / (1 - share) / days.
    """
    import numpy as np

    out = np.zeros((things, seasons, days), dtype=bool)
    if kind.share <= 0:
        return out
    draws = random.random((things, seasons, days))
    ends = 1.0 / max(1.0, kind.days)
    begins = min(1.0, kind.share / max(1e-9, 1 - kind.share) * ends)
    for n in range(1, days):
        out[:, :, n] = draws[:, :, n] < np.where(out[:, :, n - 1], 1 - ends, begins)
    return out


def duration_factors(
    keys: Sequence[WorkKey],
    spreads: Mapping[WorkKey, Spread],
    seasons: int,
    random: Any,
    causes: Sequence[Sequence[float]] = (),
) -> Minutes:
    """Actual over planned minutes of each work: (seasons, works), lognormal with the spread's mean and cv.

    Times the season's own causes, of median 1.
    """
    import numpy as np

    drawn_causes = random.standard_normal((seasons, len(causes)))
    root = int(random.integers(2**32))
    of_job = {job: stream_of(root, job).standard_normal(seasons) for job in {key.job for key in keys}}
    own = [stream_of(root, *key).standard_normal(seasons) for key in keys]
    factors = np.ones((seasons, len(keys)))
    for n, key in enumerate(keys):
        spread = spreads.get(key, Spread())
        sigma = sqrt(log(1 + spread.cv**2))
        z = sqrt(spread.common) * of_job[key.job] + sqrt(1 - spread.common) * own[n]
        factors[:, n] = spread.mean_ratio * np.exp(sigma * z - sigma**2 / 2)
    if len(causes):
        values, vectors = np.linalg.eigh(np.array(causes))
        drawn = drawn_causes * np.sqrt(np.maximum(values, 0.0)) @ vectors.T
        none = (0.0,) * len(values)
        lean = np.array([spreads[key].leaning if key in spreads else none for key in keys])
        factors *= np.exp(drawn @ lean.T)
    return factors


def stream_of(root: int, *name: object) -> Any:
    """A random stream that a name has to itself: what else is drawn changes nothing of it."""
    import numpy as np

    return np.random.default_rng([root, crc32("|".join(map(str, name)).encode())])


def late_deliveries(
    mishaps: Mishaps, keys: Sequence[WorkKey], seasons: int, random: Any
) -> dict[WorkKey, Days]:
    """Work -> days by which its material comes late, 0 when it does not: geometric from 1 on."""
    import numpy as np

    waiting = sorted(key for key in keys if key.phase in mishaps.late_phases and key.part == 1)
    if mishaps.late_share <= 0 or not waiting:
        return {}
    root, found = int(random.integers(2**32)), {}
    for key in waiting:
        own = stream_of(root, *key)
        late = own.random(seasons) < mishaps.late_share
        found[key] = np.where(late, own.geometric(1.0 / max(1.0, mishaps.late_days), seasons), 0)
    return found


def each_out(
    kind: Spells, sizes: Mapping[str, int], days: int, seasons: int, stream: Any
) -> dict[str, Flags]:
    """Name -> which of its things are out (things, seasons, days); one more thing changes no other's luck."""
    import numpy as np

    if kind.share <= 0:
        return {}
    streams = stream.spawn(len(sizes))
    return {
        name: spells(kind, sizes[name], days, seasons, np.random.default_rng(own))
        for name, own in zip(sorted(sizes), streams, strict=True)
    }


def draw_luck(
    keys: Sequence[WorkKey],
    spreads: Mapping[WorkKey, Spread],
    causes: Sequence[Sequence[float]],
    weather: Weather,
    mishaps: Mishaps,
    *,
    first: date,
    days: int,
    seasons: int,
    seed: int,
    crews: Mapping[str, int],
    units: Mapping[str, int],
) -> Luck:
    """All luck of so many seasons. crews: name -> people; units: machine kind -> how many; the same seed
    gives the same luck."""
    import numpy as np

    hours, rain, sick, broken, late = np.random.SeedSequence(seed).spawn(5)
    random = np.random.default_rng
    away = each_out(mishaps.sick, crews, days, seasons, sick)
    return Luck(
        lost=lost_days(weather, first, days, seasons, random(rain)),
        factors=duration_factors(keys, spreads, seasons, random(hours), causes),
        hands={crew: 1.0 - out.mean(axis=0) for crew, out in away.items()},
        down=each_out(mishaps.down, units, days, seasons, broken),
        late=late_deliveries(mishaps, keys, seasons, random(late)),
    )
