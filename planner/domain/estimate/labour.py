"""How many crew-hours a job takes this crew on this site, with the spread and the arithmetic behind it.

crew-hours = (set-up + sum of quantity x rate x factors, or the wait for the excavator) x factors of the phase
/ (people x pace). In: job, crew, rate book, firm, phase rules, machines, conditions. Out: `JobEstimate`.
Every factor multiplies once, and the lines of an estimate sum to its total.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import exp, prod, sqrt

from planner.domain.estimate.conditions import (
    Conditions,
    FactorUse,
    size_factor,
)
from planner.domain.estimate.factors import lesson_factors, site_factors
from planner.domain.estimate.rates import LearnedKind, RateBook
from planner.domain.estimate.spread import LogNormal, Shifted, log_sd_of_band, total
from planner.domain.estimate.task import Band, Task, Tasks, Way
from planner.domain.estimate.tasks import fill_parts, tasks_of, unattended_h
from planner.domain.estimate.unknown import Leaning, Sureness, leaning, log_size, rows_unknown
from planner.domain.estimate.visits import at_a_visit
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.domain.firm.needs import machines_for
from planner.domain.firm.phases import Phase, PhaseRule
from planner.errors import BadInput


@dataclass(frozen=True, slots=True)
class Share:
    """One line of the explanation: labour-hours before the phase's factors, crew-hours after all of them."""

    words: str
    quantity: float
    unit: str
    labour_h: float
    crew_h: float
    steps: tuple[str, ...]
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PhaseEstimate:
    """One phase by one crew.

    hours: attended crew-hours, spread of the phase by itself; job_log_sd: what the whole job shares;
    leaning: the causes it shares with the firm's other work, shared_log_sd: how unsure they are, together
    with what the rows' bands leave open; shift: of the log median, since those bands reach further up than
    down. rows_log_sd: of it what only this phase's rows leave open; size: log of its size over a usual
    pond's. labour_h: likely labour-hours, all factors in. parts: shares of the attended hours before and
    after unattended_h [h], which pass by themselves. machines: kind -> units that the hours assume.
    """

    phase: Phase
    people: int
    pace: float
    lines: tuple[Share, ...]
    factors: tuple[FactorUse, ...]
    labour_h: float
    hours: LogNormal
    job_log_sd: float
    parts: tuple[float, ...] = (1.0,)
    unattended_h: float = 0.0
    unattended_words: str = ""
    machines: Mapping[str, int] = field(default_factory=dict)
    defaults: tuple[str, ...] = ()
    leaning: Leaning = field(default_factory=dict)
    shared_log_sd: float = 0.0
    rows_log_sd: float = 0.0
    shift: float = 0.0
    size: float = 0.0

    @property
    def crew_h(self) -> float:
        """Likely attended crew-hours: the middle of the spread, and the sum of the lines."""
        return self.hours.median

    @property
    def known(self) -> LogNormal:
        """The phase's hours as one sees them alone: own spread, the job's, what the book does not know."""
        return self.hours.times(exp(self.shift), sqrt(self.job_log_sd**2 + self.shared_log_sd**2))

    def line_minutes(self) -> list[int]:
        """Whole crew-minutes of the lines, rounded so that they sum to the rounded total."""
        exact = [line.crew_h * 60.0 for line in self.lines]
        minutes = [int(x) for x in exact]
        missing = round(sum(exact)) - sum(minutes)
        by_fraction = sorted(range(len(exact)), key=lambda i: (minutes[i] - exact[i], i))
        for i in by_fraction[:missing]:
            minutes[i] += 1
        return minutes

    def crew_h_at(self, percentile: float) -> float:
        """Crew-hours that this phase alone does not exceed with `percentile` [percent]."""
        return self.known.at(percentile)


