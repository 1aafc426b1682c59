"""A time clock's CSV file from text to logged hours, once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, TypeVar

from planner.domain.firm import entry
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.domain.firm.people import home_of
from planner.domain.firm.phases import Phase
from planner.domain.hours.clock import (
    ClockDay,
    ClockReading,
    Does,
    Punch,
    against_log,
    clocked_days,
    doubts,
    slips,
)
from planner.domain.hours.clock_words import NEEDED, NOT_LOGGED, ClockWords, as_text, words_of
from planner.domain.hours.logbook import check_entry
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput, PlannerError, refuse
from planner.flow.crew_day.sheet import find_crew
from planner.flow.hours.logs import keep_entry
from planner.flow.keeping.cells import Row, Sheet, read_sheet, several
from planner.flow.keeping.paths import beside, write
from planner.store.engine import Store
from planner.store.shipped.own_file import own_text, table_of

if TYPE_CHECKING:
    from planner.store.books import Book

V = TypeVar("V")


#: What was told of the clock's words lies beside the database.
FILE = "clock.toml"


def kept_words(location: str) -> ClockWords:
    """What was told before; the usual names when nothing was. BadInput for a file that cannot be read."""
    place = beside(location, FILE)
    text = own_text(place.parent, FILE)
    return ClockWords() if text is None else words_of(table_of(text, str(place)), FILE)


def remember(location: str, tell: Callable[[ClockWords], ClockWords]) -> ClockWords:
    """The words with what is told now, kept for the next file."""
    before = kept_words(location)
    words = tell(before)
    if words != before:
        place = beside(location, FILE)
        place.parent.mkdir(parents=True, exist_ok=True)
        write(place, as_text(words))
    return words


def read_clock(location: str, name: str, raw: bytes, words: ClockWords, today: date) -> ClockReading:
    """A file read and judged against the log; nothing is changed. Raises BadInputs with every fault."""
    sheet = _sheet_of(name, raw, words)
    with Store(location).reading() as book:
        return _judged(book, sheet, words, today)


def _sheet_of(name: str, raw: bytes, words: ClockWords) -> Sheet:
    sheet = read_sheet(name, raw, None, [])
    _check_columns(sheet, words)
    return sheet


def _check_columns(sheet: Sheet, words: ClockWords) -> None:
    missing = [part for part in NEEDED if words.column(part) not in sheet.columns]
    if words.column("crew") in sheet.columns:
        missing = [part for part in missing if part != "person"]
    fix = f'say which it is, like --column "{{}}=..."; the file has: {", ".join(sheet.columns)}'
    where = f"{sheet.name} line 1"
    refuse(BadInput("column", words.column(part), fix.format(part), where=where) for part in missing)


def log_clock(
    location: str,
    who: str,
    name: str,
    raw: bytes,
    words: ClockWords,
    today: date,
    *,
    accept: bool = False,
    how: str = "say --accept",
) -> list[Log]:
    """Log what the log has not; all of it or nothing. Raises PlannerError for questions without `accept`.

    how: the way to accept, where the person sits.
    """
    sheet = _sheet_of(name, raw, words)
    with Store(location).writing(who=who) as book:
        reading = _judged(book, sheet, words, today)
        if reading.questions and not accept:
            raise PlannerError(f"not logged ({'; '.join(reading.questions)}): {how} to log it all the same")
        sizes = {crew.name: crew.size for crew in book.crews()}
        for day in reading.to_log:
            if day.old is not None:
                book.remove_log(day.old.id)
        return [
            keep_entry(book, location, d.as_log(sizes[d.crew]), today=today).entry for d in reading.to_log
        ]


def _judged(book: Book, sheet: Sheet, words: ClockWords, today: date) -> ClockReading:
    crews = {crew.name: crew for crew in book.crews()}
    jobs = {job.code: job for job in book.jobs()}
    punches, faults, left_out_h = [], [], 0.0
    told: set[tuple[str, object]] = set()  # an unknown word is told once, where it stands first
    for row in sheet.rows:
        read = _Stretch(sheet, row, words, crews, list(jobs))
        punch = read.punch()
        faults += [f for f in read.faults if (f.field, f.value) not in told or f.field in {"in", "out"}]
        told |= {(f.field, f.value) for f in read.faults}
        if punch is None or read.faults:
            continue
        if read.not_logged:
            left_out_h += punch.labour_h
        else:
            punches.append(punch)
    faults += [sheet.at(fault, line, words.column(fault.field)) for line, fault in slips(punches, today)]
    if faults:
        raise several(faults)
    firm = book.firm()
    bare = clocked_days(punches, firm.meal_break_min / 60 if words.less_meal else 0.0)
    logs = book.logs()
    days = [against_log(day, crews[day.crew].size, logs) for day in bare]
    faults = _against_facts(days, logs, crews, jobs, firm, sheet, words, today)
    if faults:
        raise several(faults)
    asked = doubts(days, {name: crew.size for name, crew in crews.items()})
    return ClockReading(tuple(days), tuple(asked), round(left_out_h, 4))


def _against_facts(
    days: Sequence[ClockDay],
    logged: Sequence[Log],
    crews: Mapping[str, Crew],
    jobs: Mapping[str, Job],
    firm: Firm,
    sheet: Sheet,
    words: ClockWords,
    today: date,
) -> list[BadInput]:
    """What the log refuses, at its lines: an inquiry, a phase that is done, a day outside the season."""
    gone = {day.old.id for day in days if day.does is Does.OTHER and day.old is not None}
    logs = [log for log in logged if log.id not in gone]
    faults = []
    for day in days:
        if day.does in {Does.SAME, Does.KEPT}:
            continue
        log = day.as_log(crews[day.crew].size)
        try:
            mine = [e for e in logs if e.job == log.job or (e.crew, e.day) == (log.crew, log.day)]
            check_entry(log, mine, jobs[day.job], firm, today)
        except BadInput as fault:
            faults.append(sheet.at(fault, day.line, words.column(fault.field)))
        except PlannerError as refusal:
            faults.append(sheet.at(BadInput("job", day.job, str(refusal)), day.line, words.column("job")))
        logs.append(log)
    return faults


class _Stretch:
    """One row read part by part; what is wrong gathers in `faults`."""

    def __init__(
        self, sheet: Sheet, row: Row, words: ClockWords, crews: Mapping[str, Crew], jobs: Sequence[str]
    ) -> None:
        self.sheet, self.row, self.words, self.crews, self.jobs = sheet, row, words, crews, jobs
        self.faults: list[BadInput] = []
        self.not_logged = False

    def punch(self) -> Punch | None:
        """The stretch, or None when a part of it cannot be read."""
        phase = self._read("phase", self._phase)
        job = "" if self.not_logged else self._read("job", self._job)
        crew = "" if self.not_logged else self._read("crew" if self._cell("crew") else "person", self._crew)
        start = self._read("in", lambda: self._moment("in"))
        end = self._read("out", lambda: self._moment("out")) if self._cell("out") else None
        if start is None or job is None or crew is None or phase is None:
            return None
        person = self._cell("person") or crew
        return Punch(self.row.line, person, crew, start, end, job, phase)

    def _cell(self, part: str) -> str:
        return self.row.cells.get(self.words.column(part), "").strip()

    def _read(self, part: str, reader: Callable[[], V]) -> V | None:
        try:
            return reader()
        except BadInput as fault:
            self.faults.append(self.sheet.at(fault, self.row.line, self.words.column(part)))
            return None

    def _phase(self) -> Phase:
        text = self._cell("phase")
        said = self._said(self.words.phases, text)
        if said is not None and said.lower() == NOT_LOGGED:
            self.not_logged = True
            return Phase.DIG
        try:
            return entry.choice("phase", said or text, Phase)
        except BadInput as fault:
            told = f'or say what it is, like --work "{text or "Yard"}=dig", "=none" when it is no phase'
            raise BadInput("phase", text, f"{fault.fix}; {told}") from None

    def _job(self) -> str:
        text = self._cell("job")
        code = self._said(self.words.jobs, text) or text
        found = [job for job in self.jobs if job.casefold() == code.casefold()]
        if found:
            return found[0]
        fix = did_you_mean(code, self.jobs, "no such job")
        raise BadInput("job", text, f'{fix}; or say which it is, like --site "{text}=CODE"')

    def _crew(self) -> str:
        typed = self._cell("crew") or self._said(self.words.people, self._cell("person"))
        if typed:
            return find_crew(list(self.crews), typed)
        person = self._cell("person")
        home = home_of(self.crews.values(), person)
        if home is not None:
            return home.name
        fix = (
            f'say whose crew that is, like --person "{person or "Ann Lee"}={next(iter(self.crews), "North")}"'
        )
        raise BadInput("person", person, fix)

    @staticmethod
    def _said(told: Mapping[str, str], text: str) -> str | None:
        return next((ours for theirs, ours in told.items() if theirs.casefold() == text.casefold()), None)

    def _moment(self, part: str) -> datetime:
        text, day = self._cell(part), self._cell("day")
        if not text:
            raise BadInput(part, "", "write when work began")
        try:
            at = entry.clock(part, text) if day else None
        except BadInput:
            at = None
        if at is not None:
            return datetime.combine(entry.day("day", day), at)
        return entry.moment(part, text)
