"""Missed checks: hold points without a signature, measures outside their band; open until they are settled.

In: a returned task and the steps that its crew saw. Out: `Miss`es. They are kept in the log's note, a line
each that begins with `MISSED `; what was signed stands in a line that begins with `SIGNED `, the ticks with
their times in one that begins with `TICKED `. A miss is settled by an office mark that carries a word, never
by time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from zlib import crc32

from planner.domain.crew_day.ready import Line
from planner.domain.crew_day.returned import ReturnedTask, Tick
from planner.domain.dates import day_words
from planner.domain.firm.actuals import Log
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import OfficeMark
from planner.domain.wording import figure

MISSED, SIGNED, TICKED = "MISSED ", "SIGNED ", "TICKED "
#: How the lines of a log's note begin that are no words of the crew's own.
CHECKS = (MISSED, SIGNED, TICKED, "checked by ")
#: Longest line of ticks that a note keeps [characters].
LONGEST_TICKS = 1_500
#: How the source of a log begins that a returned sheet made; only there the note holds checks.
FROM_SHEET = "sheet "
#: State of the office mark that settles a miss.
SETTLED = "settled"


@dataclass(frozen=True, slots=True)
class Miss:
    """A tolerance or hold point that was missed. key: the step's; text: what was wrong, in one line."""

    job: str
    phase: Phase
    key: str
    text: str


@dataclass(frozen=True, slots=True)
class LoggedMiss:
    """A miss as the logbook keeps it. key: names it for good, a corrected return included; settled: the
    office's word, "" while it is open.
    """

    key: str
    job: str
    phase: Phase
    crew: str
    day: date
    text: str
    settled: str = ""

    @property
    def words(self) -> str:
        """ "P-014 dig, North, Tue Apr 6: hold point not signed: ..."."""
        return f"{self.job} {self.phase.words}, {self.crew}, {day_words(self.day)}: {self.text}"


def misses_of(entry: ReturnedTask, lines: Sequence[Line], signed: Collection[str] = ()) -> Iterator[Miss]:
    """What the returned task missed of the steps that its crew saw.

    signed: keys of hold points that an earlier return of the same phase signed. The list's order is the order
    of work, so a hold point is due once a later step was ticked or measured, once hours were worked when no
    step stands before it, and at the latest when the phase is finished. A tick without the number that its
    step asks for is no signature; a hold point passed over is a miss with its reason.
    """
    for n, line in enumerate(lines):
        value = entry.values.get(line.key)
        if line.wanted is not None and value is not None and not line.wanted.accepts(value):
            unit = line.wanted.unit
            text = f"{line.wanted.what} {figure(value, unit)} {unit}, wanted {line.wanted.words}"
            yield Miss(entry.job, entry.phase, line.key, text)
        if line.key in entry.passed:
            text = f"hold point passed over ({' '.join(entry.passed[line.key].split())}): {line.text}"
            yield Miss(entry.job, entry.phase, line.key, text)
            continue
        if not line.hold or line.key in signed:
            continue
        if line.key in entry.ticks:
            if line.wanted is not None and value is None:
                text = f"hold point ticked without its number ({line.wanted.what}): {line.text}"
                yield Miss(entry.job, entry.phase, line.key, text)
        elif _due(entry, lines, n):
            yield Miss(entry.job, entry.phase, line.key, f"hold point not signed: {line.text}")


def _due(entry: ReturnedTask, lines: Sequence[Line], n: int) -> bool:
    """True when the hold point at place `n` had to be signed before what was done."""
    share = entry.share_done or 0.0
    if entry.done or share >= 1.0:
        return True
    if (entry.crew_h or share) and all(line.hold for line in lines[:n]):
        return True
    return any(line.key in entry.ticks or line.key in entry.values for line in lines[n + 1 :])


def signed_of(entry: ReturnedTask, lines: Sequence[Line]) -> list[str]:
    """Keys of the hold points that the return signs: ticked, and measured inside the band where it asks."""
    found = []
    for line in lines:
        value = entry.values.get(line.key)
        measured = line.wanted is None or (value is not None and line.wanted.accepts(value))
        if line.hold and line.key in entry.ticks and measured and line.key not in entry.passed:
            found.append(line.key)
    return found


def note_lines(misses: Iterable[Miss], signed: Sequence[str], order: Sequence[Tick] = ()) -> list[str]:
    """What the log's note keeps of a return's checks; order: the ticks as they were made."""
    kept = [f"{MISSED}{' '.join(m.text.split())}" for m in misses]
    kept += [f"{SIGNED}{', '.join(signed)}"] if signed else []
    return [*kept, f"{TICKED}{ticks_words(order)}"] if order else kept


