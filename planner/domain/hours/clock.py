"""A time clock's stretches as logged hours: who worked from when to when, on which job and phase.

In: `Punch`es, the crews, what is logged. Out: `ClockDay`s, one a crew, day, job and phase, and what each does
to the log. A clock counts people and a log counts crews, so a day's labour-hours are parted by the people who
were there: three people with 8, 8 and 5 h are a crew of 3 for 7 h. What cannot be true (an overlap, no
clocking out, a slip of 12 or 24 hours) is a fault at its line, and one fault keeps the whole file out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import Enum

from planner.domain.dates import long_day
from planner.domain.firm.actuals import Log
from planner.domain.firm.phases import Phase
from planner.errors import BadInput

#: Where logs say that they come from the clock.
SOURCE = "time clock"
#: A stretch beyond this is a slip and no work [h]; a person's day beyond this is asked about [h].
LONGEST_H, LONG_DAY_H = 16.0, 12.0
#: From this length on a stretch holds an unpaid meal break, when the firm's clock runs through it [h].
MEAL_FROM_H = 6.0
#: Two figures of hours that differ by less are the same [h].
_SAME_H = 0.01


@dataclass(frozen=True, slots=True)
class Punch:
    """One stretch of one person on a job and phase. line: of the file; end: None without clocking out."""

    line: int
    person: str
    crew: str
    start: datetime
    end: datetime | None
    job: str
    phase: Phase

    @property
    def labour_h(self) -> float:
        """From start to end [labour-hours], 0 without an end."""
        return 0.0 if self.end is None else (self.end - self.start) / timedelta(hours=1)


class Does(Enum):
    """What a clocked day does to the log."""

    NEW = "new"
    SAME = "logged already"
    OTHER = "takes the place of an earlier reading of the clock"
    KEPT = "logged otherwise, left as it is"


@dataclass(frozen=True, slots=True)
class ClockDay:
    """One crew on one phase of one job on one day. hours_h: person -> labour-hours; line: the first of it in
    the file; old: the entry in the log that it meets."""

    crew: str
    day: date
    job: str
    phase: Phase
    hours_h: Mapping[str, float]
    line: int
    does: Does = Does.NEW
    old: Log | None = None

    @property
    def labour_h(self) -> float:
        """All people's hours together [labour-hours]."""
        return sum(self.hours_h.values())

    def as_log(self, usual_people: int) -> Log:
        """The entry: crew-hours of those who were there; `people` stays 0 when they were as many as usual."""
        people = len(self.hours_h)
        who = ", ".join(f"{name} {h:g} h" for name, h in sorted(self.hours_h.items()))
        return Log(
            day=self.day,
            crew=self.crew,
            job=self.job,
            phase=self.phase,
            crew_h=round(self.labour_h / people, 2),
            people=0 if people == usual_people else people,
            note=who,
            source=SOURCE,
        )


@dataclass(frozen=True, slots=True)
class ClockReading:
    """What a clock's file will do. days: one a crew, day, job and phase; questions: what looks odd and wants
    a yes; left_out_h: labour-hours of work that the office said is not logged.
    """

    days: tuple[ClockDay, ...]
    questions: tuple[str, ...]
    left_out_h: float

    @property
    def to_log(self) -> list[ClockDay]:
        """The days that the log has not, or has otherwise by the clock."""
        return [day for day in self.days if day.does in {Does.NEW, Does.OTHER}]


def slips(punches: Sequence[Punch], today: date) -> list[tuple[int, BadInput]]:
    """What cannot be true, each with its line: no end, an end before the start, a slip of 12 or 24 hours, a
    day to come, and two stretches of one person that overlap."""
    found = [(p.line, fault) for p in punches for fault in _slips_of(p, today)]
    sick = {line for line, _ in found}
    by_person: dict[str, list[Punch]] = {}
    for punch in punches:
        if punch.line not in sick:
            by_person.setdefault(punch.person, []).append(punch)
    for mine in by_person.values():
        found += _overlaps(sorted(mine, key=lambda p: (p.start, p.line)))
    return sorted(found, key=lambda f: f[0])


