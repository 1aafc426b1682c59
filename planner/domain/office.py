"""The office's own list, by date, from the plan: what must be asked, ordered, booked and said, and by when.

In: a season, the plan that crews go by, what customers were told, the locate rule, lead times, ticks. Out:
`OfficeItem`s with keys that stay the same from plan to plan, so that a tick or a snooze holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from itertools import groupby

from planner.domain.calendar import is_working_day, shift
from planner.domain.changes import day_words
from planner.domain.jobs import ITEMS, Gate, GateKind
from planner.domain.locate import (
    CAUTION,
    LocateRule,
    ask_by,
    ask_from,
    clears,
    expires,
    latest_start,
    renew_by,
)
from planner.domain.phases import Phase, WorkKey
from planner.domain.plan import Booking, MachineUse, Plan
from planner.domain.records import Hold, OfficeMark
from planner.domain.season import Season
from planner.units import to_shown

TICKED, SNOOZED = "done", "snoozed"
#: Phases that open the ground: the ticket must be alive while they run.
DIGGING = frozenset({Phase.DIG, Phase.SET_FILTERS})


class Kind(StrEnum):
    """What an item asks of the office."""

    LOCATE = "utility locate"
    RENEW = "renew locate"
    ORDER = "order"
    MATERIAL = "delivery"
    DEPOSIT = "deposit"
    PERMIT = "permit"
    RENT = "rental"
    RETURN = "rental return"
    CALL = "call"
    HOLD = "held place"
    OVERNIGHT = "fill overnight"
    CURE = "cure on a day off"


@dataclass(frozen=True, slots=True)
class LeadTime:
    """One order: its items, the phase that uses them, working days of lead and of spare time before it."""

    key: str
    words: str
    items: tuple[str, ...]
    phase: Phase
    lead_days: int
    spare_days: int


@dataclass(frozen=True, slots=True)
class LeadTimes:
    """All orders, and how long before use a rented machine is booked; shorter gaps than gap_days keep it."""

    orders: tuple[LeadTime, ...]
    book_days: int = 5
    gap_days: int = 5


@dataclass(frozen=True, slots=True)
class OfficeItem:
    """One thing to do. key: names it for good; due: the last day in time; job: "" when it is no job's.

    pressing: too late already or against a rule, in words, "" otherwise; state: "", "done" or "snoozed".
    """

    key: str
    kind: Kind
    due: date
    job: str
    words: str
    pressing: str = ""
    state: str = ""
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Desk:
    """What lies on the office's desk besides the plan.

    told: (job -> first day and finish) that the customer knows; marks: key -> tick or snooze; holds: places
    kept for inquiries.
    """

    season: Season
    plan: Plan
    rule: LocateRule
    leads: LeadTimes
    today: date
    told: Mapping[str, tuple[date, date]]
    marks: Mapping[str, OfficeMark]
    holds: Sequence[Hold] = ()

    def bookings(self) -> dict[WorkKey, Booking]:
        """The plan's bookings of work that is still to do."""
        return {b.key: b for b in self.plan.bookings if b.key in self.season.works}

    def working_days_before(self, day: date, count: int) -> date:
        """The firm's working day `count` working days before `day`."""
        while count > 0:
            day -= timedelta(days=1)
            count -= is_working_day(self.season.firm, day)
        return day


def office_list(desk: Desk) -> list[OfficeItem]:
    """Every item, ticked and snoozed ones too, by due date; a snooze that is over counts no more."""
    found = [
        *_locates(desk),
        *_orders(desk),
        *_gates(desk),
        *_rentals(desk),
        *_calls(desk),
        *_holds(desk),
        *_nights(desk),
        *_cures(desk),
    ]
    return sorted((_marked(desk, item) for item in found), key=lambda i: (i.due, i.kind.value, i.key))


def to_do(items: Iterable[OfficeItem], until: date) -> list[OfficeItem]:
    """The open items due up to `until`, overdue ones included."""
    return [item for item in items if not item.state and item.due <= until]