@dataclass(frozen=True, slots=True)
class JobEstimate:
    """All phases of a job that have work, by one crew (or one crew a phase).

    shared: covariance of two phases' log hours by what the book does not know about the firm. promised_h: of
    a visit, the hours on site that it was promised for; the plan holds those, whatever its percentile.
    """

    job: str
    crew: str
    edition: str
    phases: Mapping[Phase, PhaseEstimate]
    job_log_sd: float
    lags: Mapping[tuple[Phase, Phase], float] = field(default_factory=dict)
    shared: Mapping[tuple[Phase, Phase], float] = field(default_factory=dict)
    promised_h: float | None = None

    @property
    def crew_h(self) -> float:
        """Sum of the phases' likely crew-hours."""
        return sum(p.crew_h for p in self.phases.values())

    @property
    def hours(self) -> Shifted:
        """The job's attended crew-hours: own errors apart, the job's and the firm's unknown shared."""
        parts = [p.hours.times(exp(p.shift)) for p in self.phases.values()]
        job = self.job_log_sd**2
        return total(parts, [[job + self.shared.get((a, b), 0.0) for b in self.phases] for a in self.phases])

    def crew_h_at(self, percentile: float) -> float:
        """Crew-hours that the job does not exceed with `percentile` [percent]; 0 without work."""
        return self.hours.at(percentile) if self.phases else 0.0

    def as_if_known(self) -> JobEstimate:
        """The job as if the book knew all about the firm: only the scatter of phases and jobs is left."""
        phases = {
            phase: replace(p, shared_log_sd=0.0, rows_log_sd=0.0, shift=0.0)
            for phase, p in self.phases.items()
        }
        return replace(self, phases=phases, shared={})

    def planned(self, percentile: float) -> dict[Phase, float]:
        """Crew-hours per phase that sum to the job's `percentile`, each phase padded alike.

        Planning every phase at its own P80 would pad a job far beyond its P80.
        """
        if not self.phases:
            return {}
        if self.promised_h is not None:
            return dict.fromkeys(self.phases, self.promised_h)
        goal = self.crew_h_at(percentile)
        known = {phase: p.known for phase, p in self.phases.items()}
        low, high = -8.0, 8.0  # standard deviations from each phase's middle
        for _ in range(50):
            z = (low + high) / 2.0
            if sum(k.median * exp(z * k.log_sd) for k in known.values()) < goal:
                low = z
            else:
                high = z
        found = {phase: k.median * exp(high * k.log_sd) for phase, k in known.items()}
        exact = goal / sum(found.values())
        return {phase: hours * exact for phase, hours in found.items()}

    def drivers(self, count: int = 3) -> list[tuple[Phase, Share]]:
        """The lines that take the most crew-hours, largest first."""
        lines = [(phase, line) for phase, p in self.phases.items() for line in p.lines]
        return sorted(lines, key=lambda pair: -pair[1].crew_h)[:count]

    @property
    def defaults(self) -> tuple[str, ...]:
        """Keys of the rows used that are still shipped guesses, sorted."""
        return tuple(sorted({key for p in self.phases.values() for key in p.defaults}))


def estimate(
    job: Job,
    crew: Crew,
    book: RateBook,
    firm: Firm,
    rules: Mapping[Phase, PhaseRule],
    machines: Mapping[str, Machine],
    conditions: Conditions | None = None,
) -> JobEstimate:
    """Crew-hours per phase of `job` by `crew`.

    machines: kind -> Machine the firm has; a phase uses those that its rule or the job asks for. Raises
    BadInput for a crew without people or pace, or a book without a row that the job needs.
    """
    if crew.size < 1 or crew.pace <= 0:
        raise BadInput(
            f"crew {crew.name}", f"{crew.size} people, pace {crew.pace:g}", "give 1 or more, above 0"
        )
    facts = conditions or Conditions()
    found: dict[Phase, PhaseEstimate] = {}
    for phase in job.order:
        held = machines_for(job, rules[phase])
        at_hand = {kind: machines[kind] for kind, n in held.items() if n > 0 and kind in machines}
        way = Way(job, at_a_visit(job, crew), book, at_hand, facts)
        tasks = tasks_of(phase, way)
        best = rules[phase].best_size if job.visit is None else job.hands
        if tasks.tasks:
            found[phase] = _phase(phase, way, tasks, site_factors(phase, way, firm), best)
    found, shared = _with_unknown(found, book)
    lags = {(f.before, phase): f.lag_h for phase in found for f in rules[phase].follows if f.lag_h > 0}
    return JobEstimate(
        job.code, crew.name, book.edition, found, book.spread.job_log_sd, lags, shared, job.on_site_h
    )


def _with_unknown(
    found: Mapping[Phase, PhaseEstimate], book: RateBook
) -> tuple[dict[Phase, PhaseEstimate], dict[tuple[Phase, Phase], float]]:
    """The phases with the spread of what the book does not know about the firm, and what they share of it."""
    sure = Sureness(book)
    shared = sure.shared({phase: (p.leaning, p.rows_log_sd) for phase, p in found.items()})
    told = {
        phase: replace(
            p,
            shared_log_sd=sqrt(shared[phase, phase]),
            rows_log_sd=p.rows_log_sd if sure.rows_apart(phase) else 0.0,
            shift=p.shift * sure.rows_left(p.leaning, p.rows_log_sd, shared[phase, phase]),
        )
        for phase, p in found.items()
    }
    return told, shared


def _phase(
    phase: Phase, way: Way, tasks: Tasks, site: tuple[FactorUse, ...], best_size: int
) -> PhaseEstimate:
    crew, book = way.crew, way.book
    crowd = size_factor(crew.size, best_size, book)
    lines = [*tasks.tasks, *_size_lines(tasks, crowd)]
    lines += _wait_lines(lines, tasks, crew.size)
    band = _sum_bands(t.labour_h for t in lines)
    bare = prod(factor.value for factor in site)
    size = log_size(book, phase, band[1] * bare)
    leans = leaning(phase, crew.name, way.job.soil, way.job.access, size)
    factors = (*site, *lesson_factors(book, leans))
    multiplier = prod(factor.value for factor in factors)
    per_crew = multiplier / (crew.size * crew.going_pace)
    shift, rows_sd = rows_unknown(book, lines, [key for factor in site for key in factor.rows])
    own_sd = book.spread.of_phase(phase.value, log_sd_of_band(band[0], band[2]))
    waits, words = unattended_h(way) if phase is Phase.FILL else (0.0, "")
    rows = {key for t in lines for key in t.rows} | {key for f in factors for key in f.rows}
    return PhaseEstimate(
        phase=phase,
        people=crew.size,
        pace=crew.going_pace,
        lines=tuple(
            Share(t.words, t.quantity, t.unit, t.labour_h[1], t.labour_h[1] * per_crew, t.steps, t.rows)
            for t in lines
        ),
        factors=factors,
        labour_h=band[1] * multiplier,
        hours=LogNormal(band[1] * per_crew, own_sd),
        job_log_sd=book.spread.job_log_sd,
        parts=fill_parts(tasks.tasks) if waits else (1.0,),
        unattended_h=waits,
        unattended_words=words,
        machines=dict.fromkeys(way.machines, 1),
        defaults=tuple(sorted(key for key in rows if key in book.rows and book.rows[key].is_default)),
        leaning=leans,
        rows_log_sd=rows_sd,
        shift=shift,
        size=size,
    )