def _slips_of(punch: Punch, today: date) -> Iterable[BadInput]:
    who = f"{punch.person} on {long_day(punch.start.date())}"
    if punch.end is None:
        yield BadInput(
            "out", "", f"{who} came at {_time(punch.start)} and never clocked out: ask, and write when"
        )
    elif punch.end <= punch.start:
        fix = f"{who} came at {_time(punch.start)}: write a later time, with its day after midnight"
        yield BadInput("out", _moment(punch.end), fix)
    elif punch.labour_h > LONGEST_H:
        half = timedelta(hours=24 if punch.labour_h > 24 else 12)
        likely = punch.end - half
        ask = f": was it {_moment(likely)}?" if likely > punch.start else ": ask, and write when"
        yield BadInput(
            "out", _moment(punch.end), f"{who} would have worked {punch.labour_h:g} h at a stretch{ask}"
        )
    if punch.start.date() > today:
        yield BadInput("in", _moment(punch.start), f"that is after today, {long_day(today)}: check the date")


def _overlaps(punches: Sequence[Punch]) -> Iterable[tuple[int, BadInput]]:
    last: Punch | None = None
    for punch in punches:
        if last is not None and last.end is not None and punch.start < last.end:
            same = (punch.start, punch.end, punch.job, punch.phase) == (
                last.start,
                last.end,
                last.job,
                last.phase,
            )
            what = (
                "the same stretch stands"
                if same
                else f"{punch.person} is on {last.job} {last.phase.words} until {_time(last.end)}"
            )
            fix = (
                f"{what} in line {last.line}: take one out"
                if same
                else f"{what} (line {last.line}): no two at once, correct one"
            )
            yield punch.line, BadInput("in", _moment(punch.start), fix)
        if last is None or last.end is None or (punch.end is not None and punch.end > last.end):
            last = punch


def clocked_days(punches: Sequence[Punch], meal_break_h: float = 0.0) -> list[ClockDay]:
    """The stretches by crew, day, job and phase, in the order of days; a stretch counts for the day it began.

    meal_break_h: taken off each stretch of `MEAL_FROM_H` and more, 0 when people clock out to eat [h].
    """
    hours: dict[tuple[date, str, str, Phase], dict[str, float]] = {}
    lines: dict[tuple[date, str, str, Phase], int] = {}
    for punch in punches:
        key = (punch.start.date(), punch.crew, punch.job, punch.phase)
        mine = hours.setdefault(key, {})
        off_h = meal_break_h if punch.labour_h >= MEAL_FROM_H else 0.0
        mine[punch.person] = round(mine.get(punch.person, 0.0) + punch.labour_h - off_h, 4)
        lines[key] = min(lines.get(key, punch.line), punch.line)
    order = sorted(hours, key=lambda k: (k[0], k[1], k[2], list(Phase).index(k[3])))
    return [ClockDay(k[1], k[0], k[2], k[3], hours[k], lines[k]) for k in order]


def against_log(day: ClockDay, usual_people: int, logs: Iterable[Log]) -> ClockDay:
    """The same with what it does: hours that the log has already are never counted twice.

    An entry of the clock itself makes room when the clock says something else now; one that somebody wrote by
    hand, or that came with a day sheet, stays.
    """
    mine = [e for e in logs if (e.day, e.crew, e.job, e.phase) == (day.day, day.crew, day.job, day.phase)]
    other = next((e for e in mine if e.source != SOURCE), None)
    if other is not None:
        return replace(day, does=Does.KEPT, old=other)
    clocked = next((e for e in mine if e.source == SOURCE), None)
    if clocked is None:
        return day
    own = day.as_log(usual_people)
    same = abs(own.crew_h - clocked.crew_h) < _SAME_H and own.people == clocked.people
    return replace(day, does=Does.SAME if same else Does.OTHER, old=clocked)


def doubts(days: Sequence[ClockDay], sizes: Mapping[str, int]) -> list[str]:
    """What may be true but wants a yes: a very long day, and fewer hours than an earlier reading had."""
    by_person: dict[tuple[str, date], float] = {}
    for day in days:
        for person, h in day.hours_h.items():
            by_person[person, day.day] = by_person.get((person, day.day), 0.0) + h
    found = [
        f"{person} worked {h:g} h on {long_day(when)}"
        for (person, when), h in sorted(by_person.items(), key=lambda e: (e[0][1], e[0][0]))
        if h > LONG_DAY_H
    ]
    for day in days:
        if day.does is Does.OTHER and day.old is not None:
            had_h = day.old.crew_h * (day.old.people or sizes[day.crew])
            if had_h > day.labour_h + _SAME_H:
                work = f"{day.job} {day.phase.words}, {day.crew}, {long_day(day.day)}"
                had = f"had {had_h:g} labour-h by the clock, now {day.labour_h:g}"
                found.append(f"{work} {had}: does the file hold the whole day?")
    return found


def _time(at: datetime) -> str:
    return f"{at:%H:%M}"


def _moment(at: datetime) -> str:
    return f"{long_day(at.date())} {_time(at)}"
