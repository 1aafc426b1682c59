"""The returned sheet as text: what the phone sends back by message or file, packed and checked.

A return is a JSON list, UTF-8, in base 32 (RFC 4648, no padding: nothing that a messenger restyles or that
loses its case), between `DAYSHEET-` and a CRC-32 of the bytes:

    [3, crew, day, plan, mark, checked by,
        [[job, phase, part, crew-hours, people, percent done, done, hours lost, why, note,
          [keys of ticked steps], {key: value},
          [key or [key, hold, text, what, unit, target, low, high], ...] or null,
          [[place among the ticked keys, minute of the day, who] ...], {key of a hold point: reason}], ...]]

The list after the values is what the crew's own sheet asked, in order: hold points and measures with their
bands, of other steps the key alone; null in a text made short for a scan code. A return is judged by that,
whatever the office has changed since. Then the ticks in the order in which they were made, and the hold
points that were not done: passed over for a reason, or, with an empty reason, not reached that day.
Version 1 had numbers for ticks and no list of what was asked, version 2 ended with that list.
Blanks and line breaks inside are ignored. The sum finds a cut or mistyped text; it is no signature.
"""

from __future__ import annotations

import base64
import binascii
import json
import math
import re
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NoReturn

from planner.domain.crew_day.pieces import joined
from planner.domain.crew_day.ready import Line, Wanted
from planner.domain.firm.phases import Phase
from planner.errors import BadInput

VERSION, OLDEST = 3, 1
_TEXT = re.compile(r"DAYSHEET-([A-Z2-7\s]+)-\s*([0-9A-F\s]{8,16})", re.IGNORECASE | re.ASCII)
_FIX = "ask the crew lead to send the whole text again"
#: Longest text that is looked through, and longest note and name in it [characters].
LONGEST_TEXT, LONGEST_NOTE, LONGEST_NAME, LONGEST_REASON = 400_000, 2_000, 600, 300


@dataclass(frozen=True, slots=True)
class Tick:
    """A step as it was ticked. minute: of the day, by the phone's clock; who: "" when that is not said."""

    key: str
    minute: int
    who: str = ""


@dataclass(frozen=True, slots=True)
class ReturnedTask:
    """One task as it came back. crew_h None: no hours filled in; share_done: of this part, 0 to 1.

    ticks: keys of the ticked steps; values: step key -> what was measured, in the sheet's units; asked: the
    hold points and measures as this crew's sheet had them, None when the text does not say; order: the ticks
    in the order in which they were made; passed: key of a hold point that work went past -> why; later: keys
    of hold points that were not reached that day.
    """

    job: str
    phase: Phase
    part: int
    crew_h: float | None = None
    people: int = 0
    share_done: float | None = None
    done: bool = False
    lost_h: float = 0.0
    why: str = ""
    note: str = ""
    ticks: frozenset[str] = frozenset()
    values: Mapping[str, float] = field(default_factory=dict)
    asked: tuple[Line, ...] | None = ()
    order: tuple[Tick, ...] = ()
    passed: Mapping[str, str] = field(default_factory=dict)
    later: frozenset[str] = frozenset()

    @property
    def key(self) -> str:
        """Short name of the task within its sheet: "P-014/dig/1"."""
        return f"{self.job}/{self.phase.value}/{self.part}"

    @property
    def empty(self) -> bool:
        """Nothing at all was filled in."""
        said = self.crew_h is not None or self.share_done is not None or self.done or self.lost_h or self.note
        return not (said or self.ticks or self.values or self.passed)


@dataclass(frozen=True, slots=True)
class ReturnedSheet:
    """One crew's day as it came back. mark: the sheet's own; digest: the check sum of this text."""

    crew: str
    day: date
    plan_number: int
    mark: str
    checked_by: str
    tasks: tuple[ReturnedTask, ...]
    digest: str = ""


def encode(sheet: ReturnedSheet) -> str:
    """The text of a return; the phone page makes the same."""
    rows = [_task_row(task) for task in sheet.tasks]
    head = [VERSION, sheet.crew, sheet.day.isoformat(), sheet.plan_number, sheet.mark, sheet.checked_by]
    raw = json.dumps([*head, rows], ensure_ascii=False, separators=(",", ":")).encode()
    return f"DAYSHEET-{base64.b32encode(raw).decode().rstrip('=')}-{zlib.crc32(raw):08X}"


def _task_row(t: ReturnedTask) -> list[Any]:
    ticked = sorted(t.ticks)
    return [
        *(t.job, t.phase.value, t.part, t.crew_h, t.people),
        None if t.share_done is None else round(100 * t.share_done),
        *(int(t.done), t.lost_h, t.why, t.note, ticked, dict(t.values)),
        None if t.asked is None else [_asked_row(line) for line in t.asked],
        [
            [ticked.index(tick.key), tick.minute, *filter(None, [tick.who])]
            for tick in t.order
            if tick.key in ticked
        ],
        {**t.passed, **dict.fromkeys(sorted(t.later), "")},
    ]


def _asked_row(line: Line) -> str | list[Any]:
    wanted = line.wanted
    if wanted is None and not line.hold:
        return line.key
    measure = (
        [wanted.what, wanted.unit, wanted.target, wanted.low, wanted.high]
        if wanted
        else [""] * 2 + [None] * 3
    )
    return [line.key, int(line.hold), line.text if line.hold else "", *measure]