def _marked(desk: Desk, item: OfficeItem) -> OfficeItem:
    mark = desk.marks.get(item.key)
    if mark is None or (mark.state == SNOOZED and mark.until is not None and mark.until <= desk.today):
        return item
    return replace(item, state=mark.state, until=mark.until)


# ---- utility locates ------------------------------------------------------------------------------------


def _locates(desk: Desk) -> Iterator[OfficeItem]:
    bookings = desk.bookings()
    for code, job in desk.season.jobs.items():
        digs = [b for b in bookings.values() if b.job == code and b.phase in DIGGING]
        if not digs:
            continue
        dig = min(digs, key=lambda b: b.start)
        last = max(b.end for b in digs)
        met = next((g for g in job.gates if g.kind is GateKind.LOCATE and g.met), None)
        asked = _asked(desk, code)
        if asked is None and met is not None:
            asked = ask_by(desk.rule, datetime.combine(met.opens, desk.season.firm.shift_start))
        begun = any(b.job == code for b in desk.season.done)
        if asked is None and not begun:
            yield _ask(desk, code, dig.start)
        elif asked is not None and not begun and not _in_window(desk.rule, asked, dig.start):
            yield _ask_again(desk, code, asked, dig.start)
        elif asked is not None:
            yield from _renewal(desk, code, asked, dig.start, last)


def _asked(desk: Desk, code: str) -> date | None:
    """The day of the latest request that the office has ticked."""
    days = [
        mark.at.date()
        for key, mark in desk.marks.items()
        if mark.state == TICKED
        and mark.at
        and (key == f"locate:{code}" or key.startswith(f"relocate:{code}:"))
    ]
    return max(days, default=None)


def _ask(desk: Desk, code: str, dig: datetime) -> OfficeItem:
    due, first = ask_by(desk.rule, dig), ask_from(desk.rule, dig.date())
    words = f"ask for the utility locate for {code}: digging starts {day_words(dig.date())}"
    if first is not None and first > desk.today:
        words += f"; not before {day_words(first)}"
    pressing = ""
    if due < desk.today:
        clear = clears(desk.rule, datetime.combine(desk.today, desk.season.firm.shift_start))
        pressing = f"too late for {day_words(dig.date())}: asked today it clears {_moment(clear)}"
    return OfficeItem(f"locate:{code}", Kind.LOCATE, due, code, f"{words}; {CAUTION}", pressing)


def _in_window(rule: LocateRule, asked: date, dig: datetime) -> bool:
    last = latest_start(rule, asked)
    return last is None or dig.date() <= last


def _ask_again(desk: Desk, code: str, asked: date, dig: datetime) -> OfficeItem:
    last = latest_start(desk.rule, asked)
    words = (
        f"ask anew for the locate for {code}: asked {day_words(asked)}, it covers a start up to "
        f"{day_words(last)}, digging now starts {day_words(dig.date())}"
    )
    key = f"relocate:{code}:{asked}"
    return OfficeItem(key, Kind.LOCATE, ask_by(desk.rule, dig), code, f"{words}; {CAUTION}")


def _renewal(desk: Desk, code: str, asked: date, dig: datetime, last: datetime) -> Iterator[OfficeItem]:
    end = expires(desk.rule, asked, dig)
    by = renew_by(desk.rule, asked, dig)
    if end is None or by is None or last <= end:
        return
    words = (
        f"renew the locate for {code}: asked {day_words(asked)}, it dies {_moment(end)}, "
        f"ground is open until {day_words(last.date())}"
    )
    pressing = "the marks are no longer valid: stop digging" if end.date() < desk.today else ""
    yield OfficeItem(f"relocate:{code}:{asked}", Kind.RENEW, by, code, f"{words}; {CAUTION}", pressing)


def _moment(moment: datetime) -> str:
    return f"{day_words(moment.date())} {moment:%H:%M}"


# ---- materials, gates, machines -------------------------------------------------------------------------


