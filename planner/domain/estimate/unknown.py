"""What the book does not know yet about this firm: multipliers that all its jobs share, and how sure they
are.

A phase's hours lean on causes: the firm as a whole, the crew, the phase, its size, the soil of a dig, the
access. Each cause has a logarithm that nobody knows exactly. Before any log its spread is the book's prior;
logs make it smaller, and what they teach about several causes together is kept (`RateBook.covariance`), so
that a crew's pace and the firm's are not counted twice. The rows' own bands are one cause more, a phase's,
until logs speak of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import log, sqrt

from planner.domain.estimate.rates import LearnedKind, RateBook
from planner.domain.estimate.spread import Split, from_moments
from planner.domain.estimate.task import Task
from planner.domain.firm.jobs import Access, Soil
from planner.domain.firm.phases import Phase

Target = tuple[LearnedKind, str]
#: How strongly a phase's log hours lean on each cause: 1, or the logarithm of the phase's size.
Leaning = Mapping[Target, float]

#: The one target of what is common to all of a firm's hours, and of the size power that all phases share.
ALL = "all"
#: Days ahead that an estimate looks on average: so much a firm's pace may wander until the job is done.
_AHEAD_D = 30.0
#: Farthest a phase's size counts from the usual one, either way: smaller or larger ones lean no more than
#: this.
_FARTHEST_LOG = 2.0
_FIRM: Target = (LearnedKind.FIRM, ALL)


def log_size(book: RateBook, phase: Phase, labour_h: float) -> float:
    """Logarithm of a phase's bare labour-hours over a usual pond's; 0 when the book has no usual one."""
    usual = book.rows.get(f"usual.{phase.value}")
    if usual is None or labour_h <= 0:
        return 0.0
    return max(-_FARTHEST_LOG, min(_FARTHEST_LOG, log(labour_h / usual.likely)))


def leaning(phase: Phase, crew: str, soil: Soil, access: Access, size: float) -> dict[Target, float]:
    """The causes of one phase's hours. crew: of crews together, " + " between them; size: `log_size`.

    A visit leans on nothing but itself: installs teach it nothing, and it teaches them nothing.
    """
    if phase is Phase.VISIT:
        return {(LearnedKind.PHASE, phase.value): 1.0}
    crews = crew.split(" + ")
    found: dict[Target, float] = {_FIRM: 1.0, (LearnedKind.PHASE, phase.value): 1.0}
    for name in crews:
        found[LearnedKind.CREW, name] = 1.0 / len(crews)
    if phase is Phase.DIG:
        found[LearnedKind.SOIL, soil.value] = 1.0
    found[LearnedKind.ACCESS, access.value] = 1.0
    if size:
        found[LearnedKind.SIZE, ALL] = found[LearnedKind.SIZE, phase.value] = size
    return found


def prior_log_sd(book: RateBook, kind: LearnedKind) -> float:
    """Standard deviation of the logarithm of a multiplier that nobody has measured yet; 0 without a row."""
    row = book.rows.get(f"refit.prior.{kind.value}")
    return row.likely if row else 0.0


def wander_var(book: RateBook, days: float) -> float:
    """Variance of the firm's log pace that comes in so many days: a random walk."""
    row = book.rows.get("refit.wander")
    return (row.likely * book.spread.wander) ** 2 * days / 365.25 if row else 0.0


