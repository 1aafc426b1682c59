"""How a job's utility locate stands against its dig: the one answer that the office and every page give.

In: the state's rule, what the office ticked, the job and the digging that is left in the plan, the moment.
Out: a `LocateStanding`. A request is a tick of the office's list (`locate:JOB`, `relocate:JOB:DAY`). That
every owner has answered is the job's locate gate that is met: ticking `cleared:JOB:DAY` meets it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum

from planner.domain.dates import day_words, moment_words
from planner.domain.firm.actuals import Progress
from planner.domain.firm.jobs import Gate, GateKind, Job, Status
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import TICKED, OfficeMark
from planner.domain.safety.locate import LocateRule, ask_by, clears, expires, latest_start, renew_by
from planner.domain.season.plan import Booking

#: Phases that open the ground: the ticket must be alive while they run.
DIGGING = frozenset({Phase.DIG, Phase.SET_FILTERS})
#: A ticket whose life no source states is asked about from this day on, its request being day 1 [calendar
#: days], or from the last day on which its work may start, where that is later. Assumed: the strictest life
#: of the shipped rules.
UNSTATED_LIFE_DAYS = 14


class LocateState(StrEnum):
    """What of a locate must still happen before the digging that is planned."""

    NONE = "none on file"
    TOO_LATE = "not clear by the dig"
    SLIPPED = "asked for an earlier dig"
    DIES = "runs out before the digging ends"
    HOLDS = "life not stated"
    ASKED = "asked, not cleared"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True)
class LocateFile:
    """What the office knows of locates: the state's rule, the ticks by key, the moment, the shift's start."""

    rule: LocateRule
    marks: Mapping[str, OfficeMark]
    now: datetime
    shift_start: time = time(7)


@dataclass(frozen=True, slots=True)
class LocateStanding:
    """One job's locate against the digging that is left. dig, last: its start and end by the plan; digging
    that was planned for a day that is past, and is not logged, begins today at the earliest.

    asked: the day of the newest request, None without one; clear: the earliest lawful moment of that request
    (of one made now, when there is none); by: the last day to do what `state` calls for; dies: the end of
    the ticket's life, None when it is not stated; held: the day of the request, or of the newest word that
    the ticket still holds; cleared: every owner has answered; begun: ground is open; grave: the digging
    may not go on as it is planned.
    """

    job: str
    client: str
    state: LocateState
    dig: datetime
    last: datetime
    asked: date | None
    clear: datetime
    by: date
    latest: date | None = None
    dies: datetime | None = None
    held: date | None = None
    cleared: bool = False
    begun: bool = False
    grave: bool = False

    @property
    def key(self) -> str:
        """The key of the item of the office's list that settles it; "" when it is clear."""
        if self.state is LocateState.CLEAR:
            return ""
        if self.asked is None:
            return f"locate:{self.job}"
        if self.state is LocateState.HOLDS:
            return f"holds:{self.job}:{self.held}"
        anew = self.state in {LocateState.SLIPPED, LocateState.DIES}
        return f"{'relocate' if anew else 'cleared'}:{self.job}:{self.asked}"

    @property
    def words(self) -> str:
        """How it stands, in one line: "no locate on file: ask by Wed Apr 7"."""
        clear = moment_words(self.clear)
        asked, dig = day_words(self.asked), f"the dig on {day_words(self.dig.date())}"
        match self.state:
            case LocateState.NONE if self.begun:
                return "no locate on file and the digging has begun: stop until every owner has answered"
            case LocateState.NONE if self.grave:
                return f"no locate on file: asked now it clears {clear}, too late for {dig}"
            case LocateState.NONE:
                return f"no locate on file: ask by {day_words(self.by)}"
            case LocateState.TOO_LATE:
                return f"locate asked {asked} clears {clear}: too late for {dig}"
            case LocateState.SLIPPED:
                return (
                    f"locate asked {asked} covers a start up to {day_words(self.latest)}, not {dig}: ask anew"
                )
            case LocateState.DIES if self.dies and self.grave:
                return f"locate asked {asked} died {moment_words(self.dies)}: the marks hold no longer"
            case LocateState.DIES if self.dies:
                return (
                    f"locate asked {asked} dies {moment_words(self.dies)}, ground is open until "
                    f"{day_words(self.last.date())}: renew by {day_words(self.by)}"
                )
            case LocateState.HOLDS:
                return f"locate asked {asked}, its life is not stated: ask whether the ticket still holds"
            case LocateState.ASKED:
                return f"locate asked {asked}, not cleared: the office has not ticked every owner's answer"
        return f"locate clear from {clear}"


def locate_standings(
    file: LocateFile,
    jobs: Mapping[str, Job],
    bookings: Iterable[Booking],
    so_far: Mapping[tuple[str, Phase], Progress],
) -> dict[str, LocateStanding]:
    """Job -> how its locate stands, for every sold job whose digging is planned and not done, by dig."""
    digs: dict[str, list[Booking]] = {}
    for b in bookings:
        state = so_far.get((b.job, b.phase))
        if b.phase in DIGGING and not (state and state.done):
            digs.setdefault(b.job, []).append(b)
    begun = ground_open(so_far)
    found = [
        locate_standing(file, jobs[code], mine, begun=code in begun)
        for code, mine in digs.items()
        if code in jobs and jobs[code].status in {Status.SOLD, Status.UNDER_WAY}
    ]
    return {s.job: s for s in sorted(found, key=lambda s: (s.dig, s.job))}


