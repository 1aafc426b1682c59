"""Stale plans: which facts changed since a plan was made in a way that can move it, and what it knew.

In: the history since the plan's mark. Out: `Moved` facts in words, or the roster as the plan knew it. A
phone number, a note, a gate ticked before its day (its date holds, met or not) move no plan; nor does what
was taken back, nor what only forbids what the plan does not do: a gate that opens before its work, a day
off on which nobody was to work. A tick on a gate whose day had passed when the plan was made lets work go on.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, TypeVar

from planner.domain.dates import day_words, span_words
from planner.domain.firm.crews import Crew, Machine, Truck
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import GateKind, Job, Status
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.people import hosted
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import Change, Moved, OfficeMark
from planner.domain.plain import from_plain
from planner.domain.season.plan import Booking, Plan
from planner.domain.standing.order_gates import OrderFile, order_standings, waiting
from planner.domain.standing.roster import Roster
from planner.domain.standing.trade_gates import NOT_ASKED

T = TypeVar("T")

#: Fields that no plan depends on, by noun: what people read, and what only shapes the day sheet.
_QUIET: Mapping[str, frozenset[str]] = {
    "job": frozenset(
        {"client", "address", "phone", "notes", "site_notes", "depth_in", "shelves", "waterfall", "repeats"}
    ),
    "crew": frozenset({"lead"}),
    "machine": frozenset({"words"}),
    "truck": frozenset({"words", "payload_lb"}),
    "firm": frozenset({"name", "units"}),
    "log": frozenset({"id", "source", "note", "people", "lost_h", "lost_why"}),
    "lost": frozenset({"id", "note"}),
}
#: Words inside lists (gates, days off, quantities) that no plan depends on.
_QUIET_INSIDE = frozenset({"note", "why", "origin"})
#: Gates that open on the day that was entered.
_OWN_GATES = frozenset({GateKind.START, GateKind.DEPOSIT, GateKind.PERMIT})
#: What the office says of an order: the first word of the mark's key.
_ORDERED = frozenset({"order", "arrives", "here"})
_PLANNED = frozenset({Status.SOLD.value, Status.UNDER_WAY.value})
_FIELDS = {
    "lines": "quantities",
    "promised": "promised date",
    "pins": "pinned work",
    "blackouts": "customer's dates",
    "needs": "crew or machine needs",
    "latitude_deg": "place",
    "longitude_deg": "place",
    "out": "days out of order",
    "tows_lb": "what it may tow",
    "tows_day": "machines brought in a day",
    "towed_lb": "weight on its trailer",
    "rented": "own or rented",
    "depot_latitude_deg": "depot",
    "depot_longitude_deg": "depot",
    "rate_edition": "rate edition",
}
_NOW = {
    Status.INQUIRY.value: "is an inquiry again",
    Status.SOLD.value: "is sold",
    Status.UNDER_WAY.value: "is under way",
    Status.DONE.value: "is finished",
    Status.CANCELLED.value: "is cancelled",
}
#: So many changes, and fields of one, are named; the rest is counted.
NAMED = 3


def moved_facts(
    changes: Iterable[Change], planned: Container[str], plan: Plan, today: date
) -> tuple[Moved, ...]:
    """What changed that can move the plan, oldest first, and by when to act; empty when it is not stale.

    changes: the history since the plan's mark; planned: codes of the jobs that are planned now. Hours and
    waits of other jobs move nothing.
    """
    made = plan.made_at.date()
    found: dict[Moved, None] = {}
    for (noun, key), values in _net(changes).items():
        before, after = (_ticks_that_count(value, made) if noun == "job" else value for value in values)
        if noun == "job" and before and after:
            after = {**after, "gates": _gates_that_hold(before["gates"], after["gates"], key, plan, today)}
        if noun not in _QUIET or _weight(noun, before) == _weight(noun, after, before):
            continue
        moved = _told(noun, key, before, after, planned)
        if moved is not None:
            span = _span(noun, before, after)
            if span and noun != "lost":
                days = span_words(span.first, span.last)
                moved = replace(moved, words=f"{moved.words.removesuffix(')')}, {days})")
            about = (moved, span, after or before, plan.bookings)
            if span is None or not span.forbids or any(_touched(*about, min(made, today))):
                found[replace(moved, by=min(_touched(*about, today), default=None))] = None
    return tuple(found)


def moved_orders(
    changes: Iterable[Change],
    jobs: Mapping[str, Job],
    plan: Plan,
    file: OrderFile,
    begun: Container[tuple[str, Phase]] = (),
) -> tuple[Moved, ...]:
    """The orders about which the office said since the plan was made what can move it, by job.

    It can when material that had not come on its day is here after all, or when it comes after work that
    needs it; one that is here before its day holds up nothing. file: what the office knows now; begun: (job,
    phase) that waits for nothing any more.
    """
    ticks = {
        key: before
        for (noun, key), (before, _) in _net(c for c in changes if c.at >= plan.made_at).items()
        if noun == "office" and key.split(":")[0] in _ORDERED
    }
    made = plan.made_at.date()
    marks = {key: mark for key, mark in file.marks.items() if key not in ticks}
    known = {key: from_plain(OfficeMark, before) for key, before in ticks.items() if before}
    then = replace(file, marks={**marks, **known}, today=made)
    found = []
    for code in sorted({key.split(":")[1] for key in ticks} & jobs.keys()):
        for was, now in zip(
            order_standings(then, jobs[code]), order_standings(file, jobs[code]), strict=True
        ):
            held = waiting(jobs[code], now)
            starts = [
                b.start.date()
                for b in plan.bookings
                if b.job == code and b.phase in held and (code, b.phase) not in begun
            ]
            day = file.today if now.here else now.arrives
            sooner = was.was is not None and day < was.arrives
            if was.words != now.words and starts and (sooner or day > min(starts)):
                words = f"{now.lead.words} of {code}: {now.words}"
                found.append(Moved("office", code, words, max(file.today, min(starts))))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Span:
    """The days to which a change is bound. forbids: it only takes these days away."""

    first: date
    last: date
    forbids: bool


def _span(noun: str, before: Any, after: Any) -> _Span | None:
    """The days that a change is about; None when it is not about days alone.

    Lost time, and of a crew or a machine the days off, away, lent or out of order.
    """
    if noun == "lost":
        days = from_plain(LostTime, after or before).days
        return _Span(days.first, days.last, before is None)
    if noun not in {"crew", "machine"} or not (before and after):
        return None
    if _weight(noun, _dayless(before)) != _weight(noun, _dayless(after)):
        return None
    was, now = set(_days_in(before)), set(_days_in(after))
    changed = was ^ now
    first, last = (date.fromisoformat(pick(row[n] for row in changed)) for n, pick in ((1, min), (2, max)))
    return _Span(first, last, not was - now and before.get("guests") == after.get("guests"))


def _is_days(value: Any) -> bool:
    """True for a range of days, or what is only about one: a machine's days out of order."""
    return isinstance(value, dict) and ("days" in value or {"first", "last"} <= value.keys())


