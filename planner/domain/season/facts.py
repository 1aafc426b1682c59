"""Everything the office knows, as one frozen value, and the season that follows from it.

`flow` reads `Facts` in one transaction; `season_of` turns them into a `Season` without store, solver or
clock, so a what-if changes a copy of the facts and asks again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from planner.domain.estimate.labour import crew_lesson, estimate, on_site, together, with_daily_setup
from planner.domain.estimate.rates import LearnedKind, RateBook
from planner.domain.firm.actuals import Log, Progress, of_jobs, progress
from planner.domain.firm.calendar import crew_windows, longest_h, paid_day
from planner.domain.firm.crews import Crew, Machine, Truck
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import PLANNED, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.people import runs
from planner.domain.firm.phases import Phase, PhaseRule, WorkKey
from planner.domain.season.cost import site_open
from planner.domain.season.plan import Booking, Plan, Told
from planner.domain.season.season import Season, Work
from planner.domain.season.told_days import told_by_plan, with_notice
from planner.domain.season.works import HoursOf, PhaseHours, Standing, day_ends, whole_slots, works_of


@dataclass(frozen=True, slots=True)
class Facts:
    """What the store knows of the season. published: the plan that customers and crews were told.

    told: what clients know of their days; by the published plan when None.
    rates: the newest rate book; told_by: code -> the edition that tells the job, where that is another.
    """

    firm: Firm
    rules: Mapping[Phase, PhaseRule]
    jobs: tuple[Job, ...]
    crews: tuple[Crew, ...]
    machines: tuple[Machine, ...]
    rates: RateBook
    logs: tuple[Log, ...] = ()
    lost: tuple[LostTime, ...] = ()
    published: Plan | None = None
    told: Told | None = None
    history_mark: int = 0
    told_by: Mapping[str, RateBook] = field(default_factory=dict)
    trucks: tuple[Truck, ...] = ()

    def rates_of(self, code: str) -> RateBook:
        """The edition that tells the job: what was told stays told when the book moves on."""
        return self.told_by.get(code, self.rates)

    def planned_jobs(self) -> tuple[Job, ...]:
        """The jobs that are planned: sold and under way; a visit of a later season waits for its own."""
        return tuple(job for job in self.jobs if job.status in PLANNED and not self._later(job))

    def _later(self, job: Job) -> bool:
        opens = job.release(Phase.VISIT) if job.visit is not None else None
        return opens is not None and opens > self.firm.season_last


def season_of(facts: Facts, now: datetime) -> Season:
    """The season as it stands at `now`: works that are left, what was done, what was published.

    Before the season's first day nothing is planned earlier than that day.
    """
    planned = {job.code: job for job in facts.planned_jobs()}
    logs = of_jobs(facts.logs, planned)
    so_far, on_it = progress(logs), begun_by(logs)
    published = {b.key: b for b in facts.published.bookings} if facts.published else {}
    ends = day_ends(logs, facts.firm, published)
    standing = Standing(facts.rules, facts.crews, facts.firm, so_far, on_it, ends)
    kinds: _Kinds = {}
    works = {
        work.key: work
        for job in planned.values()
        for work in works_of(job, standing, hours_for(facts, job, kinds))
    }
    opening = datetime.combine(facts.firm.season_first, datetime.min.time())
    season = Season(
        firm=facts.firm,
        jobs=planned,
        crews={crew.name: crew for crew in facts.crews},
        machines={machine.key: machine for machine in facts.machines},
        works=works,
        now=max(now, opening),
        last_day=facts.firm.season_last,
        lost=facts.lost,
        published={key: b for key, b in published.items() if key in works},
        told={job: days for job, days in _told(facts, now).items() if job in planned},
        done=tuple(_done(facts, planned, so_far, on_it)),
        trucks={truck.key: truck for truck in facts.trucks},
    )
    return with_notice(replace(season, works=_begun_goes_on(season, so_far)))


def _told(facts: Facts, now: datetime) -> Told:
    """What clients know: as it was told, else what the published plan says of the days that are near."""
    if facts.told is not None or facts.published is None:
        return facts.told or {}
    return told_by_plan(facts.published, now.date(), facts.firm.weights.tell_days)


#: What makes a team alike another for the estimate, by the rate book's edition and the team.
_Kinds = dict[tuple[str, tuple[str, ...]], tuple[int, float, float, float]]


def hours_for(facts: Facts, job: Job, kinds: _Kinds | None = None) -> HoursOf:
    """A function that gives the planned hours of the job's phases by any set of crews.

    The phases sum to the job's hours at the firm's planning percentile with the daily set-up, in whole
    slots, the sum rounded up but once. A visit has no set-up beside its hours and never more than its part of
    a day. Crews that are alike for the estimate (people, pace, what the book learned about them) share one;
    kinds: what was found of that for other jobs of the same facts, kept up here.
    """
    by_name = {crew.name: crew for crew in facts.crews}
    machines = {machine.key: machine for machine in facts.machines}
    rates, firm = facts.rates_of(job.code), on_site(facts.firm, job)
    most_h = None if job.visit is None else longest_h(facts.firm, job.day_part)
    known: dict[tuple[str, ...], dict[Phase, PhaseHours]] = {}
    alike: dict[tuple[int, float, float, float], dict[Phase, PhaseHours]] = {}

    kinds = {} if kinds is None else kinds

    def hours_of_team(team: tuple[str, ...]) -> dict[Phase, PhaseHours]:
        if (found := kinds.get((rates.edition, team))) in alike:
            return alike[found]
        crew = together([by_name[name] for name in team], rates)
        lesson = rates.lesson(LearnedKind.CREW, crew.name)
        unsure = lesson.log_sd if lesson else -1.0
        kind = (crew.size, crew.going_pace, crew_lesson(rates, crew.name), unsure)
        if kind not in alike:
            alike[kind] = hours(crew)
        kinds[rates.edition, team] = kind
        return alike[kind]

    def hours(crew: Crew) -> dict[Phase, PhaseHours]:
        found = estimate(job, crew, rates, firm, facts.rules, machines)
        planned = found.planned(firm.planning_percentile)
        whole = {phase: with_daily_setup(crew_h, firm) * 60 for phase, crew_h in planned.items()}
        if most_h is not None:
            whole = {phase: min(minutes, most_h * 60) for phase, minutes in whole.items()}
        pieces = [(phase, whole[phase] * part) for phase, p in found.phases.items() for part in p.parts]
        booked = list(zip(pieces, whole_slots([minutes for _, minutes in pieces]), strict=True))
        return {
            phase: PhaseHours(tuple(float(n) for (p, _), n in booked if p is phase), one.unattended_h)
            for phase, one in found.phases.items()
        }

    def ask(phase: Phase, team: tuple[str, ...]) -> PhaseHours | None:
        if team not in known:
            known[team] = hours_of_team(team)
        return known[team].get(phase)

    return ask


def begun_by(logs: Sequence[Log]) -> dict[tuple[str, Phase], str]:
    """(job, phase) -> the crew of its latest entry; the one with most hours when several worked that day."""
    latest: dict[tuple[str, Phase], tuple[date, float, str]] = {}
    for log in logs:
        key, entry = (log.job, log.phase), (log.day, log.crew_h, log.crew)
        if log.crew_h > 0 and (key not in latest or entry > latest[key]):
            latest[key] = entry
    return {key: crew for key, (_, _, crew) in latest.items()}


def _done(
    facts: Facts,
    planned: Mapping[str, Job],
    so_far: Mapping[tuple[str, Phase], Progress],
    on_it: Mapping[tuple[str, Phase], str],
) -> Iterator[Booking]:
    """The past of planned jobs as bookings: one per phase, by the crew that was on it last.

    From its first logged day to its last; hours of a crew that is off the records are left out.
    """
    crews = {crew.name for crew in facts.crews}
    for (code, phase), state in so_far.items():
        crew = on_it.get((code, phase))
        if code in planned and crew in crews:
            yield Booking(
                key=WorkKey(code, phase),
                crews=(crew,),
                start=paid_day(facts.firm, state.first).start,
                end=paid_day(facts.firm, state.last).end,
                crew_h=state.spent_crew_h,
                begun=True,
            )


def _begun_goes_on(season: Season, so_far: Mapping[tuple[str, Phase], Progress]) -> dict[WorkKey, Work]:
    """Work that is begun goes on at its crew's next working moment, unless something else holds it.

    Of several begun works the latest touched is first; a crew or machine that is taken by one leaves the
    next to the scheduler, and so does work that is held up, and a visit: its rest is another day's visit.
    """
    works = dict(season.works)
    begun = [
        (state, works[WorkKey(code, phase)])
        for (code, phase), state in so_far.items()
        if not state.done and state.share > 0 and WorkKey(code, phase) in works
    ]
    taken: set[str] = set()
    for _, work in sorted(begun, key=lambda pair: (pair[0].last, pair[1].key), reverse=True):
        holds = {work.only_crew or "", *(kind for mode in work.modes for kind in mode.machines)}
        if work.only_crew is None or work.one_day or holds & taken:
            continue
        needs = season.needs(work.key, {kind for mode in work.modes for kind in mode.held})
        start = next_moment(season, work.only_crew, work.key.job, needs)
        if start is not None and not _held_up(season, work, start):
            taken |= holds
            works[work.key] = replace(work, only_start=start)
    return works


def _held_up(season: Season, work: Work, start: datetime) -> bool:
    """True when something keeps begun work from going on at `start`.

    A phase before it that is still open, a cure, a gate, a missing machine, a delivery or an inspection.
    """
    day = start.date()
    if work.after or (work.opens is not None and day < work.opens):
        return True
    if work.cured is not None and start < work.cured:
        return True
    kinds = {kind for mode in work.modes for kind in mode.machines}
    if any(day in out.days for kind in kinds if kind in season.machines for out in season.machines[kind].out):
        return True
    return any(day in entry.days and _waits_for(work, kinds, entry) for entry in season.lost)


def _waits_for(work: Work, kinds: set[str], entry: LostTime) -> bool:
    """True when the entry is a machine of the work that is down, or what its job and phase wait for."""
    if entry.kind is LostKind.MACHINE_DOWN:
        return entry.target in kinds
    waits = entry.kind in {LostKind.DELIVERY, LostKind.INSPECTION}
    return waits and entry.target == work.key.job and entry.phase in {"", work.key.phase.value}


def next_moment(season: Season, crew: str, job: str, needs: Collection[str]) -> datetime | None:
    """First slot at or after now in which the crew works, with somebody for these machines and skills, and
    the site is open; None within 60 days."""
    for offset in range(60):
        day = season.now.date() + timedelta(days=offset)
        if not site_open(season, job, day) or not runs(season.crews[crew], needs, day):
            continue
        for window in crew_windows(season.firm, season.crews[crew], day, season.lost):
            start = max(window.start, _on_grid(season, season.now))
            if start < window.end:
                return start
    return None


def _on_grid(season: Season, moment: datetime) -> datetime:
    """`moment` moved on to the next slot."""
    midnight = datetime.combine(moment.date(), datetime.min.time())
    slot = timedelta(minutes=season.slot_min)
    return midnight + slot * -(-(moment - midnight) // slot)
