"""How good estimates would have been: each job told from earlier jobs only.

For every finished job the multipliers are fitted to the jobs finished before it began (in long records before
the last of forty days that came before it, each learned on top of the one before), and its hours are
predicted. The same is done with the bare rates, and with the edition that told the job, for comparison.
Nothing of the job itself, or of later ones, is used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import exp, log, sqrt
from statistics import NormalDist

from planner.domain.estimate.rates import RateBook, Spread
from planner.domain.estimate.spread import LogNormal, total
from planner.domain.estimate.unknown import Leaning, Sureness
from planner.domain.hours.fitting import fit
from planner.domain.hours.observations import Observation

#: Days up to which a backtest learns anew, at most.
_MOST_CUTS = 40


@dataclass(frozen=True, slots=True)
class Score:
    """How predictions did. count: how many.

    bias: exp(mean ln(worked / predicted)) - 1, so +0.10 is 10 % more hours than told, bias_error: its
    standard error; mape: mean of |predicted - worked| / worked; p80_held: share of cases that stayed within
    their P80, p80_low and p80_high: what that share may be in the long run, with 95 % (Wilson, Journal of
    the American Statistical Association, 1927; from memory). Phases of one job go together, so a score of
    phases is surer in its look than in truth.
    """

    count: int
    bias: float
    mape: float
    p80_held: float
    bias_error: float = 0.0
    p80_low: float = 0.0
    p80_high: float = 1.0

    @property
    def held(self) -> int:
        """Cases within their P80."""
        return round(self.p80_held * self.count)

    @property
    def honest(self) -> bool:
        """True while 80 % of cases within P80 could still be the truth."""
        return self.p80_low <= 0.80 <= self.p80_high


@dataclass(frozen=True, slots=True)
class Backtest:
    """Scores of whole jobs and of single phases, with the bare rates and with what earlier jobs taught.

    phases_told: single phases by the edition that each job was estimated with at the time.
    """

    jobs_before: Score
    jobs_after: Score
    phases_before: Score
    phases_after: Score
    phases_told: Score
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class _Case:
    worked: float
    told: float
    p80: float


def backtest(book: RateBook, found: Sequence[Observation]) -> Backtest | None:
    """Roll through the finished jobs; None with fewer than two.

    `book` gives the rows; anything it has learned is left out, since it may have learned it from these jobs.
    """
    plain = _unlearned(book)
    jobs: dict[str, list[Observation]] = {}
    found = [o for o in found if o.whole]
    for o in sorted(found, key=lambda o: (o.job, o.phase.rank, o.crew)):
        jobs.setdefault(o.job, []).append(o)
    if len(jobs) < 2:
        return None
    cuts = _cuts(jobs)
    known: dict[date, RateBook] = {}
    cases: dict[str, list[_Case]] = {"jb": [], "ja": [], "pb": [], "pa": []}
    for rows in sorted(jobs.values(), key=lambda rows: (min(o.first for o in rows), rows[0].job)):
        begun = max(cut for cut in cuts if cut <= min(o.first for o in rows))
        if begun not in known:
            known[begun] = _taught(plain, jobs, begun, known if len(cuts) >= _MOST_CUTS else {})
        for mark, rates in (("b", plain), ("a", known[begun])):
            phases, whole = _predict(rates, rows)
            cases["p" + mark] += phases
            cases["j" + mark].append(whole)
    return Backtest(
        jobs_before=_score(cases["jb"]),
        jobs_after=_score(cases["ja"]),
        phases_before=_score(cases["pb"]),
        phases_after=_score(cases["pa"]),
        phases_told=_score(
            [_Case(o.worked_h, o.told_h, o.told_p80_h) for rows in jobs.values() for o in rows]
        ),
        first=min(o.first for o in found),
        last=max(o.last for o in found),
    )


def _cuts(jobs: Mapping[str, Sequence[Observation]]) -> list[date]:
    """The days up to which is learned: each job's first, in long records every so many of them."""
    days = sorted({min(o.first for o in rows) for rows in jobs.values()})
    if len(days) <= _MOST_CUTS:
        return days
    return [days[i * len(days) // _MOST_CUTS] for i in range(_MOST_CUTS)]


def _unlearned(book: RateBook) -> RateBook:
    return replace(
        book, learned=(), learned_from=(), spread=Spread(), covariance=(), seen=(), part_learned={}
    )


def _taught(
    plain: RateBook, jobs: Mapping[str, Sequence[Observation]], on: date, known: Mapping[date, RateBook]
) -> RateBook:
    """What jobs finished before `on` teach: from the bare rates, or on top of the last book of `known`."""
    start = known[max(known)] if known else plain
    held = set(start.learned_from)
    codes = [code for code, rows in jobs.items() if code not in held and max(o.last for o in rows) < on]
    if not codes:
        return start
    fitted = fit(start, [o for code in codes for o in jobs[code]], on)
    return replace(
        start,
        learned=fitted.learned,
        covariance=fitted.covariance,
        spread=replace(fitted.spread, jobs=start.spread.jobs + len(codes)),
        learned_from=tuple(sorted({*held, *codes})),
        made_on=on,
    )


def predicted(rates: RateBook, o: Observation, leaning: Leaning | None = None) -> LogNormal:
    """The phase's own hours by `rates`, without the job's common error and what the book does not know.

    leaning: the observation's, where the caller has reckoned it already.
    """
    held = {(x.kind, x.target): x.log_mean for x in rates.learned}
    log_factor = sum(lean * held.get(t, 0.0) for t, lean in (leaning or o.leaning).items())
    return LogNormal(o.bare_h * exp(log_factor), rates.spread.of_phase(o.phase.value, o.own_log_sd))


def _predict(rates: RateBook, rows: Sequence[Observation]) -> tuple[list[_Case], _Case]:
    sure = Sureness(rates)
    leans = [o.leaning for o in rows]
    shared = sure.shared({o.phase: (lean, o.rows_log_sd) for o, lean in zip(rows, leans, strict=True)})
    plain = [predicted(rates, o, lean) for o, lean in zip(rows, leans, strict=True)]
    left = [
        sure.rows_left(lean, o.rows_log_sd, shared[o.phase, o.phase])
        for o, lean in zip(rows, leans, strict=True)
    ]
    parts = [p.times(exp(o.shift * x)) for o, p, x in zip(rows, plain, left, strict=True)]
    job = rates.spread.job_log_sd**2
    phases = [
        _Case(o.worked_h, likely.median, p.times(1.0, sqrt(job + shared[o.phase, o.phase])).at(80.0))
        for o, likely, p in zip(rows, plain, parts, strict=True)
    ]
    whole = total(parts, [[job + shared[a.phase, b.phase] for b in rows] for a in rows])
    return phases, _Case(sum(o.worked_h for o in rows), sum(p.median for p in plain), whole.at(80.0))


def _score(cases: Sequence[_Case]) -> Score:
    n = len(cases)
    logs = [log(c.worked / c.told) for c in cases]
    mean = sum(logs) / n
    spread = sqrt(sum((x - mean) ** 2 for x in logs) / max(1, n - 1) / n)
    low, high = wilson(sum(c.worked <= c.p80 for c in cases), n)
    return Score(
        count=n,
        bias=exp(mean) - 1.0,
        bias_error=exp(mean) * spread,
        p80_low=low,
        p80_high=high,
        mape=sum(abs(c.told - c.worked) / c.worked for c in cases) / n,
        p80_held=sum(c.worked <= c.p80 for c in cases) / n,
    )


def wilson(held: int, count: int) -> tuple[float, float]:
    """Between which shares the long run lies with 95 %, when `held` of `count` cases held.

    >>> tuple(round(x, 2) for x in wilson(14, 20))
    (0.48, 0.85)
    """
    z = NormalDist().inv_cdf(0.975)
    share = held / count
    middle = (share + z**2 / (2 * count)) / (1 + z**2 / count)
    half = z / (1 + z**2 / count) * sqrt(share * (1 - share) / count + z**2 / (4 * count**2))
    return max(0.0, middle - half), min(1.0, middle + half)