def _dayless(value: Any) -> Any:
    """A plain value without its ranges of days."""
    if isinstance(value, dict):
        return {k: _dayless(v) for k, v in value.items()}
    return [_dayless(v) for v in value if not _is_days(v)] if isinstance(value, list) else value


def _days_in(value: Any, whose: str = "") -> Iterator[tuple[str, str, str]]:
    """(whose, first, last) of the ranges of days in a plain value."""
    if _is_days(value):
        days = value.get("days", value)
        yield f"{whose} {value.get('units', '')}", days["first"], days["last"]
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield from _days_in(inner, f"{whose} {value.get('name', '')} {name}")
    elif isinstance(value, list):
        for inner in value:
            yield from _days_in(inner, whose)


def _touched(
    moved: Moved, span: _Span | None, value: Any, bookings: Iterable[Booking], today: date
) -> Iterator[date]:
    """The next day, from today on, of each booking that the change touches."""
    entry = from_plain(LostTime, value) if moved.noun == "lost" else None
    first, last = (span.first, span.last) if span else (today, date.max)
    for b in bookings:
        names = {b.job, *b.crews, *(use.kind for use in b.machines)}
        key = entry.target if entry else moved.key
        if moved.noun == "firm" or key in names or (entry and entry.kind is LostKind.RAIN):
            day = max(today, first, b.start.date())
            if day <= min(last, b.end.date()):
                yield day