def _orders(desk: Desk) -> Iterator[OfficeItem]:
    starts: dict[tuple[str, Phase], datetime] = {}
    for b in desk.bookings().values():
        starts[b.job, b.phase] = min(b.start, starts.get((b.job, b.phase), b.start))
    for (code, phase), start in starts.items():
        if any(b.key == WorkKey(code, phase) for b in desk.season.done):
            continue
        job = desk.season.jobs[code]
        for lead in desk.leads.orders:
            amounts = [(item, job.amount(item)) for item in lead.items if job.amount(item) > 0]
            if lead.phase is not phase or not amounts or _delivered(job.gates, phase):
                continue
            due = desk.working_days_before(start.date(), lead.lead_days + lead.spare_days)
            what = ", ".join(_amount(desk.season.firm.units, item, n) for item, n in amounts)
            words = f"order {lead.words} for {code} ({what}): used from {day_words(start.date())}"
            late = desk.working_days_before(start.date(), lead.lead_days) < desk.today
            pressing = f"{lead.lead_days} working days of lead are no longer left" if late else ""
            yield OfficeItem(f"order:{code}:{lead.key}", Kind.ORDER, due, code, words, pressing)


def _delivered(gates: Iterable[Gate], phase: Phase) -> bool:
    return any(g.kind is GateKind.MATERIAL and g.phase is phase and g.met for g in gates)


def _amount(units: str, item: str, amount: float) -> str:
    value, unit = to_shown(amount, ITEMS[item].unit, units)
    number = f"{value:,.0f}" if value >= 10 else f"{value:.1f}".removesuffix(".0")
    return f"{number} {ITEMS[item].words}" if unit == "count" else f"{number} {unit} {ITEMS[item].words}"


_OUTSTANDING = {
    GateKind.DEPOSIT: (Kind.DEPOSIT, "deposit of {} is outstanding"),
    GateKind.PERMIT: (Kind.PERMIT, "permit for {} is outstanding"),
    GateKind.MATERIAL: (Kind.MATERIAL, "delivery for {} is to arrive"),
}


def _gates(desk: Desk) -> Iterator[OfficeItem]:
    bookings = desk.bookings()
    for code, job in desk.season.jobs.items():
        for gate in job.gates:
            if gate.met or gate.kind not in _OUTSTANDING:
                continue
            held = [b.start for b in bookings.values() if b.job == code and b.phase.rank >= gate.phase.rank]
            if not held:
                continue
            kind, said = _OUTSTANDING[gate.kind]
            note = f" ({gate.note})" if gate.note else ""
            words = (
                f"{said.format(code)}{note}: expected {day_words(gate.opens)}, "
                f"{gate.phase.words} planned {day_words(min(held).date())}"
            )
            pressing = "expected by now" if gate.opens < desk.today else ""
            yield OfficeItem(
                f"{kind.value}:{code}:{gate.phase.value}", kind, gate.opens, code, words, pressing
            )


def _rentals(desk: Desk) -> Iterator[OfficeItem]:
    rented = {key: m for key, m in desk.season.machines.items() if m.rented}
    uses: dict[MachineUse, list[Booking]] = {}
    for b in sorted(desk.bookings().values(), key=lambda b: (b.start, b.key)):
        for use in b.machines:
            if use.kind in rented:
                uses.setdefault(use, []).append(b)
    for use, held in uses.items():
        for first, last in _periods(desk, held):
            week = "{}-W{:02}".format(*first.start.date().isocalendar()[:2])
            name = f"{rented[use.kind].words} {use.unit}"
            days = f"{day_words(first.start.date())} to {day_words(last.end.date())}"
            yield OfficeItem(
                f"rent:{use.kind}:{use.unit}:{week}",
                Kind.RENT,
                desk.working_days_before(first.start.date(), desk.leads.book_days),
                first.job,
                f"book the {name} for {days}, first site {first.job}",
            )
            yield OfficeItem(
                f"return:{use.kind}:{use.unit}:{week}",
                Kind.RETURN,
                last.end.date(),
                last.job,
                f"send the {name} back after {last.job}, free from {_moment(last.end)}",
            )