class Sureness:
    """How sure a book is of the causes: variances and covariances of their logarithms."""

    def __init__(self, book: RateBook) -> None:
        """Of this edition."""
        self.book = book
        self._at = {(x.kind, x.target): i for i, x in enumerate(book.learned)}
        # An edition of before taught crews and phases the firm's pace too: it stands in their lessons.
        self._mixed = bool(book.learned) and not book.covariance
        self._seen = set(book.seen)
        self._prior_var = {kind: prior_log_sd(book, kind) ** 2 for kind in LearnedKind}

    def covariance(self, one: Leaning, other: Leaning) -> float:
        """Covariance of two phases' shared log hours, without what the rows' bands say."""
        found = sum(x * other[a] * self._unlearned(a) for a, x in one.items() if a in other)
        if self._at:
            found += self._kept(self._placed(one), self._placed(other))
            if _FIRM in self._at and _FIRM in one and _FIRM in other:
                found += one[_FIRM] * other[_FIRM] * wander_var(self.book, _AHEAD_D)
        return found

    def between(self, a: Target, b: Target) -> float:
        """Covariance of two causes. One that no log has spoken of has the prior's variance."""
        return self.covariance({a: 1.0}, {b: 1.0})

    def _unlearned(self, cause: Target) -> float:
        """Variance of a cause that no log has spoken of, the prior's; 0 of one that logs have."""
        if cause in self._at or (self._seen and f"{cause[0].value} {cause[1]}" in self._seen):
            return 0.0
        if self._mixed and cause[0] in {LearnedKind.FIRM, LearnedKind.SIZE}:
            return 0.0
        return self._prior_var[cause[0]]

    def _placed(self, leaning: Leaning) -> list[tuple[int, float]]:
        """(place among the lessons, lean) of the causes that logs have spoken of."""
        return [(self._at[cause], lean) for cause, lean in leaning.items() if cause in self._at]

    def _kept(self, one: Sequence[tuple[int, float]], other: Sequence[tuple[int, float]]) -> float:
        """Covariance by what the book keeps of its lessons."""
        rows = self.book.covariance
        if not rows:
            return sum(x * y * self.book.learned[i].log_sd ** 2 for i, x in one for j, y in other if i == j)
        return sum(x * y * (rows[i][j] if i >= j else rows[j][i]) for i, x in one for j, y in other)

    def rows_left(self, leaning: Leaning, rows_log_sd: float, shared_var: float) -> float:
        """Share of the rows' own uncertainty that logs have not taken away, 0 to 1.

        shared_var: what is not known of the phase now; before any log that was its priors and rows' bands.
        """
        prior = rows_log_sd**2 + sum(lean**2 * self._prior_var[kind] for (kind, _), lean in leaning.items())
        return min(1.0, shared_var / prior) if prior else 0.0

    def rows_apart(self, phase: Phase) -> bool:
        """True while no log spoke of the phase: its rows' bands stand beside the phase's prior."""
        return (LearnedKind.PHASE, phase.value) not in self._at

    def shared(self, phases: Mapping[Phase, tuple[Leaning, float]]) -> dict[tuple[Phase, Phase], float]:
        """Covariance of the log hours of each two phases, given as (leaning, log spread of its rows).

        The rows' bands of a phase stand beside its prior until a log speaks of it.
        """
        found = {}
        order = list(phases)
        for i, a in enumerate(order):
            for b in order[: i + 1]:
                found[a, b] = found[b, a] = self.covariance(phases[a][0], phases[b][0])
            if self.rows_apart(a):
                found[a, a] += phases[a][1] ** 2
            found[a, a] = max(0.0, found[a, a])
        return found


def rows_unknown(book: RateBook, tasks: Sequence[Task], factor_rows: Iterable[str]) -> tuple[float, float]:
    """How far the rows may be off for this firm: shift of the log median, and log standard deviation.

    Each row is drawn once for a firm, a split log-normal between its low and high; tasks of one row go
    together, different rows do not. A task's further rows (bucket, load, speed) act on it as a factor.
    """
    bands: dict[str, list[float]] = {}
    for task in tasks:
        band = bands.setdefault(task.rows[0] if task.rows else "", [0.0, 0.0, 0.0])
        for at in range(3):
            band[at] += task.labour_h[at]
    likely = sum(band[1] for band in bands.values())
    if likely <= 0:
        return 0.0, 0.0
    splits = [Split.of(*band) for band in bands.values() if band[1] > 0]
    whole = from_moments(sum(s.mean for s in splits), sum(s.variance for s in splits))
    variance = whole.log_sd**2 + sum(
        (task.labour_h[1] / likely * _log_sd(book, key)) ** 2 for task in tasks for key in task.rows[1:]
    )
    shift = log(whole.median / likely)
    for key in factor_rows:
        row = book.rows.get(key)
        if row is not None:
            split = Split.of(*row.band)
            shift, variance = shift + split.log_mean, variance + split.log_variance
    return shift, sqrt(variance)


def _log_sd(book: RateBook, key: str) -> float:
    """Log spread that a task's further row gives it: limits and exponents of lifting act by steps, not so."""
    row = book.rows.get(key)
    if row is None or key.startswith(("lift.", "stone.", "liner.", "deep.")):
        return 0.0
    return sqrt(Split.of(*row.band).log_variance)
