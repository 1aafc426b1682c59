"""The hours of a crew's day that are no work, with their reason: break, drive, cure, hose, locate, machine.

In: the roster, a plan, what the crew does that day. Out: a line before each stint, in it and after the last.
Set-up and clean-up lie inside the planned hours; `setup_words` says how many.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import pairwise
from math import ceil

from planner.domain.dates import clock
from planner.domain.firm.calendar import Window, days_between, part_of_day, real_hours_later
from planner.domain.firm.firm import Firm
from planner.domain.firm.phases import Follows, Phase, PhaseRule
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import SLOT_MIN
from planner.domain.season.travel import road_minutes
from planner.domain.season.works import WATER_RUNS
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import Stint, stints
from planner.domain.wording import number


@dataclass(frozen=True, slots=True)
class Gap:
    """One stretch of a crew's day that is no work. stint: the one that it leads to, None after the last.

    words: from when to when and why; ask: the crew asks the office what to do; mere_break: meals alone.
    """

    stint: Stint | None
    words: str
    ask: bool = False
    mere_break: bool = False

    @property
    def told(self) -> str:
        """The words as the crew reads them; the office need not ask itself."""
        if not self.ask:
            return self.words
        return f"{self.words}. Ask the office." if self.stint is None else f"{self.words}: ask the office"


@dataclass(frozen=True, slots=True)
class Pauses:
    """before: of each stint, what the time up to it is for, None for none; within: its break, "" for none;
    after: the rest of the day, None for none.
    """

    before: tuple[Gap | None, ...] = ()
    within: tuple[str, ...] = ()
    after: Gap | None = None


def gaps(roster: Roster, plan: Plan, rules: Mapping[Phase, PhaseRule], found: Sequence[Stint]) -> list[Gap]:
    """The same as `pauses`, as one list in the order of the day, without the breaks inside a stint."""
    told = pauses(roster, plan, rules, found)
    return [gap for gap in (*told.before, told.after) if gap is not None]


#: Crew, day and gap.
Before = tuple[str, date, Gap]


def gaps_before(roster: Roster, plan: Plan, rules: Mapping[Phase, PhaseRule], job: str) -> list[Before]:
    """(crew, day, gap) of the hours that are no work and lead to work on the job, by day and crew."""
    mine = [b for b in plan.bookings if b.job == job]
    days = {
        (day, crew) for b in mine for crew in b.crews for day in days_between(b.start.date(), b.end.date())
    }
    return [
        (crew, day, gap)
        for day, crew in sorted(days)
        for gap in gaps(roster, plan, rules, stints(roster, plan, crew, day))
        if gap.stint is not None and gap.stint.key.job == job and not gap.mere_break
    ]


@dataclass(frozen=True, slots=True)
class _Case:
    """What every pause of a day is told by. breaks: its meal breaks."""

    roster: Roster
    plan: Plan
    rules: Mapping[Phase, PhaseRule]
    breaks: tuple[Window, ...]

    def wait(self, stint: Stint, since: datetime) -> str:
        """What the stint waits for after `since`; "" when nothing that is known is the reason."""
        if not stint.begins:
            return ""
        if stint.key.part > 1:
            return WATER_RUNS
        return self._cure(stint, since) or self._outside(stint, since) or self._others(stint, since)

    def _cure(self, stint: Stint, since: datetime) -> str:
        for follows in self.follows(stint.key.phase):
            ends = [b.end for b in self.plan.bookings if (b.job, b.phase) == (stint.key.job, follows.before)]
            zone = self.roster.firm.time_zone
            if ends and since < real_hours_later(max(ends), follows.lag_h, zone) <= stint.start:
                return f"wait, {number(follows.lag_h)} h after the {follows.before.words}{_why(follows)}"
        return ""

    def _outside(self, stint: Stint, since: datetime) -> str:
        """The hour at which a locate clears, a part of the day that was promised, or the office's pin."""
        job, start = self.roster.jobs.get(stint.key.job), stint.start
        locate = self.roster.locates.get(stint.key.job)
        if stint.key.phase is Phase.DIG and locate is not None and since < locate.clear <= start:
            return f"wait, the utility locate clears {clock(locate.clear)}"
        opens = part_of_day(job.day_part, stint.day).start if job is not None else since
        if since < opens <= start:
            return "wait, it is promised for the afternoon"
        return f"wait, the office pinned it to {clock(start)}" if stint.booking.pinned else ""

    def _others(self, stint: Stint, since: datetime) -> str:
        """What holds another crew of the stint, or its machine, until it begins."""
        mine, start = stint.booking, stint.start
        for b in sorted(self.plan.bookings, key=lambda b: (b.end, b.key), reverse=True):
            if b.key == mine.key or not since < b.end <= start:
                continue
            crew = next((c for c in mine.crews if c != stint.crew and c in b.crews), "")
            if crew:
                return f"wait, {crew} is on {b.job} until {clock(b.end)}"
            use = next((use for use in mine.machines if use in b.machines), None)
            if use is not None and b.job != mine.job:
                words = self.roster.machine_words(use.kind, use.unit)
                return f"wait, the {words} is on {b.job} until {clock(b.end)}"
            if b.job == mine.job and b.phase.rank < mine.phase.rank and stint.crew not in b.crews:
                return f"wait, {b.lead} is on its {b.phase.words} until {clock(b.end)}"
        return ""

    def follows(self, phase: Phase) -> tuple[Follows, ...]:
        """The earlier phases that `phase` waits for with a lag."""
        rule = self.rules.get(phase)
        return tuple(f for f in rule.follows if f.lag_h) if rule else ()