def _periods(desk: Desk, held: Sequence[Booking]) -> Iterator[tuple[Booking, Booking]]:
    """Runs of use with gaps of at most gap_days calendar days between them: first and last booking."""
    first = last = held[0]
    for booking in held[1:]:
        if (booking.start.date() - last.end.date()).days > desk.leads.gap_days:
            yield first, last
            first = booking
        last = booking
    yield first, last


# ---- customers, nights, weekends ------------------------------------------------------------------------


def _calls(desk: Desk) -> Iterator[OfficeItem]:
    begun = {b.job for b in desk.season.done}
    for code, rows in groupby(sorted(desk.bookings().values(), key=lambda b: b.job), key=lambda b: b.job):
        mine = list(rows)
        first, finish = min(b.start for b in mine).date(), max(b.end for b in mine).date()
        promised = desk.season.jobs[code].promised
        told_first, told_finish = desk.told.get(code, (first, finish))
        client = desk.season.jobs[code].client
        if code not in begun and first != told_first:
            words = f"call {client} ({code}): we start {day_words(first)} instead of {day_words(told_first)}"
            yield OfficeItem(f"call:{code}:{first}", Kind.CALL, _before(desk, told_first, first), code, words)
        if promised is not None and finish > promised and finish != told_finish:
            words = f"call {client} ({code}): water in {day_words(finish)}, promised {day_words(promised)}"
            yield OfficeItem(f"late:{code}:{finish}", Kind.CALL, _before(desk, promised, finish), code, words)


def _before(desk: Desk, *days: date) -> date:
    """The working day before the earliest of the days, but not before today."""
    return max(desk.today, desk.working_days_before(min(days), 1))


def _holds(desk: Desk) -> Iterator[OfficeItem]:
    for hold in desk.holds:
        finish = f", water in {day_words(hold.finish)}" if hold.finish else ""
        words = f"place for {hold.job} is held until {day_words(hold.until)}{finish}: ask the customer"
        pressing = "the hold is over" if hold.until < desk.today else ""
        yield OfficeItem(f"hold:{hold.job}:{hold.until}", Kind.HOLD, hold.until, hold.job, words, pressing)


def _nights(desk: Desk) -> Iterator[OfficeItem]:
    """Water that still runs when the crew has gone home."""
    bookings = desk.bookings()
    for key, work in desk.season.works.items():
        opened = bookings.get(WorkKey(key.job, key.phase, key.part - 1))
        if key.part < 2 or opened is None or key not in bookings:
            continue
        hours = max((a.lag_h for a in work.after if a.before == opened.key), default=0.0)
        full = opened.end + timedelta(hours=hours)
        if hours and full > shift(desk.season.firm, opened.end.date())[-1].end:
            words = (
                f"water runs at {key.job} from {_moment(opened.end)} to about {_moment(full)}: "
                "agree who shuts it off and how the level is watched"
            )
            due = opened.end.date()
            yield OfficeItem(f"overnight:{key.job}:{due}", Kind.OVERNIGHT, due, key.job, words)


def _cures(desk: Desk) -> Iterator[OfficeItem]:
    """Cures that end while the firm is closed: the site waits longer than the sheet says."""
    bookings = desk.bookings()
    for key, work in desk.season.works.items():
        for after in work.after:
            before = bookings.get(after.before)
            if before is None or not after.lag_h or after.before.job != key.job or key.part > 1:
                continue
            cured = before.end + timedelta(hours=after.lag_h)
            if key in bookings and not is_working_day(desk.season.firm, cured.date()):
                words = (
                    f"cure at {key.job} ends {_moment(cured)}, a day off ({after.why}): "
                    f"{key.phase.words} goes on {day_words(bookings[key].start.date())}, keep people off"
                )
                due = before.end.date()
                yield OfficeItem(f"cure:{key.job}:{key.phase.value}:{due}", Kind.CURE, due, key.job, words)
