"""A returned sheet against the sheet that its crew saw: what it logs, what was missed, what is odd.

In: the return, the sheet made again, the firm's facts. Out: a `Reading`. A return is judged by the steps and
bands of its crew's own sheet: by the sheet made again when it still says the same (its mark is the same), by
what the return itself says was asked when it does not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.domain.crew_day.daysheet import DaySheet
from planner.domain.crew_day.misses import (
    CHECKS,
    FROM_SHEET,
    Miss,
    misses_of,
    note_lines,
    signed_in,
    signed_of,
)
from planner.domain.crew_day.returned import ReturnedSheet, ReturnedTask
from planner.domain.dates import day_words
from planner.domain.firm.actuals import Log
from planner.domain.season.plan import Plan
from planner.domain.standing.roster import Roster
from planner.domain.wording import number
from planner.errors import BadInput

#: A return older than this is asked about [days]; hours a day beyond the paid ones that are asked about [h].
OLD_DAYS, OVERTIME_H = 14, 3.0


@dataclass(frozen=True, slots=True)
class Reading:
    """What a return will log. questions: what looks wrong and wants a yes; empty when all is plain.

    replaced: entries of earlier returns of the same crew and day that these logs take the place of;
    changed: the sheet says something else now than the crew saw.
    """

    sheet: ReturnedSheet
    logs: tuple[Log, ...]
    misses: tuple[Miss, ...]
    questions: tuple[str, ...]
    replaced: tuple[Log, ...] = ()
    changed: bool = False


def read_return(
    returned: ReturnedSheet,
    sheet: DaySheet,
    roster: Roster,
    plan: Plan,
    current: Plan,
    today: date,
    *,
    logged: Sequence[Log] = (),
    expected_crew: str | None = None,
    expected_day: date | None = None,
) -> Reading:
    """Compare a return with its sheet. Raises BadInput for a job that is not known.

    sheet: made again, from the plan that counts now when that says the same to the crew, else from `plan`,
    the version that the return names; current: the plan that counts now. logged: what is in the book
    already; expected_crew, expected_day: whose return the office thinks it holds.
    """
    known = {task.key: task for task in sheet.tasks}
    same = sheet.mark == returned.mark
    logs, misses = [], []
    for entry in returned.tasks:
        if entry.job not in roster.jobs:
            raise BadInput("job", entry.job, "the return names a job that is not in the list")
        if entry.empty:
            continue
        seen = known[entry.key].ready.lines if same and entry.key in known else entry.asked or ()
        before = [log for log in logged if log.day < returned.day]
        missed = list(misses_of(entry, seen, signed_in(before, entry.job, entry.phase)))
        misses += missed
        checks = note_lines(missed, signed_of(entry, seen), entry.order)
        logs.append(_log(returned, entry, checks, _parts(plan, entry)))
    replaced = replaced_by(returned, logs, logged)
    questions = _questions(returned, roster, sheet, current, today)
    questions += _double(logs, [log for log in logged if log not in replaced])
    questions += _fewer(logs, replaced, source_of(returned))
    if expected_day is not None and expected_day != returned.day:
        questions.insert(0, f"the return is of {day_words(returned.day)}, not of {day_words(expected_day)}")
    if expected_crew is not None and expected_crew.casefold() != returned.crew.casefold():
        questions.insert(0, f"the return is of crew {returned.crew}, not of {expected_crew}")
    return Reading(returned, tuple(logs), tuple(misses), tuple(questions), replaced, not same)


def source_of(returned: ReturnedSheet) -> str:
    """What the logs of this return carry as their source."""
    return f"{FROM_SHEET}{returned.mark}"


def replaced_by(returned: ReturnedSheet, logs: Sequence[Log], logged: Sequence[Log]) -> tuple[Log, ...]:
    """Entries of earlier returns that these logs take the place of.

    A crew has one sheet a day: what it sent before of the same sheet goes, and of another sheet of the same
    day whatever is of the same job and phase.
    """
    works = {(log.job, log.phase) for log in logs}
    own = source_of(returned)
    return tuple(
        log
        for log in logged
        if log.source.startswith(FROM_SHEET)
        and (log.crew, log.day) == (returned.crew, returned.day)
        and (log.source == own or (log.job, log.phase) in works)
    )


def _fewer(logs: Sequence[Log], replaced: Sequence[Log], own: str) -> Iterator[str]:
    """Work that another sheet of the day gave more hours: this one may tell a part of the day only."""
    for log in logs:
        before_h = sum(
            e.crew_h for e in replaced if (e.job, e.phase) == (log.job, log.phase) and e.source != own
        )
        if log.crew_h < before_h:
            yield (
                f"{log.job} {log.phase.words} has {number(before_h)} h from an earlier sheet of the day, "
                f"this one says {number(log.crew_h)} h and takes its place"
            )


def _double(logs: Sequence[Log], logged: Sequence[Log]) -> Iterator[str]:
    """Work of the return that has hours of the same crew and day from elsewhere."""
    for log in logs:
        work = (log.crew, log.day, log.job, log.phase)
        for other in logged:
            if (other.crew, other.day, other.job, other.phase) == work and other.source != log.source:
                yield (
                    f"{log.job} {log.phase.words} has {number(other.crew_h)} h of {log.crew} "
                    f"on {day_words(log.day)} already, from {other.source}"
                )


def _parts(plan: Plan, entry: ReturnedTask) -> int:
    same = [b.key.part for b in plan.bookings if b.job == entry.job and b.phase is entry.phase]
    return max([entry.part, *same])


def _log(returned: ReturnedSheet, entry: ReturnedTask, checks: list[str], parts: int) -> Log:
    """The log of one task; of a phase in parts, each part counts as an equal share of the whole."""
    share = 1.0 if entry.done else entry.share_done
    if share is not None:
        share = (entry.part - 1 + share) / parts
    said = " ".join(entry.note.split())
    notes = [f"note: {said}" if said.startswith(CHECKS) else said] if said else []
    notes += checks
    if returned.checked_by.strip():
        notes.append(f"checked by {' '.join(returned.checked_by.split())}")
    return Log(
        day=returned.day,
        crew=returned.crew,
        job=entry.job,
        phase=entry.phase,
        crew_h=entry.crew_h or 0.0,
        share_done=share,
        done=entry.done and entry.part == parts,
        lost_h=entry.lost_h,
        lost_why=" ".join(entry.why.split()),
        people=entry.people,
        note="\n".join(notes),
        source=source_of(returned),
    )


def _questions(
    returned: ReturnedSheet, roster: Roster, sheet: DaySheet, current: Plan, today: date
) -> list[str]:
    asked = []
    planned, same = {task.key for task in sheet.tasks}, sheet.mark == returned.mark
    if returned.plan_number != current.number and not same:
        asked.append(f"the sheet was made from plan {returned.plan_number}, now plan {current.number} counts")
    if returned.day > today:
        asked.append(f"the day {day_words(returned.day)} is still to come")
    elif returned.day < today - timedelta(days=OLD_DAYS):
        asked.append(f"the day {day_words(returned.day)} is more than {OLD_DAYS} days ago")
    for entry in returned.tasks:
        if entry.key not in planned and not entry.empty:
            work = f"{entry.job} {entry.phase.words}"
            asked.append(
                f"plan {sheet.plan_number} has no {work} for {returned.crew} on {day_words(returned.day)}"
            )
    if not same and any(entry.asked is None for entry in returned.tasks):
        asked.append(
            "the text does not say what its sheet asked (a scan code, or the page of an older planner): "
            "hours are logged, measures and hold points are not judged; ask the lead to send the whole text"
        )
    total_h = sum((t.crew_h or 0.0) + t.lost_h for t in returned.tasks)
    if total_h > roster.firm.paid_h_day + OVERTIME_H:
        asked.append(f"{number(total_h)} hours in one day")
    if total_h == 0:
        asked.append("no hours are filled in")
    return asked