def _sum_bands(bands: Iterable[Band]) -> Band:
    """Low, likely and high added up: the tasks of one phase go well or badly together."""
    rows = list(bands)
    return (sum(b[0] for b in rows), sum(b[1] for b in rows), sum(b[2] for b in rows))


def _size_lines(tasks: Tasks, crowd: FactorUse | None) -> list[Task]:
    """The loss of a crew away from the phase's best size, as a line of its own."""
    if crowd is None:
        return []
    band = _sum_bands(t.labour_h for t in tasks.tasks)
    more = crowd.value - 1.0
    step = f"{band[1]:.5g} labour-h × {more:.5g} = {band[1] * more:.5g} labour-h"
    lost = (band[0] * more, band[1] * more, band[2] * more)
    return [Task(f"crew size: {crowd.words}", 1.0, "once", lost, (step,), crowd.rows)]


def _wait_lines(lines: Sequence[Task], tasks: Tasks, people: int) -> list[Task]:
    """Hands that wait because the excavator or its carriers govern: people x machine-hours - labour-hours.

    The wait is the machine's: it stands or falls with the row of its cycle.
    """
    band = _sum_bands(t.labour_h for t in lines)
    wait = [max(0.0, people * m - h) for m, h in zip(tasks.machine_h, band, strict=True)]
    if wait[2] == 0.0 and wait[1] == 0.0:
        return []
    step = (
        f"{people} people × {tasks.machine_h[1]:.5g} machine-h − {band[1]:.5g} labour-h = {wait[1]:.5g} "
        "labour-h (0 when below)"
    )
    ordered = (min(wait[0], wait[1]), wait[1], max(wait[1], wait[2]))
    cycle = tuple(key for t in lines for key in t.rows[:1] if key.startswith("digger.cycle_s."))[:1]
    return [Task("hands wait for the excavator", 1.0, "once", ordered, (*tasks.machine_steps, step), cycle)]


def together(crews: Sequence[Crew], book: RateBook | None = None) -> Crew:
    """Several crews as one, the lead first: people added, pace weighted by people.

    With `book` what it has learned about each crew goes into the pace, since the pair itself is not in it.
    """
    if len(crews) == 1:
        return crews[0]
    people = sum(c.size for c in crews)
    pace = sum(c.size * c.going_pace / (crew_lesson(book, c.name)) for c in crews) / people
    lead = crews[0]
    return Crew(
        name=" + ".join(c.name for c in crews),
        lead=lead.lead,
        size=people,
        skills=lead.skills,
        pace=pace,
        days_off=tuple(d for c in crews for d in c.days_off),
        depot_latitude_deg=lead.depot_latitude_deg,
        depot_longitude_deg=lead.depot_longitude_deg,
    )


def crew_lesson(book: RateBook | None, name: str) -> float:
    """What the book has learned about a crew as a factor; 1 when nothing."""
    lesson = book.lesson(LearnedKind.CREW, name) if book else None
    return lesson.factor if lesson else 1.0


def with_daily_setup(crew_h: float, firm: Firm, site_days: int | None = None) -> float:
    """Hours on site for `crew_h` of work [crew-hours].

    With `site_days`, that many set-ups. Without, set-up is spread over the working day, so that phases which
    share a day share one set-up: crew_h x paid / (paid - set-up).

    >>> with_daily_setup(14.5, Firm(), 2), with_daily_setup(14.5, Firm(), 3)
    (16.0, 16.75)
    >>> with_daily_setup(14.5, Firm())
    16.0
    """
    if site_days is not None:
        return crew_h + site_days * firm.daily_setup_h
    return crew_h * firm.paid_h_day / _useful_h(firm)


def on_site(firm: Firm, job: Job) -> Firm:
    """The firm as it works on the job: a visit's hours are on site, with no daily set-up beside them."""
    return firm if job.visit is None else replace(firm, daily_setup_h=0.0)


def _useful_h(firm: Firm) -> float:
    useful = firm.paid_h_day - firm.daily_setup_h
    if useful <= 0:
        raise BadInput(
            "daily set-up", firm.daily_setup_h, f"keep it under the paid {firm.paid_h_day:g} h a day"
        )
    return useful
