"""What changes for whom between two plans, in words that a customer or a crew would use.

In: the bookings that were told and the new ones, and the season's facts. Out: one `PlanChange` a job that
changed: its day, its crew, why, and whether the customer must be called. Finished work changes nothing:
only works that both plans hold are compared, and jobs that one of them lacks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.domain.dates import day_words, moment_words, span_words
from planner.domain.firm.calendar import days_between, is_working_day
from planner.domain.firm.jobs import RAN_OUT, DayRange
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import WorkKey
from planner.domain.season.facts import next_moment
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.season.told_days import told_until
from planner.domain.standing.told import news

Bookings = Mapping[WorkKey, Booking]


@dataclass(frozen=True, slots=True)
class PhaseMove:
    """One phase's day and lead crew, before and after; None where a plan lacks it."""

    key: WorkKey
    old_day: date | None
    new_day: date | None
    old_crew: str
    new_crew: str


@dataclass(frozen=True, slots=True)
class PlanChange:
    """One job's change. old_day, new_day: first day of the work that is left; *_finish: day of water in.

    begun: work on the site had started, so that its first day means going on; call: the customer must be
    called; late: the new finish lies after the promise; moves: the phases that change, for the crews;
    visit: it has one day, and no water goes in.
    """

    job: str
    client: str
    old_day: date | None
    new_day: date | None
    old_finish: date | None
    new_finish: date | None
    old_crew: str
    new_crew: str
    why: str
    call: bool
    begun: bool = False
    promised: date | None = None
    moves: tuple[PhaseMove, ...] = ()
    visit: bool = False

    @property
    def late(self) -> bool:
        """True when the new finish lies after the promise."""
        return bool(self.promised and self.new_finish and self.new_finish > self.promised)

    @property
    def words(self) -> str:
        """The change in one sentence, without the job's name.

        "starts Tue May 4 instead of Mon May 3; water in Fri May 7 instead of Thu May 6".
        """
        if self.new_day is None:
            return "no longer in the plan"
        if self.visit:
            return self._visit_words(self.new_day)
        begin = "goes on" if self.begun else "starts"
        if self.old_day is None:
            return f"new: {begin} {day_words(self.new_day)}, water in {day_words(self.new_finish)}"
        parts = []
        if self.new_day != self.old_day:
            parts.append(f"{begin} {day_words(self.new_day)} instead of {day_words(self.old_day)}")
        if self.new_crew != self.old_crew:
            parts.append(f"{self.new_crew} comes instead of {self.old_crew}")
        if self.new_finish != self.old_finish:
            late = ", after the promise" if self.late else ""
            parts.append(
                f"water in {day_words(self.new_finish)} instead of {day_words(self.old_finish)}{late}"
            )
        if not parts:
            phases = ", ".join(dict.fromkeys(m.key.phase.words for m in self.moves))
            parts.append(f"other days or crew for {phases}; first and last day stay")
        return "; ".join(parts)

    def _visit_words(self, day: date) -> str:
        if self.old_day is None:
            return f"new: comes {day_words(day)}"
        late = ", after the promise" if self.late else ""
        parts = [f"comes {day_words(day)} instead of {day_words(self.old_day)}{late}"]
        parts = parts if day != self.old_day else []
        if self.new_crew != self.old_crew:
            parts.append(f"{self.new_crew} comes instead of {self.old_crew}")
        return "; ".join(parts) or "another hour of the day; the day stays"


def changes(
    old: Plan | Bookings | None,
    new: Plan | Bookings,
    season: Season,
    lost: Iterable[LostTime] | None = None,
) -> list[PlanChange]:
    """What changes from `old` (None: nothing yet) to `new`, by new first day.

    lost: the lost time that may be named as a reason; the season's when None.
    """
    before, after = _by_key(old), _by_key(new)
    causes = tuple(season.lost if lost is None else lost)
    begun = {b.job for b in season.done}
    lines = _Lines(before, after)
    found = []
    for job in sorted({k.job for k in before} | {k.job for k in after}):
        change = _change(job, lines, season, causes, job in begun)
        if change is not None:
            found.append(change)
    return sorted(found, key=lambda c: (c.new_day or date.max, c.job))


def calls(found: Sequence[PlanChange]) -> int:
    """How many customers must be called."""
    return sum(change.call for change in found)


def _days_of(bookings: Bookings) -> dict[str, tuple[date, date]]:
    """Job -> first day and day of water in."""
    found: dict[str, tuple[date, date]] = {}
    for b in bookings.values():
        first, finish = found.get(b.job, (b.start.date(), b.end.date()))
        found[b.job] = (min(first, b.start.date()), max(finish, b.end.date()))
    return found


def _by_key(plan: Plan | Bookings | None) -> dict[WorkKey, Booking]:
    if plan is None:
        return {}
    return {b.key: b for b in plan.bookings} if isinstance(plan, Plan) else dict(plan)