def ground_open(so_far: Mapping[tuple[str, Phase], Progress]) -> frozenset[str]:
    """The jobs whose digging has begun, or is done."""
    dug = ((job, p) for (job, phase), p in so_far.items() if phase in DIGGING)
    return frozenset(job for job, p in dug if p.share or p.spent_crew_h)


def not_clear(standings: Mapping[str, LocateStanding]) -> tuple[LocateStanding, ...]:
    """Those that must be said, by dig: all but the clear ones."""
    return tuple(s for s in standings.values() if s.state is not LocateState.CLEAR)


def locate_standing(
    file: LocateFile, job: Job, digs: Sequence[Booking], *, begun: bool = False
) -> LocateStanding:
    """How the locate of `job` stands for the digging of `digs` (at least one). begun: ground is open."""
    dig, last = min(b.start for b in digs), max(b.end for b in digs)
    if not begun and dig.date() < file.now.date():
        dig = datetime.combine(file.now.date(), file.shift_start)
        last = max(last, dig)
    gate, asked = locate_gate(job), asked_at(file, job)
    clear_now = clears(file.rule, file.now)
    held = _held(file, job.code, asked.date()) if asked else None

    def standing(state: LocateState, clear: datetime, by: date, *, grave: bool) -> LocateStanding:
        day = asked.date() if asked else None
        latest = latest_start(file.rule, day) if day else None
        dies = expires(file.rule, day, dig) if day else None
        return LocateStanding(
            job.code, job.client, state, dig, last, day, clear, by, latest, dies, held=held,
            cleared=bool(day and is_cleared(file, job, day)), begun=begun, grave=grave,
        )  # fmt: skip

    if asked is None:
        by = ask_by(file.rule, dig)
        return standing(LocateState.NONE, clear_now, by, grave=begun or clear_now > dig)
    clear = clear_from(file.rule, asked, gate, file.shift_start)
    latest, dies = latest_start(file.rule, asked.date()), expires(file.rule, asked.date(), dig)
    if not begun and latest is not None and dig.date() > latest:
        return standing(LocateState.SLIPPED, clear_now, ask_by(file.rule, dig), grave=clear_now > dig)
    if not begun and clear > dig:
        return standing(LocateState.TOO_LATE, clear, clear.date(), grave=True)
    if dies is not None and last > dies:
        by = renew_by(file.rule, asked.date(), dig) or dies.date()
        return standing(LocateState.DIES, clear, by, grave=dies < file.now)
    end = (held or asked.date()) + timedelta(days=UNSTATED_LIFE_DAYS - 1)
    end = max(end, latest or end)
    if dies is None and last.date() > end:
        return standing(LocateState.HOLDS, clear, min(end, last.date()), grave=end < file.now.date())
    if not is_cleared(file, job, asked.date()):
        return standing(LocateState.ASKED, clear, clear.date(), grave=dig.date() <= file.now.date())
    return standing(LocateState.CLEAR, clear, clear.date(), grave=False)


def locate_gate(job: Job) -> Gate | None:
    """The job's locate gate that opens last; None without one."""
    return max((g for g in job.gates if g.kind is GateKind.LOCATE), key=lambda g: g.opens, default=None)


def asked_at(file: LocateFile, job: Job) -> datetime | None:
    """The newest request that the office ticked; without a tick, what a gate that is met must have followed.

    A gate met without a tick tells no day of request: the last one in time for the gate is assumed.
    """
    ticked, gate = requests(file, job.code), locate_gate(job)
    if ticked or gate is None or not gate.met:
        return max(ticked, default=None)
    return datetime.combine(ask_by(file.rule, datetime.combine(gate.opens, file.shift_start)), time(12))


def clear_from(rule: LocateRule, asked: datetime, gate: Gate | None, shift_start: time) -> datetime:
    """The earliest lawful moment to dig: the notice has run out and the job's gate is open."""
    lawful = clears(rule, asked)
    later = gate is not None and gate.opens > first_day(lawful, shift_start)
    return datetime.combine(gate.opens, time()) if gate is not None and later else lawful


def first_day(clear: datetime, shift_start: time) -> date:
    """The first day whose shift begins at or after the moment: gates open on whole days."""
    return clear.date() if clear.time() <= shift_start else clear.date() + timedelta(days=1)


def is_cleared(file: LocateFile, job: Job, asked: date) -> bool:
    """True when every owner has answered: by the tick of that request, or by a gate met after it."""
    gate, mark = locate_gate(job), file.marks.get(f"cleared:{job.code}:{asked}")
    ticked = mark is not None and mark.state == TICKED
    return ticked or (gate is not None and gate.met and (gate.opens > asked or not requests(file, job.code)))


def requests(file: LocateFile, job: str) -> list[datetime]:
    """The moments at which the office ticked that it asked."""
    return [
        mark.at
        for key, mark in file.marks.items()
        if mark.state == TICKED and mark.at and (key == f"locate:{job}" or key.startswith(f"relocate:{job}:"))
    ]


def _held(file: LocateFile, job: str, asked: date) -> date:
    """The day on which the one-call center last said that the ticket still holds; the request's without."""
    said = (
        m.at.date()
        for k, m in file.marks.items()
        if k.startswith(f"holds:{job}:") and m.state == TICKED and m.at
    )
    return max((day for day in said if day >= asked), default=asked)
