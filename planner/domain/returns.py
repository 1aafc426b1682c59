"""A returned sheet against the sheet that was handed out: what it logs, what was missed, what is odd.

In: the return, the sheet made again from the same plan, the firm's facts. Out: a `Reading`. Measured values
outside their band and hold points without a tick go into the log's note, each on a line of its own that
begins with `MISSED`, so that the office can list them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.domain.actuals import Log
from planner.domain.daysheet import DaySheet, Task
from planner.domain.phases import Phase
from planner.domain.plan import Plan
from planner.domain.returned import ReturnedSheet, ReturnedTask
from planner.domain.roster import Roster
from planner.domain.wording import number
from planner.errors import BadInput

MISSED = "MISSED "
#: A return older than this is asked about [days]; hours a day beyond the paid ones that are asked about [h].
OLD_DAYS, OVERTIME_H = 14, 3.0


@dataclass(frozen=True, slots=True)
class Miss:
    """A tolerance or hold point that was missed. line: the step's text; text: what was wrong, in one line."""

    job: str
    phase: Phase
    key: str
    text: str


@dataclass(frozen=True, slots=True)
class Reading:
    """What a return will log. questions: what looks wrong and wants a yes; empty when all is plain."""

    sheet: ReturnedSheet
    logs: tuple[Log, ...]
    misses: tuple[Miss, ...]
    questions: tuple[str, ...]


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

    sheet: made again from `plan`, the version that the return names; current: the plan that counts now.
    logged: what is in the book already; expected_crew, expected_day: whose return the office thinks it holds.
    """
    known = {task.key: task for task in sheet.tasks}
    same = sheet.mark == returned.mark
    logs, misses = [], []
    for entry in returned.tasks:
        if entry.job not in roster.jobs:
            raise BadInput("job", entry.job, "the return names a job that is not in the list")
        if entry.empty:
            continue
        task = known.get(f"{entry.job}/{entry.phase.value}/{entry.part}")
        missed = _misses(entry, task if same else None)
        misses += missed
        logs.append(_log(returned, entry, missed, _parts(plan, entry)))
    questions = _questions(returned, roster, current, today, planned=set(known), same=same)
    questions += _double(logs, logged)
    if expected_day is not None and expected_day != returned.day:
        questions.insert(0, f"the return is of {returned.day}, not of {expected_day}")
    if expected_crew is not None and expected_crew.casefold() != returned.crew.casefold():
        questions.insert(0, f"the return is of crew {returned.crew}, not of {expected_crew}")
    return Reading(returned, tuple(logs), tuple(misses), tuple(questions))


def source_of(returned: ReturnedSheet) -> str:
    """What the logs of this return carry as their source."""
    return f"sheet {returned.mark}"


def missed_in(log: Log) -> list[str]:
    """The missed tolerances and hold points that a returned sheet left in a log's note."""
    return [line.removeprefix(MISSED) for line in log.note.splitlines() if line.startswith(MISSED)]


def _double(logs: Sequence[Log], logged: Sequence[Log]) -> Iterator[str]:
    """Work of the return that has hours of the same crew and day from elsewhere."""
    for log in logs:
        work = (log.crew, log.day, log.job, log.phase)
        for other in logged:
            if (other.crew, other.day, other.job, other.phase) == work and other.source != log.source:
                yield (
                    f"{log.job} {log.phase.words} has {number(other.crew_h)} h of {log.crew} on {log.day} "
                    f"already, from {other.source}"
                )


def _misses(entry: ReturnedTask, task: Task | None) -> list[Miss]:
    if task is None:
        return []
    found = []
    for n, line in enumerate(task.ready.lines):
        value = entry.values.get(line.key)
        if line.wanted is not None and value is not None and not line.wanted.accepts(value):
            text = f"{line.wanted.what} {number(value)} {line.wanted.unit}, wanted {line.wanted.words}"
            found.append(Miss(entry.job, entry.phase, line.key, text))
        if line.hold and entry.done and n not in entry.ticks:
            found.append(Miss(entry.job, entry.phase, line.key, f"hold point not signed: {line.text}"))
    return found


def _parts(plan: Plan, entry: ReturnedTask) -> int:
    same = [b.key.part for b in plan.bookings if b.job == entry.job and b.phase is entry.phase]
    return max([entry.part, *same])


def _log(returned: ReturnedSheet, entry: ReturnedTask, missed: list[Miss], parts: int) -> Log:
    """The log of one task; of a phase in parts, each part counts as an equal share of the whole."""
    share = 1.0 if entry.done else entry.share_done
    if share is not None:
        share = (entry.part - 1 + share) / parts
    notes = [entry.note.strip()] if entry.note.strip() else []
    notes += [f"{MISSED}{' '.join(m.text.split())}" for m in missed]
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
    returned: ReturnedSheet, roster: Roster, current: Plan, today: date, *, planned: set[str], same: bool
) -> list[str]:
    asked = []
    if returned.plan_number != current.number:
        asked.append(f"the sheet was made from plan {returned.plan_number}, now plan {current.number} counts")
    if returned.day > today:
        asked.append(f"the day {returned.day} is still to come")
    elif returned.day < today - timedelta(days=OLD_DAYS):
        asked.append(f"the day {returned.day} is more than {OLD_DAYS} days ago")
    for entry in returned.tasks:
        if f"{entry.job}/{entry.phase.value}/{entry.part}" not in planned and not entry.empty:
            work = f"{entry.job} {entry.phase.words}"
            asked.append(f"plan {returned.plan_number} has no {work} for {returned.crew} on {returned.day}")
    if not same:
        asked.append(
            "the sheet looks different now (jobs or checklist were changed): hours are logged, "
            "measures are not judged"
        )
    total_h = sum((t.crew_h or 0.0) + t.lost_h for t in returned.tasks)
    if total_h > roster.firm.paid_h_day + OVERTIME_H:
        asked.append(f"{number(total_h)} hours in one day")
    if total_h == 0:
        asked.append("no hours are filled in")
    return asked
