"""From a job's estimate to the pieces of work that the scheduler books.

In: a job, the phase rules, crews, machines, what is already done, and a way to ask for crew-hours. Out: the
job's unfinished `Work`s. Its one trick: a phase without quantities, or already done, drops out, and whatever
followed it follows what it followed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from math import ceil

from planner.domain.estimate.remaining import going_factor
from planner.domain.firm.actuals import Log, Progress
from planner.domain.firm.calendar import Window, paid_day, real_hours_later, shift
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.domain.firm.needs import has_work, machines_for, skills_for
from planner.domain.firm.people import skills_of
from planner.domain.firm.phases import Phase, PhaseRule, WorkKey
from planner.domain.season.plan import Booking
from planner.domain.season.season import SLOT_MIN, After, Mode, Work

#: What holds the second part of a fill.
WATER_RUNS = "the water runs by itself"
#: Of a slot, forgiven before work is rounded up to the next.
_GRACE = 1e-6


@dataclass(frozen=True, slots=True)
class PhaseHours:
    """Planned working time of one phase by one set of crews.

    parts_min: attended minutes of each part, daily set-up included [min]; unattended_h: clock hours that
    pass by themselves between part 1 and part 2 (water running) [h].
    """

    parts_min: tuple[float, ...]
    unattended_h: float = 0.0


def whole_slots(parts_min: Sequence[float], slot_min: int = SLOT_MIN) -> list[int]:
    """Minutes of each part in whole slots, so that together they are the sum rounded up to one slot.

    A job loses less than a slot by rounding, not one in each of its parts. Every part with work has a slot;
    what is over is shared by largest remainders. Only parts under a slot each can make a job longer.

    >>> whole_slots([61, 100, 20])
    [60, 120, 30]
    """
    exact = [minutes / slot_min for minutes in parts_min]
    goal = ceil(sum(exact) - _GRACE)
    slots = [max(1, int(x + _GRACE)) if x > 0 else 0 for x in exact]
    while sum(slots) < goal:
        slots[max(range(len(slots)), key=lambda i: (exact[i] - slots[i], -i))] += 1
    while sum(slots) > goal and max(slots) > 1:
        long = [i for i, n in enumerate(slots) if n > 1]
        slots[min(long, key=lambda i: (exact[i] - slots[i], i))] -= 1
    return [n * slot_min for n in slots]


#: (phase, crews with the lead first) -> PhaseHours; None when the phase has no work
HoursOf = Callable[[Phase, tuple[str, ...]], PhaseHours | None]


@dataclass(frozen=True, slots=True)
class Standing:
    """How things stand: the rules, the crews, the firm, how far each phase is, and who is on it.

    begun_by: (job, phase) -> crew that logged hours on it last. ended: (job, phase, day) -> when work on it
    ended that day, where that can be told (`day_ends`); the end of the paid day elsewhere.
    """

    rules: Mapping[Phase, PhaseRule]
    crews: Sequence[Crew]
    firm: Firm
    progress: Mapping[tuple[str, Phase], Progress]
    begun_by: Mapping[tuple[str, Phase], str]
    ended: Mapping[tuple[str, Phase, date], datetime] = field(default_factory=dict)

    def end_of(self, job: str, phase: Phase, day: date) -> datetime:
        """When the day's work on the phase ended, at the latest."""
        return self.ended.get((job, phase, day)) or paid_day(self.firm, day).end

    def is_done(self, job: str, phase: Phase) -> bool:
        """True when the phase has been logged as finished."""
        so_far = self.progress.get((job, phase))
        return so_far is not None and so_far.done


def works_of(job: Job, standing: Standing, hours_of: HoursOf) -> list[Work]:
    """The job's unfinished works in order of phase.

    A phase with a share done keeps the crew that began it and the remaining share of its minutes, corrected
    by how it went so far.
    """
    works: list[Work] = []
    for phase in job.order:
        if standing.is_done(job.code, phase) or not has_work(job, phase):
            continue
        teams = _teams(job, standing.rules[phase], standing.crews)
        ways = [(team, hours) for team in teams if (hours := hours_of(phase, team))]
        parts = max((len(hours.parts_min) for _, hours in ways), default=1)
        begun = standing.begun_by.get((job.code, phase))
        own = next((hours for team, hours in ways if team == (begun,)), None)
        left = shares_left(standing.progress.get((job.code, phase)), parts, own)
        works += [
            _work(job, WorkKey(job.code, phase, i + 1), left, ways, standing) for i in range(parts) if left[i]
        ]
    held = {work.key for work in works}
    return [replace(w, after=tuple(a for a in w.after if a.before in held)) for w in works]