class _Lines:
    """Both plans by job and by lead crew."""

    def __init__(self, before: Bookings, after: Bookings) -> None:
        self.before, self.after = before, after
        self.old_jobs = {k.job for k in before}

    def both(self, job: str) -> list[tuple[Booking, Booking]]:
        """The job's works that both plans hold, by new start."""
        keys = [k for k in self.after if k.job == job and k in self.before]
        return sorted(((self.before[k], self.after[k]) for k in keys), key=lambda p: (p[1].start, p[1].key))

    def ahead(self, booking: Booking) -> Booking | None:
        """What the lead crew does just before `booking` in the new plan, on another job."""
        mine = [
            b
            for b in self.after.values()
            if booking.lead in b.crews and b.job != booking.job and b.start < booking.start
        ]
        return max(mine, key=lambda b: (b.end, b.key), default=None)

    def gain(self, job: str, season: Season) -> str:
        """Which other jobs come sooner that were to be late; "" when none does."""
        ends = [_days_of(plan) for plan in (self.before, self.after)]
        sooner = [
            code
            for code, (_, was) in ends[0].items()
            if code != job and code in ends[1] and code in season.jobs and ends[1][code][1] < was
            if (promised := season.jobs[code].promised) is not None and was > promised
        ]
        return f"moved to keep the promise of {', '.join(sorted(sooner)[:3])}" if sooner else ""

    def held_up(self, booking: Booking) -> Booking | None:
        """The last work of the same job before `booking` that ends later than was told."""
        late = [
            b
            for b in self.after.values()
            if b.job == booking.job
            and b.end <= booking.start
            and (b.key not in self.before or b.end > self.before[b.key].end)
        ]
        return max(late, key=lambda b: (b.end, b.key), default=None)


def _change(
    job: str, lines: _Lines, season: Season, causes: Sequence[LostTime], begun: bool
) -> PlanChange | None:
    pairs = [(_from_now(old, season), new) for old, new in lines.both(job)]
    mine = [b for b in lines.after.values() if b.job == job]
    gone = [b for b in lines.before.values() if b.job == job and b.key not in lines.after]
    facts = season.jobs.get(job)
    client = facts.client if facts else ""
    if not mine:
        if facts is None or any(b.key in season.works for b in gone):
            return _gone(job, client, gone, facts is None)
        return None
    first_new = min(mine, key=lambda b: (b.start, b.key))
    finish_new = max(b.end for b in mine).date()
    promised, visit = (facts.promised, facts.visit is not None) if facts else (None, False)
    days, until = (first_new.start.date(), finish_new), told_until(season)
    call = bool(news(season.told, job, days, promised, begun=begun, until=until))
    if not pairs:
        new_job = job not in lines.old_jobs
        why = "new in the plan" if new_job else "more work on it than was planned"
        return PlanChange(
            job, client, None, first_new.start.date(), None, finish_new, "", first_new.lead, why,
            call=call, begun=begun, promised=promised, visit=visit,
        )  # fmt: skip
    moves = tuple(
        PhaseMove(o.key, o.start.date(), n.start.date(), o.lead, n.lead)
        for o, n in pairs
        if o.start.date() != n.start.date() or o.lead != n.lead
    )
    first_old = min((o for o, _ in pairs), key=lambda b: (b.start, b.key))
    first_new = pairs[0][1]
    finish_old = max(o.end for o, _ in pairs).date()
    if not moves and finish_old == finish_new:
        return None
    return PlanChange(
        job=job,
        client=client,
        old_day=first_old.start.date(),
        new_day=first_new.start.date(),
        old_finish=finish_old,
        new_finish=finish_new,
        old_crew=first_old.lead,
        new_crew=first_new.lead,
        why=_why(job, pairs, lines, season, causes),
        call=call,
        begun=begun,
        promised=promised,
        moves=moves,
        visit=visit,
    )


def _from_now(old: Booking, season: Season) -> Booking:
    """Begun work as it was told, from now on: its worked days are past and move no more."""
    if old.start >= season.now or not any(b.key[:2] == old.key[:2] for b in season.done):
        return old
    needs = season.needs(old.key, old.kinds)
    moment = next_moment(season, old.lead, old.job, needs) if old.lead in season.crews else None
    return replace(old, start=moment) if moment is not None and old.start < moment < old.end else old


def _gone(job: str, client: str, gone: Sequence[Booking], cancelled: bool) -> PlanChange:
    first = min(gone, key=lambda b: (b.start, b.key))
    finish = max(b.end for b in gone).date()
    why = "the job is no longer sold or under way" if cancelled else "its work is not planned"
    return PlanChange(
        job, client, first.start.date(), None, finish, None, first.lead, "", why, call=not cancelled
    )


