"""From a locate to the gate of its job: when may the digging begin, and on which days must it rest?

In: what the office knows of locates, a job, whether its ground is open. Out: the job with one locate gate, or
with the one that a locate asked now would give: no word about a locate is the dangerous case, not the safe
one. Digging that has begun is not stopped here: the standing tells what it lacks.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from planner.domain.dates import day_words
from planner.domain.firm.jobs import RAN_OUT, DayRange, Gate, GateKind, Job
from planner.domain.firm.needs import has_work
from planner.domain.firm.phases import ORDER
from planner.domain.safety.locate import LocateRule, clears, expires, latest_start
from planner.domain.standing.locate_standing import (
    DIGGING,
    LocateFile,
    asked_at,
    first_day,
    is_cleared,
    locate_gate,
    requests,
)

NOT_ASKED = "none asked: reckoned as if asked now"


def with_locate_gate(file: LocateFile, job: Job, *, begun: bool = False) -> Job:
    """The job with the one gate that its locate comes to: request, notice, answers, and its own gate's date.

    The plan, the pages and the office so go by the same day. Without a request that still holds the gate is
    that of a locate asked now; a ticket that runs out before a fresh one would clear leaves days on which
    nobody may dig. begun: ground is open, so that only what the office ticked counts.
    """
    asked = asked_at(file, job)
    if begun or asked is None:
        return _ticked(file, job) if begun else _asked_now(file, job, NOT_ASKED)
    ends, fresh = _last_day(file, asked), first_day(clears(file.rule, file.now), file.shift_start)
    if ends is not None and ends < file.now.date():
        return _asked_now(file, job, f"asked {day_words(asked.date())}, ran out {day_words(ends)}: ask anew")
    found = _ticked(file, job)
    gate, rest = locate_gate(found), fresh if ends is None else ends + timedelta(days=1)
    if rest >= fresh or (gate is not None and gate.opens >= fresh):
        return found
    shut = DayRange(rest, fresh - timedelta(days=1), RAN_OUT)
    return replace(found, blackouts=(*found.blackouts, shut))


def asked_now_gate(job: Job, rule: LocateRule, now: datetime, shift_start: time, note: str) -> Gate | None:
    """The gate of a locate asked at `now`; None for a job that opens no ground."""
    first = next((phase for phase in ORDER if phase in DIGGING and has_work(job, phase)), None)
    if first is None:
        return None
    return Gate(GateKind.LOCATE, first_day(clears(rule, now), shift_start), first, note=note)


def _asked_now(file: LocateFile, job: Job, note: str) -> Job:
    """With the gate of a locate asked now; a gate of its own that opens later stays what it is."""
    fresh, own = asked_now_gate(job, file.rule, file.now, file.shift_start, note), locate_gate(job)
    if fresh is None or (own is not None and own.opens >= fresh.opens):
        return job
    return _with(job, fresh)


def _ticked(file: LocateFile, job: Job) -> Job:
    """With the gate of the newest request that was ticked; without a tick the job stays as it is."""
    asked, gate = asked_at(file, job), locate_gate(job)
    if asked is None or not requests(file, job.code):
        return job
    lawful = first_day(clears(file.rule, asked), file.shift_start)
    opens = lawful if gate is None else max(lawful, gate.opens)
    made = asked_now_gate(job, file.rule, asked, file.shift_start, f"asked {day_words(asked.date())}")
    phase = gate.phase if gate else made.phase if made else ORDER[0]
    met = is_cleared(file, job, asked.date())
    return _with(job, Gate(GateKind.LOCATE, opens, phase, met, f"asked {day_words(asked.date())}"))


def _with(job: Job, gate: Gate) -> Job:
    return replace(job, gates=(*(g for g in job.gates if g.kind is not GateKind.LOCATE), gate))


def _last_day(file: LocateFile, asked: datetime) -> date | None:
    """The last day on which digging that has not begun may begin under the request; None: no limit stated."""
    start = max(file.now, clears(file.rule, asked))
    dies = expires(file.rule, asked.date(), start)
    ends = [latest_start(file.rule, asked.date()), dies.date() if dies else None]
    return min((day for day in ends if day is not None), default=None)
