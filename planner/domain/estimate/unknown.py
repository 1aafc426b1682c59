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
    """The causes of one phase's hours. crew: of crews together, " + " between them; size: `log_size`."""
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

    def covariance(self, one: Leaning, other: Leaning) -> float:
        """Covariance of two phases' shared log hours, without what the rows' bands say."""
        found = 0.0
        for a, x in one.items():
            for b, y in other.items():
                found += x * y * self.between(a, b)
        return found

    def between(self, a: Target, b: Target) -> float:
        """Covariance of two causes. One that no log has spoken of has the prior's variance."""
        i, j = self._at.get(a), self._at.get(b)
        if i is not None and j is not None:
            extra = wander_var(self.book, _AHEAD_D) if a == b == _FIRM else 0.0
            return self._kept(i, j) + extra
        if a != b or f"{a[0].value} {a[1]}" in self.book.seen:
            return 0.0
        if self._mixed and a[0] in {LearnedKind.FIRM, LearnedKind.SIZE}:
            return 0.0
        return prior_log_sd(self.book, a[0]) ** 2

    def _kept(self, i: int, j: int) -> float:
        rows = self.book.covariance
        if rows:
            return rows[max(i, j)][min(i, j)]
        return self.book.learned[i].log_sd ** 2 if i == j else 0.0

    def rows_left(self, leaning: Leaning, rows_log_sd: float, shared_var: float) -> float:
        """Share of the rows' own uncertainty that logs have not taken away, 0 to 1.

        shared_var: what is not known of the phase now; before any log that was its priors and rows' bands.
        """
        prior = rows_log_sd**2 + sum(
            (lean * prior_log_sd(self.book, kind)) ** 2 for (kind, _), lean in leaning.items()
        )
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