def ticks_words(order: Sequence[Tick]) -> str:
    """The ticks in order: "7:05 locate, 7:40 benchmark (Bo)"; a very long line ends with how many more."""
    said: list[str] = []
    for n, tick in enumerate(order):
        who = f" ({' '.join(tick.who.split())})" if tick.who.strip() else ""
        said.append(f"{tick.minute // 60}:{tick.minute % 60:02d} {tick.key}{who}")
        if sum(map(len, said)) > LONGEST_TICKS:
            return ", ".join(said) + f", and {len(order) - n - 1} more"
    return ", ".join(said)


def missed_in(log: Log) -> list[str]:
    """The missed tolerances and hold points that a returned sheet left in a log's note."""
    return [line.removeprefix(MISSED) for line in _checks(log) if line.startswith(MISSED)]


def signed_in(logs: Iterable[Log], job: str, phase: Phase) -> frozenset[str]:
    """Keys of the hold points that returned sheets signed in this phase of the job."""
    return frozenset(
        key
        for log in logs
        if log.job == job and log.phase is phase
        for line in _checks(log)
        if line.startswith(SIGNED)
        for key in line.removeprefix(SIGNED).split(", ")
    )


def _checks(log: Log) -> list[str]:
    return log.note.splitlines() if log.source.startswith(FROM_SHEET) else []


def own_note(note: str) -> str:
    """What a person wrote into a log's note, without the checks, on one line."""
    return " ".join(line for line in note.splitlines() if not line.startswith(CHECKS))


@dataclass(frozen=True, slots=True)
class CrewNote:
    """What a lead wrote to the office. key: names it for good; place: "P-014 dig, North, Tue Apr 6"."""

    key: str
    job: str
    day: date
    place: str
    text: str


def crew_notes(logs: Iterable[Log]) -> list[CrewNote]:
    """The notes of returned sheets, oldest first; notes of hours that the office logged are its own."""
    found = {}
    for log in sorted(logs, key=lambda entry: (entry.day, entry.id)):
        text = own_note(log.note).removeprefix("note: ") if log.source.startswith(FROM_SHEET) else ""
        if text:
            name = f"{crc32(f'{log.crew}/{text}'.encode()):08x}"
            key = f"note:{log.job}:{log.phase.value}:{log.day}:{name}"
            place = f"{log.job} {log.phase.words}, {log.crew}, {day_words(log.day)}"
            found[key] = CrewNote(key, log.job, log.day, place, text)
    return list(found.values())


def checked_lines(note: str) -> list[str]:
    """What a log's note says of signed hold points, of the ticks with their times and of who checked."""
    kept = [line for line in note.splitlines() if line.startswith(CHECKS[1:])]
    for word in (SIGNED, TICKED):
        kept = [
            line.replace(word, f"{word.strip().lower()}: ", 1) if line.startswith(word) else line
            for line in kept
        ]
    return kept


def misses_in(log: Log, misses: Iterable[LoggedMiss]) -> list[LoggedMiss]:
    """Those of the misses that this entry tells of."""
    texts = missed_in(log)
    place = (log.job, log.phase, log.crew, log.day)
    return [m for m in misses if (m.job, m.phase, m.crew, m.day) == place and m.text in texts]


def logged_misses(logs: Iterable[Log], marks: Mapping[str, OfficeMark]) -> list[LoggedMiss]:
    """Every miss of the logbook, oldest first, settled ones too."""
    found = {}
    noted = [log for log in logs if MISSED in log.note]
    for log in sorted(noted, key=lambda entry: (entry.day, entry.id)):
        for text in missed_in(log):
            name = f"{crc32(f'{log.crew}/{text}'.encode()):08x}"
            key = f"missed:{log.job}:{log.phase.value}:{log.day}:{name}"
            mark = marks.get(key)
            word = mark.word if mark is not None and mark.state == SETTLED else ""
            found[key] = LoggedMiss(key, log.job, log.phase, log.crew, log.day, text, word)
    return list(found.values())


def open_misses(logs: Iterable[Log], marks: Mapping[str, OfficeMark]) -> tuple[LoggedMiss, ...]:
    """The misses that nobody has settled, oldest first."""
    return tuple(miss for miss in logged_misses(logs, marks) if not miss.settled)
