"""Hidden truths for the hours: seasons drawn, logged, refitted, and told; bias, rms and coverage are printed.

    python -m tests.bench.truths              # every truth, some minutes
    python -m tests.bench.truths --seasons 8 --seed 90 crews drift

Each season has two crews, ponds of five sizes, two soils. Worked hours are the bare hours of the rows, times
the hidden truth, one error of the job and one of each phase. After 0, 3, 6, 12 and 24 logged jobs the
refit's edition tells 25 future ponds; beside it stands the reference of `tests.bench.hours_reference` on the
same observations. Everything here is invented; nothing in the planner was tuned to these seeds.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cache
from math import exp, log, sqrt
from random import Random

from planner.domain.estimate.labour import JobEstimate, with_daily_setup
from planner.domain.estimate.rate_sheet import limits
from planner.domain.estimate.rates import LearnedKind, Rate, RateBook
from planner.domain.estimate.spread import Split
from planner.domain.estimate.unknown import Target, prior_log_sd
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import Job, Soil
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.hours.observations import Observation
from planner.domain.hours.refit import refit
from tests.bench.hours_reference import Reference
from tests.domain.estimate.ponds import BOOK, FIRM, NORTH, QUANTITIES, pond, told

LOGGED, AHEAD = (0, 3, 6, 12, 24), 25
MARCH, SEASON_D = date(2027, 3, 15), 168
SIZES = (0.35, 0.6, 1.0, 1.6, 2.6)
CREWS = (replace(NORTH, name="A"), replace(NORTH, name="B"))
_WHOLE = {"filter_boxes", "connections", "sealed_joints", "hose_gpm"}
_FIXED = ("refit.", "usual.", "lift.", "stone.", "learn.", "heat.", "cold.", "overtime.")


@dataclass(frozen=True)
class Truth:
    """What hides behind the book. causes: logs of multipliers; rows: the book as it is for this firm.

    drift: log change over the season; power: hours go with size to 1 + power; scatter: of the errors'
    spreads; slips: share of phases typed ten times too large.
    """

    causes: Mapping[Target, float] = field(default_factory=dict)
    rows: RateBook = BOOK
    drift: float = 0.0
    power: float = 0.0
    scatter: float = 1.0
    slips: float = 0.0


def of_the_priors(dice: Random) -> Truth:
    """Every cause and every row drawn from the book's own priors and bands."""
    kinds = (
        (LearnedKind.FIRM, "all"),
        *((LearnedKind.CREW, c.name) for c in CREWS),
        *((LearnedKind.PHASE, p.value) for p in ORDER),
        *((LearnedKind.SOIL, s.value) for s in (Soil.LOAM, Soil.CLAY)),
        *((LearnedKind.SIZE, t) for t in ("all", *(p.value for p in ORDER))),
        (LearnedKind.ACCESS, "machine"),
    )
    causes = {t: dice.gauss(0.0, prior_log_sd(BOOK, t[0])) for t in kinds}
    return Truth(causes, rows=drawn_rows(dice))


def drawn_rows(dice: Random) -> RateBook:
    """The shipped book, each row drawn once from its own low to high, within what a book may hold."""
    rows = []
    for row in BOOK.rows.values():
        if not row.key.startswith(_FIXED):
            least, most = limits(row)
            drawn = Split.of(*row.band).at(100.0 * min(0.999, max(0.001, dice.random())))
            value = min(most, max(least, drawn))
            rows.append(Rate(row.key, row.kind, row.unit, value, value, value, "drawn", row.words))
    return replace(BOOK.with_rows(rows), edition="drawn")


def _crews(dice: Random) -> Truth:
    return Truth({(LearnedKind.CREW, "A"): log(1.4), (LearnedKind.CREW, "B"): log(0.8)})


TRUTHS: Mapping[str, Callable[[Random], Truth]] = {
    "priors": of_the_priors,
    "rows": lambda dice: Truth(rows=drawn_rows(dice)),
    "crews": _crews,
    "drift": lambda dice: Truth(drift=log(1.3)),
    "slack": lambda dice: Truth(drift=log(0.75)),
    "size": lambda dice: Truth(power=-0.25),
    "quiet": lambda dice: Truth(scatter=0.5),
    "slips": lambda dice: Truth(slips=0.1),
}


@dataclass(frozen=True)
class Pond:
    """One job of a season: its size over the usual, its crew and the season's day on which it ends."""

    job: Job
    size: float
    crew: Crew
    day: int


@cache
def _job(size: float, soil: Soil) -> Job:
    amounts = {k: q if k in _WHOLE else q * size for k, q in QUANTITIES.items()}
    return pond(f"{soil.value}-{size:g}", soil=soil, **amounts)


@cache
def _bare(size: float, soil: Soil, crew: str) -> JobEstimate:
    return told(_job(size, soil), next(c for c in CREWS if c.name == crew))


def ponds(dice: Random, count: int, last_day: int | None = None) -> list[Pond]:
    """Ponds spread over the season, crews by turns; all on `last_day` when given."""
    found = []
    for i in range(count):
        size = dice.choice(SIZES) * exp(dice.gauss(0.0, 0.05))
        day = last_day if last_day is not None else round(SEASON_D * (i + 1) / count)
        soil = dice.choice((Soil.LOAM, Soil.CLAY))
        found.append(Pond(_job(round(size, 2), soil), round(size, 2), CREWS[i % 2], day))
    return found