def touching(
    moved: Iterable[Moved], lost: Iterable[LostTime], names: Container[str], day: date
) -> tuple[Moved, ...]:
    """Those of the moved facts that touch a day's work; hours that came back change no day by themselves.

    lost: the lost time that stands; names: the day's crew, jobs and kinds of machines.
    """
    entries = {str(entry.id): entry for entry in lost}

    def hits(one: Moved) -> bool:
        entry = entries.get(one.key) if one.noun == "lost" else None
        if entry is not None:
            everywhere = entry.kind is LostKind.RAIN and not entry.target
            return day in entry.days and (everywhere or entry.target in names)
        return one.noun == "firm" or (one.noun in {"job", "crew", "machine"} and one.key in names)

    return tuple(filter(hits, moved))


def stale_words(moved: Collection[Moved]) -> str:
    """What changed since the plan was made and by when to act; "" for a plan that is not stale.

    "stale: since it was made P-04 is cancelled; hours of P-01; act before the work of Tue Apr 6".

    >>> stale_words([Moved("crew", "Heron", "crew Heron is gone")])
    'stale: since it was made crew Heron is gone'
    """
    words = [m.words for m in moved]
    if not words:
        return ""
    more = f"; and {len(words) - NAMED} more" if len(words) > NAMED else ""
    by = min((m.by for m in moved if m.by), default=None)
    act = f"; act before the work of {day_words(by)}" if by else ""
    return f"stale: since it was made {'; '.join(words[:NAMED])}{more}{act}"


def as_known(roster: Roster, changes: Iterable[Change]) -> Roster:
    """The roster as it was before `changes`."""
    firm, jobs = roster.firm, dict(roster.jobs)
    crews, machines, trucks = dict(roster.crews), dict(roster.machines), dict(roster.trucks)
    lost = {str(entry.id): entry for entry in roster.lost}
    for (noun, key), (before, _) in _net(changes).items():
        if noun == "firm":
            firm = Firm() if before is None else from_plain(Firm, before)
        elif noun == "job":
            _put_back(jobs, key, None if before is None else _job(before))
        elif noun == "crew":
            _put_back(crews, key, None if before is None else from_plain(Crew, before))
        elif noun == "machine":
            _put_back(machines, key, None if before is None else from_plain(Machine, before))
        elif noun == "truck":
            _put_back(trucks, key, None if before is None else from_plain(Truck, before))
        elif noun == "lost":
            _put_back(lost, key, None if before is None else from_plain(LostTime, before))
    hosts = {crew.name: crew for crew in hosted(crews.values())}
    return Roster(firm, jobs, hosts, machines, tuple(lost.values()), trucks=trucks)


def _job(before: Mapping[str, Any]) -> Job:
    return from_plain(Job, {name: value for name, value in before.items() if name != "rate_edition"})


def _put_back(shelf: dict[str, T], key: str, before: T | None) -> None:
    if before is None:
        shelf.pop(key, None)
    else:
        shelf[key] = before


def _net(changes: Iterable[Change]) -> dict[tuple[str, str], tuple[Any, Any]]:
    """(noun, key) -> its plain value before the first of the changes and after the last."""
    found: dict[tuple[str, str], tuple[Any, Any]] = {}
    for change in sorted(changes, key=lambda c: c.id):
        key = (change.noun, change.key)
        first = found[key][0] if key in found else _plain(change.before)
        found[key] = (first, _plain(change.after))
    return found


def _plain(text: str | None) -> Any:
    return None if text is None else json.loads(text)


def _weight(noun: str, value: Any, before: Any = None) -> Any:
    """What of a plain value can move a plan; None for what moves none.

    A job's first rate edition is the one that the plan was made with.
    """
    if value is None or (noun == "job" and value["status"] not in _PLANNED):
        return None
    if noun == "log" and not (value["crew_h"] or value["done"] or value["share_done"] is not None):
        return None
    kept = {name: _bare(v) for name, v in value.items() if name not in _QUIET[noun] and v != []}
    if noun == "job":
        kept["status"] = "planned"
        kept["rate_edition"] = value["rate_edition"] if (before or value)["rate_edition"] else None
    return kept


def _ticks_that_count(job: Any, made: date) -> Any:
    """A job's plain value without the ticks on gates that were still to come when the plan was made.

    The plan reckoned with their day. Of a gate whose day had passed it reckoned with the next possible one.
    """
    if job is None:
        return None
    first = made.isoformat()
    gates = [
        gate if gate["opens"] < first and gate["kind"] not in NOT_ASKED else {**gate, "met": False}
        for gate in job["gates"]
    ]
    return {**job, "gates": gates}