def decode_all(text: str) -> list[ReturnedSheet]:
    """Every return found in `text` (a message, a file); BadInput when there is none or one is damaged."""
    if len(text) > LONGEST_TEXT:
        raise BadInput("return", f"{len(text)} characters", "that is no returned sheet: send its text alone")
    text = joined(text)
    found = [_decode(body, check) for body, check in _TEXT.findall(text)]
    if not found or text.upper().count("DAYSHEET-") != len(found):
        _refuse(text, f"the text is cut off or is no returned sheet: {_FIX}")
    return found


def _decode(body: str, check: str) -> ReturnedSheet:
    packed, wanted = "".join(body.split()).upper(), "".join(check.split()).upper()[:8]
    try:
        raw = base64.b32decode(packed + "=" * (-len(packed) % 8))
    except binascii.Error:
        _refuse(packed, f"the text is cut off: {_FIX}")
    if f"{zlib.crc32(raw):08X}" != wanted or base64.b32encode(raw).decode().rstrip("=") != packed:
        _refuse(packed, f"the check sum does not fit, the text was cut or changed: {_FIX}")
    try:
        return _sheet(json.loads(raw.decode()), wanted)
    except (ValueError, TypeError, KeyError, RecursionError, OverflowError):
        _refuse(packed, "the text is whole but does not read as a returned sheet of this planner")


def _refuse(text: str, fix: str) -> NoReturn:
    short = text.strip()[:24]
    raise BadInput("return", short, fix)


def _sheet(row: Any, digest: str) -> ReturnedSheet:
    version, crew, day, plan_number, mark, checked_by, tasks = row
    if version not in range(OLDEST, VERSION + 1) or not isinstance(tasks, list) or len(tasks) > 50:
        raise ValueError
    return ReturnedSheet(
        crew=_text(crew, LONGEST_NAME),
        day=date.fromisoformat(_text(day, 10)),
        plan_number=_whole(plan_number, 0, 10**9),
        mark=_text(mark, 16),
        checked_by=_text(checked_by, LONGEST_NAME),
        tasks=tuple(_task(*_NOW[version](*entry)) for entry in tasks),
        digest=digest,
    )


def _entry_of_1(*row: Any) -> list[Any]:
    """A task of version 1: its ticks are numbers of lines that nobody can name any more."""
    *said, ticks, values = row
    int(_text(ticks, 100), 16)
    return [*said, [], values, None, [], {}]


def _entry_of_2(*row: Any) -> list[Any]:
    """A task of version 2: nothing of the order of its ticks and of hold points passed over."""
    return [*row, [], {}]


#: How a task of each version becomes one of the newest.
_NOW: dict[int, Callable[..., list[Any]]] = {1: _entry_of_1, 2: _entry_of_2, 3: lambda *row: list(row)}


def _task(*row: Any) -> ReturnedTask:
    *row, order, answers = row  # type: ignore[assignment]
    job, phase, part, crew_h, people, percent, done, lost_h, why, note, ticks, values, asked = row
    if not isinstance(order, list) or not isinstance(answers, dict) or max(len(order), len(answers)) > 200:
        raise ValueError
    if not isinstance(values, dict) or len(values) > 200 or not isinstance(ticks, list) or len(ticks) > 200:
        raise ValueError
    if asked is not None and (not isinstance(asked, list) or len(asked) > 200):
        raise ValueError
    return ReturnedTask(
        job=_text(job, LONGEST_NAME),
        phase=Phase(phase),
        part=_whole(part, 1, 2),
        crew_h=None if crew_h is None else _figure(crew_h, 0, 24),
        people=_whole(people, 0, 99),
        share_done=None if percent is None else _figure(percent, 0, 100) / 100,
        done=bool(done),
        lost_h=_figure(lost_h, 0, 24),
        why=_text(why, LONGEST_NOTE),
        note=_text(note, LONGEST_NOTE),
        ticks=frozenset(_text(k, 80) for k in ticks),
        values={_text(k, 80): _figure(v, -1e6, 1e6) for k, v in values.items()},
        asked=None if asked is None else tuple(_asked(line) for line in asked),
        order=tuple(_tick(ticks, *entry) for entry in order),
        passed={_text(k, 80): _text(why, LONGEST_REASON) for k, why in answers.items() if why != ""},
        later=frozenset(_text(k, 80) for k, why in answers.items() if why == ""),
    )


def _tick(ticks: list[str], place: Any, minute: Any, who: Any = "") -> Tick:
    return Tick(ticks[_whole(place, 0, len(ticks) - 1)], _whole(minute, 0, 24 * 60 - 1), _text(who, 80))


def _asked(row: Any) -> Line:
    if isinstance(row, str):
        return Line(_text(row, 80), "")
    key, hold, text, what, unit, *band = row
    target, low, high = (None if v is None else _figure(v, -1e6, 1e6) for v in band)
    wanted = Wanted(_text(what, 200), _text(unit, 20), target, low, high) if what else None
    return Line(_text(key, 80), _text(text, LONGEST_NAME), bool(hold), wanted)


def _text(value: Any, longest: int) -> str:
    if not isinstance(value, str) or len(value) > longest:
        raise ValueError
    return value


def _figure(value: Any, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError
    if not math.isfinite(value) or not low <= value <= high:
        raise ValueError
    return float(value)


def _whole(value: Any, low: int, high: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise ValueError
    return value