def shares_left(so_far: Progress | None, parts: int, own: PhaseHours | None) -> list[float]:
    """Share of each part's planned time still to do, corrected by how it goes.

    The parts of a phase are worked through one after the other. own: the hours of the crew that is on it,
    by which its going is judged; None when nobody is.
    """
    share = so_far.share if so_far else 0.0
    going = 1.0
    if so_far is not None and own is not None:
        going = going_factor(sum(own.parts_min) / 60, so_far.spent_crew_h, share)
    if parts == 1:
        return [max(0.0, 1.0 - share) * going]
    return [max(0.0, min(1.0, 1.0 - (share * parts - i))) * going for i in range(parts)]


def _teams(job: Job, rule: PhaseRule, crews: Sequence[Crew]) -> Iterator[tuple[str, ...]]:
    """Crews, or pairs where helpers are allowed, that may do the phase; the lead has the skills.

    A visit goes to one crew that has its hands.
    """
    pinned = next((pin.crew for pin in job.pins if pin.phase is rule.phase and pin.crew), None)
    for lead in crews:
        enough = job.visit is None or lead.size >= job.hands
        if enough and skills_for(job, rule) <= skills_of(lead) and pinned in {None, lead.name}:
            yield (lead.name,)
            if rule.helpers > 1:
                yield from ((lead.name, other.name) for other in crews if other.name != lead.name)


def _work(
    job: Job,
    key: WorkKey,
    left: Sequence[float],
    ways: Sequence[tuple[tuple[str, ...], PhaseHours]],
    standing: Standing,
) -> Work:
    """left: share still to do of each part of the phase."""
    rule = standing.rules[key.phase]
    begun = standing.begun_by.get((job.code, key.phase))
    own = [(team, hours) for team, hours in ways if team == (begun,)]
    begun = begun if own else None
    pin = next((p for p in job.pins if p.phase is key.phase), None)
    opens, why = _opens(job, key)
    cured, cured_why = _cured(job, key.phase, standing)
    after = _after(job, key.phase, standing)
    if key.part > 1:
        unattended_h = max((hours.unattended_h for _, hours in ways), default=0.0)
        after = [After(key._replace(part=key.part - 1), lag_h=unattended_h, why=WATER_RUNS)]
        opened = _part_end(key, len(left), standing)
        if not left[key.part - 2] and opened is not None:
            cured = real_hours_later(opened, unattended_h, standing.firm.time_zone)
            cured_why = WATER_RUNS
    return Work(
        key=key,
        modes=tuple(_modes(own or ways, key.part, left[key.part - 1], machines_for(job, rule))),
        after=tuple(after),
        opens=opens,
        opens_why=why,
        cured=cured,
        cured_why=cured_why,
        skills=skills_for(job, rule),
        only_crew=begun or (pin.crew if pin else None),
        only_start=pin.start if pin and key.part == 1 and begun is None else None,
        one_day=job.visit is not None,
    )


def _modes(
    ways: Sequence[tuple[tuple[str, ...], PhaseHours]], part: int, left: float, machines: Mapping[str, int]
) -> Iterator[Mode]:
    for team, hours in ways:
        if part <= len(hours.parts_min) and hours.parts_min[part - 1] > 0:
            yield Mode(team, hours.parts_min[part - 1] * left, machines)


def _after(job: Job, phase: Phase, standing: Standing) -> list[After]:
    """Order to unfinished earlier phases; one that the job lacks hands on what it followed itself.

    Of an earlier phase that is begun only the missing part of the share is asked for; a share that is out
    already (the first shelf) holds nothing back.
    """
    found: list[After] = []
    for rule in standing.rules[phase].follows:
        if not has_work(job, rule.before):
            inherited = _after(job, rule.before, standing)
            found += [replace(a, lag_h=a.lag_h + rule.lag_h, why=rule.why or a.why) for a in inherited]
        elif not standing.is_done(job.code, rule.before):
            share = _share_left(rule.share, standing.progress.get((job.code, rule.before)))
            if share > 0 or rule.lag_h:
                found.append(After(WorkKey(job.code, rule.before), share or rule.share, rule.lag_h, rule.why))
    return found