def _gates_that_hold(
    before: Sequence[Any], after: Sequence[Any], job: str, plan: Plan, today: date
) -> list[Any]:
    """The gates without what is new in them and holds nothing: the plan's work begins when they are open.

    Those of the office and the customer alone; who comes from outside, a locate, material may open later
    than on the day that was entered.
    """
    was = {(gate["kind"], gate["phase"]): gate for gate in before}
    found = []
    for gate in after:
        old = was.get((gate["kind"], gate["phase"]))
        later = old is None or (gate["opens"] > old["opens"] and {**gate, "opens": 0} == {**old, "opens": 0})
        rank = Phase(gate["phase"]).rank
        starts = [b.start.date() for b in plan.bookings if b.job == job and b.phase.rank >= rank]
        opens = date.fromisoformat(gate["opens"])
        sure = gate["met"] or opens >= today or gate["kind"] == GateKind.START
        if later and starts and opens <= min(starts) and sure and gate["kind"] in _OWN_GATES:
            found += [old] if old else []
        else:
            found.append(gate)
    return found


def _bare(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _bare(v) for k, v in value.items() if k not in _QUIET_INSIDE}
    return [_bare(v) for v in value] if isinstance(value, list) else value


def _told(noun: str, key: str, before: Any, after: Any, planned: Container[str]) -> Moved | None:
    if noun == "job":
        return Moved(noun, key, f"{key} {_job_words(before, after)}")
    if noun == "log":
        job = (after or before)["job"]
        return Moved(noun, job, f"hours of {job}") if job in planned else None
    if noun == "lost":
        return _lost(key, before, after, planned)
    if noun == "firm":
        return Moved(noun, key, f"the firm is changed ({_fields(noun, before or {}, after or {})})")
    if before is None or after is None:
        return Moved(noun, key, f"{noun} {key} {'is new' if before is None else 'is gone'}")
    return Moved(noun, key, f"{noun} {key} is changed ({_fields(noun, before, after)})")


def _job_words(before: Any, after: Any) -> str:
    if after is None:
        return "is gone"
    if before is None or before["status"] != after["status"]:
        return _NOW[after["status"]]
    return f"is changed ({_fields('job', before, after)})"


def _fields(noun: str, before: Any, after: Any) -> str:
    changed = [
        name
        for name in {**before, **after}
        if name not in _QUIET[noun] and _given(before, name) != _given(after, name)
    ]
    told = (_parts(name, before.get(name), after.get(name)) for name in changed)
    words = list(dict.fromkeys(word for words in told for word in words))
    return ", ".join(words[:NAMED]) + (f" and {len(words) - NAMED} more" if len(words) > NAMED else "")


def _parts(name: str, before: Any, after: Any) -> list[str]:
    """A field that is changed, in words; of gates and money weights each one that is."""
    if name == "gates":
        return _gates(before or (), after or ())
    if name == "weights" and before and after:
        return [f"weight {key}" for key in after if after[key] != before.get(key)]
    return [_FIELDS.get(name, name.replace("_", " "))]


def _given(value: Any, name: str) -> Any:
    """A field's value; a list that a record of an earlier release lacks is an empty one."""
    return _bare(value.get(name)) if value.get(name) != [] else None


def _gates(before: Iterable[Any], after: Iterable[Any]) -> list[str]:
    """What became of each gate: "permit ticked off", "deposit moved"."""
    was, now = ({(g["kind"], g["phase"]): g for g in gates} for gates in (before, after))
    words = []
    for key in {**was, **now}:
        old, new = was.get(key), now.get(key)
        if old is None or new is None:
            words.append(f"{key[0]} {'added' if old is None else 'taken away'}")
        elif (old["opens"], old.get("day_part")) != (new["opens"], new.get("day_part")):
            words.append(f"{key[0]} moved")
        elif old["met"] != new["met"]:
            words.append(f"{key[0]} {'ticked off' if new['met'] else 'no longer ticked off'}")
    return words


def _lost(key: str, before: Any, after: Any, planned: Container[str]) -> Moved | None:
    entry = from_plain(LostTime, after or before)
    if entry.kind.value in {"late delivery", "failed inspection"} and entry.target not in planned:
        return None
    days = span_words(entry.days.first, entry.days.last)
    what = " ".join(filter(None, (entry.kind.value, entry.target, days)))
    return Moved("lost", key, what if after is not None else f"{what} was taken back")