def _why(
    job: str,
    pairs: Sequence[tuple[Booking, Booking]],
    lines: _Lines,
    season: Season,
    causes: Sequence[LostTime],
) -> str:
    """The reason in words: the first work that changes tells it, or the first later one of a later job.

    Lost time is the reason of what was told for its days; of what is pushed by that, the work before it.
    """
    changed = [(o, n) for o, n in pairs if o.start != n.start or o.end != n.end or o.lead != n.lead]
    old, new = changed[0] if changed else pairs[0]
    if max(n.end for _, n in pairs) > max(o.end for o, _ in pairs):
        old, new = next((o, n) for o, n in changed if n.end > o.end)
    if new.start < old.start:
        return f"a place came free with {new.lead}"
    hit = next((e for e in _hitting(job, old, new, season, causes) if _lies_on(e.days, old, season)), None)
    if hit is not None:
        return _lost_words(hit) + _next_place(hit, old, new, lines, season)
    work = season.works.get(new.key)
    if work is not None and work.opens and old.start.date() < work.opens:
        return f"waits for {work.opens_why or 'its gate'} on {day_words(work.opens)}"
    if work is not None and work.cured and old.start < work.cured:
        return f"{work.cured_why}: until {moment_words(work.cured)}"
    shut = next((b for b in season.jobs[job].blackouts if _touch(b, old, new)), None)
    if shut is not None:
        why = RAN_OUT if shut.why == RAN_OUT else "the customer's dates"
        return f"{why}: not {day_words(shut.first)} to {day_words(shut.last)}"
    behind = _behind(old, new, lines)
    if behind:
        return behind
    later = next(_hitting(job, old, new, season, causes), None)
    return _lost_words(later) if later is not None else _knock_on(old, new, lines, season)


def _hitting(
    job: str, old: Booking, new: Booking, season: Season, causes: Sequence[LostTime]
) -> Iterator[LostTime]:
    """Lost time between the old start and the new end that hits this job, its crew or its machine."""
    kinds = {use.kind for use in old.machines} | {use.kind for use in new.machines}
    targets = {
        LostKind.RAIN: {"", season.jobs[job].region},
        LostKind.CREW_OFF: {old.lead},
        LostKind.CREW_SHORT: {old.lead},
        LostKind.MACHINE_DOWN: kinds,
        LostKind.DELIVERY: {job},
        LostKind.INSPECTION: {job},
    }
    for entry in sorted(causes, key=lambda e: (e.days.first, e.id)):
        if entry.target in targets[entry.kind] and _touch(entry.days, old, new):
            yield entry


def _lies_on(days: DayRange, old: Booking, season: Season) -> bool:
    """Whether the days take some of those on which the work was told for; of what is past and not done, of
    those up to now."""
    last = max(old.end, season.now).date() if old.start < season.now else old.end.date()
    return days.first <= last and days.last >= old.start.date()


def _lost_words(entry: LostTime) -> str:
    days = span_words(entry.days.first, entry.days.last)
    return {
        LostKind.RAIN: f"rain on {days}",
        LostKind.CREW_OFF: f"{entry.target} is off {days}",
        LostKind.CREW_SHORT: f"{entry.target} is short of hands {days}",
        LostKind.MACHINE_DOWN: f"the {entry.target} is out of order {days}",
    }.get(entry.kind, f"{entry.kind.value} until {day_words(entry.days.last)}")


def _next_place(hit: LostTime, old: Booking, new: Booking, lines: _Lines, season: Season) -> str:
    """What lies between lost time and a new start that is not the next working day: the crew's other work."""
    days = days_between(hit.days.last + timedelta(days=1), new.start.date() - timedelta(days=1))
    if not any(is_working_day(season.firm, day) for day in days):
        return ""
    behind = _behind(old, new, lines)
    return f"; then {behind}" if behind else ""


def _behind(old: Booking, new: Booking, lines: _Lines) -> str:
    """What the new lead does before it that takes its old time; "" when nothing does."""
    ahead = lines.ahead(new)
    if ahead is not None and ahead.end > old.start:
        before = lines.before.get(ahead.key)
        name = ahead.job
        if before is None and ahead.job not in lines.old_jobs:
            return f"{new.lead} does {name} first, which is new"
        if before is not None and ahead.end > before.end:
            return f"{new.lead} is on {name} until {day_words(ahead.end.date())}"
        return f"{new.lead} does {name} first"
    return ""


def _knock_on(old: Booking, new: Booking, lines: _Lines, season: Season) -> str:
    if new.lead != old.lead and new.start == old.start:
        return f"{old.lead} is needed elsewhere"
    if new.start == old.start:
        return "the work takes longer than was planned"
    if old.start < season.now:
        return f"it was not done on {day_words(old.start.date())} as planned"
    held_up = lines.held_up(new)
    if held_up is not None:
        return f"its {held_up.phase.words} takes until {day_words(held_up.end.date())}"
    return lines.gain(old.job, season) or "the whole season costs less this way"


def _touch(days: DayRange, old: Booking, new: Booking) -> bool:
    first = min(old.start, new.start).date()
    last = max(new.end, new.start).date()
    return days.first <= last and days.last >= first - timedelta(days=1)