def _share_left(wanted: float, so_far: Progress | None) -> float:
    """What of the rest of a begun phase must be done until `wanted` of the whole is; 0 when it is.

    >>> _share_left(1.0, Progress(0.5, 8.0, date(2027, 4, 5), date(2027, 4, 5), False))
    1.0
    """
    share = so_far.share if so_far else 0.0
    return max(0.0, (wanted - share) / (1.0 - share))


def _opens(job: Job, key: WorkKey) -> tuple[date | None, str]:
    """First day on which the gates let the work run, and which gate sets it."""
    held = [(gate.opens, gate.why) for gate in job.gates if job.held_by(gate, key.phase, key.part)]
    return max(held, key=lambda pair: pair[0], default=(None, ""))


def _cured(job: Job, phase: Phase, standing: Standing) -> tuple[datetime | None, str]:
    """When the cure of phases already done is over, and what cures: real hours from their end."""
    held = []
    for rule in standing.rules[phase].follows:
        if rule.lag_h and standing.is_done(job.code, rule.before):
            last = standing.progress[job.code, rule.before].last
            end = standing.end_of(job.code, rule.before, last)
            over = real_hours_later(end, rule.lag_h, standing.firm.time_zone)
            held.append((over, rule.why or "cure"))
    return max(held, key=lambda pair: pair[0], default=(None, ""))


def _part_end(key: WorkKey, parts: int, standing: Standing) -> datetime | None:
    """When the part before this one ended, of so many; later days' work on the rest changes nothing.

    None while it is not done, or where nobody said on which day it was.
    """
    so_far = standing.progress.get((key.job, key.phase))
    day = so_far.reached((key.part - 1) / parts) if so_far else None
    return standing.end_of(key.job, key.phase, day) if day else None


def day_ends(
    logs: Iterable[Log], firm: Firm, told: Mapping[WorkKey, Booking]
) -> dict[tuple[str, Phase, date], datetime]:
    """(job, phase, day) -> when the day's work on it ended, at the latest.

    A log has no hour. It ended at least as long before the end of the paid day as its crew worked that day on
    what comes after it: later phases of the job, and what the plan told them (`told`) for after it.
    """
    of_day: dict[tuple[str, date], list[Log]] = {}
    for log in logs:
        if log.crew_h > 0:
            of_day.setdefault((log.crew, log.day), []).append(log)
    booked: dict[tuple[str, Phase], list[Booking]] = {}
    for b in told.values():
        booked.setdefault((b.job, b.phase), []).append(b)
    found: dict[tuple[str, Phase, date], datetime] = {}
    for (_, day), mine in of_day.items():
        for log in mine:
            later_h = sum(other.crew_h for other in mine if _comes_after(other, log, booked))
            end = _back(shift(firm, day) or (paid_day(firm, day),), later_h)
            key = (log.job, log.phase, day)
            found[key] = max(end, found.get(key, end))
    return found


def _comes_after(other: Log, log: Log, booked: Mapping[tuple[str, Phase], Sequence[Booking]]) -> bool:
    """True when the one is of a later phase of the job, or was told for that day after the other's end.

    booked: (job, phase) -> what was told of it; a part told for a later day is not what was worked on.
    """
    if other.job == log.job:
        return other.phase.rank > log.phase.rank
    mine = [b.end for b in booked.get((log.job, log.phase), ()) if b.start.date() <= log.day]
    its = min((b.start for b in booked.get((other.job, other.phase), ())), default=None)
    return bool(mine) and its is not None and its.date() == log.day and its >= max(mine)


def _back(windows: Sequence[Window], hours: float) -> datetime:
    """So many working hours before the end of the day; not before its begin."""
    left = timedelta(hours=hours)
    for window in reversed(windows):
        if left <= window.end - window.start:
            return window.end - left
        left -= window.end - window.start
    return windows[0].start