def _why(follows: Follows) -> str:
    return f": {follows.why}" if follows.why else ""


def pauses(roster: Roster, plan: Plan, rules: Mapping[Phase, PhaseRule], found: Sequence[Stint]) -> Pauses:
    """The pauses of one crew's day with the stints `found`, in their order."""
    windows = roster.windows(found[0].crew, found[0].day) if found else ()
    if not windows:
        return Pauses((None,) * len(found), ("",) * len(found))
    case = _Case(roster, plan, rules, tuple(Window(a.end, b.start) for a, b in pairwise(windows)))
    opens, first = windows[0].start, found[0]
    early = _gap(first, opens, [], case.wait(first, opens), waits=True) if opens < first.start else None
    before = [early, *(_between(case, a, b) for a, b in pairwise(found))]
    within = ("; ".join(_break(b) for b in case.breaks if s.start < b.start and b.end < s.end) for s in found)
    return Pauses(tuple(before), tuple(within), _rest(case, windows[-1].end, found[-1]))


def setup_words(firm: Firm, found: Sequence[Stint], visits: bool) -> str:
    """What of the planned hours is set-up and clean-up: "set-up and clean-up in it, 45 min of a full day".

    visits: the day is visits alone, whose hours have none beside them.
    """
    if not found or visits or not firm.daily_setup_h:
        return ""
    return f"set-up and clean-up in it, {_minutes(firm.daily_setup_h * 60)} of a full day"


def _minutes(minutes: float) -> str:
    return f"{round(minutes)} min"


def _break(span: Window) -> str:
    return f"break {clock(span.start)} to {clock(span.end)}"


def _span(start: datetime, end: datetime) -> str:
    return f"{clock(start)} to {clock(end)}"


def _gap(stint: Stint, since: datetime, breaks: Sequence[str], why: str, *, waits: bool) -> Gap:
    """The time from `since` to the stint. breaks: and drives, in words; waits: time is left beside them, for
    the reason `why`, "" when nothing is known."""
    parts = [*breaks, *([why or "nothing planned"] if waits else [])]
    return Gap(stint, f"{_span(since, stint.start)}: {'; '.join(parts)}", ask=waits and not why)


def _between(case: _Case, a: Stint, b: Stint) -> Gap | None:
    """The time from one stint to the next."""
    if b.start <= a.end:
        return None
    inside = [span for span in case.breaks if a.end <= span.start and span.end <= b.start]
    left_min = (b.start - a.end).total_seconds() / 60 - sum(span.minutes for span in inside)
    parts = [_break(span) for span in inside]
    moves = a.key.job != b.key.job
    if moves:
        firm, jobs = case.roster.firm, case.roster.jobs
        drive_min = road_minutes(firm, jobs[a.key.job], jobs[b.key.job])
        parts.append(f"drive to {b.key.job}, about {_minutes(drive_min)}")
        left_min -= ceil(drive_min / SLOT_MIN) * SLOT_MIN
    waits = left_min > 0
    found = _gap(b, a.end, parts, case.wait(b, a.end) if waits else "", waits=waits)
    return replace(found, mere_break=not (waits or moves))


def _rest(case: _Case, closes: datetime, stint: Stint) -> Gap | None:
    """The time after the day's last work."""
    if stint.end >= closes or stint.crew_h < stint.planned_crew_h:
        return None
    after = [b for b in case.plan.bookings if b.job == stint.key.job and b.start >= stint.end]
    why = _cure(case, stint, min(after, key=lambda b: b.start)) if after else ""
    return Gap(None, f"{_span(stint.end, closes)}: nothing planned{why}", ask=True)


def _cure(case: _Case, stint: Stint, later: Booking) -> str:
    """Why the job's next work does not go on at once; "" when neither water nor a cure is the reason."""
    if later.key.part > 1 and stint.finishes:
        return f", {WATER_RUNS}"
    for follows in case.follows(later.phase):
        if stint.finishes and follows.before is stint.key.phase:
            return f", {later.key.work_words} waits {number(follows.lag_h)} h{_why(follows)}"
    return ""