def worked(one: Pond, truth: Truth, dice: Random) -> dict[Phase, float]:
    """Crew-hours on site of each phase, as the crew would log them."""
    bare = _bare(one.size, one.job.soil, one.crew.name)
    real = bare if truth.rows is BOOK else told(one.job, one.crew, truth.rows)
    site = dice.gauss(0.0, 0.15 * truth.scatter) + truth.drift * min(1.0, one.day / SEASON_D)
    found = {}
    for phase, p in bare.phases.items():
        causes = sum(lean * truth.causes.get(t, 0.0) for t, lean in p.leaning.items())
        error = dice.gauss(0.0, p.hours.log_sd * truth.scatter)
        hours = real.phases[phase].crew_h * exp(causes + truth.power * p.size + site + error)
        found[phase] = with_daily_setup(hours, FIRM)
    return found


def logged(found: Sequence[Pond], truth: Truth, dice: Random) -> list[Observation]:
    """The observations that logs of these ponds give."""
    rows = []
    for number, one in enumerate(found):
        bare = _bare(one.size, one.job.soil, one.crew.name)
        day = MARCH + timedelta(days=one.day)
        for phase, hours in worked(one, truth, dice).items():
            p = bare.phases[phase]
            typed = hours * 10 if dice.random() < truth.slips else hours
            rows.append(
                Observation(
                    f"J{number:02}",
                    phase,
                    one.crew.name,
                    one.job.soil,
                    one.job.access,
                    day,
                    day,
                    typed,
                    with_daily_setup(p.crew_h, FIRM),
                    with_daily_setup(p.crew_h_at(80), FIRM),
                    with_daily_setup(p.crew_h, FIRM),
                    p.hours.log_sd,
                    p.size,
                    p.rows_log_sd,
                    p.shift,
                )
            )
    return rows


@dataclass
class Tally:
    """Log errors of whole jobs against the likely hours, by crew; and how many stayed within P50 and P80."""

    errors: dict[str, list[float]] = field(default_factory=lambda: {"A": [], "B": []})
    within: list[bool] = field(default_factory=list)
    middle: list[bool] = field(default_factory=list)
    by_crew: dict[str, list[bool]] = field(default_factory=lambda: {"A": [], "B": []})
    width: list[float] = field(default_factory=list)

    def add(self, crew: str, likely: float, p50: float, p80: float, hours: float) -> None:
        """One future job."""
        self.errors[crew].append(log(hours / likely))
        self.within.append(hours <= p80)
        self.middle.append(hours <= p50)
        self.by_crew[crew].append(hours <= p80)
        self.width.append(log(p80 / p50))

    def words(self) -> str:
        """ "+12 / -5 %  0.24  P50 0.51  P80 0.79 (A 0.70)"."""
        bias = [exp(sum(e) / len(e)) - 1 for e in self.errors.values()]
        every = [x for e in self.errors.values() for x in e]
        rms = sqrt(sum(x * x for x in every) / len(every))
        held = sum(self.within) / len(self.within)
        a = sum(self.by_crew["A"]) / len(self.by_crew["A"])
        mid = sum(self.middle) / len(self.middle)
        wide = exp(sum(self.width) / len(self.width)) - 1
        return (
            f"{bias[0]:+5.0%} /{bias[1]:+5.0%}  rms {rms:.3f}  P50 {mid:.2f}  P80 {held:.2f} (A {a:.2f})  "
            f"P80 {wide:+.0%} over P50"
        )


def play(name: str, seasons: int, seed: int, logs: Sequence[int], *, reference: bool) -> None:
    """Print one truth's table."""
    print(f"\n{name}: {seasons} seasons of {AHEAD} future jobs, seed {seed}")
    for count in logs:
        ours, theirs = Tally(), Tally()
        for season in range(seasons):
            dice = Random(f"{name} {seed} {season} {count}")
            truth = TRUTHS[name](dice)
            seen = logged(ponds(dice, count), truth, dice)
            today = MARCH + timedelta(days=SEASON_D + 1)
            book = (refit(BOOK, seen, today).book if seen else BOOK) or BOOK
            other = Reference.fitted(BOOK, seen) if reference else None
            for one in ponds(dice, AHEAD, last_day=SEASON_D):
                hours = sum(worked(one, truth, dice).values())
                found = told(one.job, one.crew, book)
                on_site = with_daily_setup(1.0, FIRM)
                ours.add(
                    one.crew.name,
                    found.crew_h * on_site,
                    found.crew_h_at(50) * on_site,
                    found.crew_h_at(80) * on_site,
                    hours,
                )
                if other:
                    bare = _bare(one.size, one.job.soil, one.crew.name)
                    likely, p50, p80 = other.told(bare)
                    theirs.add(one.crew.name, likely * on_site, p50 * on_site, p80 * on_site, hours)
        print(f"  {count:2} jobs  {ours.words()}")
        if reference:
            print(f"     ref.  {theirs.words()}")


def main() -> None:
    """Play the named truths, or all."""
    ask = argparse.ArgumentParser()
    ask.add_argument("truths", nargs="*", default=list(TRUTHS))
    ask.add_argument("--seasons", type=int, default=16)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--logs", type=int, nargs="*", default=list(LOGGED))
    ask.add_argument("--no-reference", action="store_true")
    asked = ask.parse_args()
    for name in asked.truths:
        play(name, asked.seasons, asked.seed, asked.logs, reference=not asked.no_reference)


if __name__ == "__main__":
    main()
