"""The day sheet on paper: which tasks the front holds in 9 pt or more, and what goes on the back and is said.

A page of columns is reckoned in lines of type: texts by their letters, boxes and blanks by their height. The
browser breaks the lines; nothing is ever cut: what is reckoned wrong flows onto one more page.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, sqrt

from planner.domain.crew_day.daysheet import DaySheet, Task
from planner.domain.crew_day.ready import Line
from planner.domain.dates import clock
from planner.report.crew_day.sheet import DEFER, beside_words, no_work_words, quantity_words
from planner.report.wording import changed_words, phase_words

#: Smallest and largest type of what a crew works from [pt]; rain and cautions give way last, to the third.
SMALLEST_PT, LARGEST_PT, CAUTION_PT = 9.0, 10.5, 7.5
#: Letters on a line of a column, lines on the two columns of one side, at 9 pt, reckoned by `_step` and its
#: kin: the smaller of Letter and A4 with margins of 8 mm, in a typeface as wide as Arial. As measured in
#: Chromium on 85 invented days: a task takes 0.86 to 0.97 of the lines reckoned, the head 0.72 to 1.05.
#: At 142 every day keeps to its side on either paper, at 147 one does not.
LETTERS_A_LINE, LINES_A_SIDE = 58, 142.0


@dataclass(frozen=True, slots=True)
class Paper:
    """How a sheet lies on paper. front: so many tasks on the front; size_pt, over_pt, caution_pt: type of the
    front, of the tasks on the back, of rain and cautions there.

    behind: the tasks that the front has no room for, in words for its foot, "" when it holds all; apart: rain
    and cautions have no room beside those and go on a page of their own.
    """

    front: int
    size_pt: float
    over_pt: float
    caution_pt: float
    behind: str = ""
    apart: bool = False


def on_paper(sheet: DaySheet) -> Paper:
    """The largest type that holds the whole day on the front; else the first tasks, the rest on the back."""
    head, foot = _head(sheet), _foot(sheet)
    tasks = [_task(task) for task in sheet.tasks]
    caution = 0.88 * (
        _texts((*(() if sheet.taken else sheet.rain), *sheet.cautions, *sheet.every_day, DEFER)) + 10
    )
    if head + sum(tasks) + foot <= LINES_A_SIDE or len(tasks) < 2:
        size_pt = _size(head + sum(tasks) + foot, LINES_A_SIDE, SMALLEST_PT)
        return Paper(len(tasks), size_pt, size_pt, _size(caution, LINES_A_SIDE, CAUTION_PT))
    fits = [n for n in range(1, len(tasks)) if head + sum(tasks[:n]) <= LINES_A_SIDE - 3]
    front = max(fits, default=1)
    over, ahead = sum(tasks[front:]) + foot + 2, head + sum(tasks[:front]) + 3
    left = LINES_A_SIDE - over
    apart = left < caution * (CAUTION_PT / SMALLEST_PT) ** 2
    room = LINES_A_SIDE if apart else left
    return Paper(
        front,
        _size(ahead, LINES_A_SIDE, SMALLEST_PT),
        _size(over + (0 if apart else caution), LINES_A_SIDE, SMALLEST_PT),
        min(SMALLEST_PT, _size(caution, room, CAUTION_PT)),
        _behind(sheet, front),
        apart,
    )


def _behind(sheet: DaySheet, front: int) -> str:
    names = [f"{clock(t.stint.start)} {t.stint.key.job} {phase_words(t.stint)}" for t in sheet.tasks[front:]]
    return ", ".join(names)


def _size(lines: float, room: float, least_pt: float) -> float:
    """The type with which so many lines of 9 pt fill the room of so many [pt]."""
    return round(min(LARGEST_PT, max(least_pt, SMALLEST_PT * sqrt(room / max(1.0, lines)))), 1)


def _head(sheet: DaySheet) -> float:
    sites = sum(2.0 + _lines(j.client + j.address) + _lines(j.site_notes) for j in sheet.sites)
    warned = [a.text for a in sheet.advice] + [m.words for m in sheet.missed]
    bring = sum(len(text) + 9 for text in sheet.load) / LETTERS_A_LINE * 1.5
    tools = _lines("; ".join(sheet.tools))
    arrives = _texts(sheet.arrives) + 1.5 * bool(sheet.arrives)
    warned += [no_work_words(sheet) if sheet.why_off else "", changed_words(sheet)]
    warned += sheet.instead
    people = _texts(sheet.runs) + bool(sheet.short and sheet.runs)
    return 3.5 + people + sites + _texts(warned) + bring + tools + arrives


def _foot(sheet: DaySheet) -> float:
    return (
        1.7
        + _texts(filter(None, (*sheet.today, sheet.idle)))
        + 3.5
        + 2.2
        + _lines("; ".join(sheet.tomorrow.load))
    )


def _task(task: Task) -> float:
    said = filter(None, (task.locate, task.cleared, task.pause))
    head = 3.0 + _texts((*beside_words(task), *task.open_gates, *said))
    head += sum(map(_lines, quantity_words(task))) + sum(2 if trip.truck else 1 for trip in task.stint.trips)
    tail = _lines("Photos: " + "; ".join(task.ready.photos)) * bool(task.ready.photos)
    tail += sum(_lines("Next: " + text) for text in task.next_waits)
    return head + sum(map(_step, task.ready.lines)) + tail + HOURS_LINES


#: The box for the hours of a task [lines].
HOURS_LINES = 4.9


def _step(line: Line) -> float:
    letters = len(line.text) + (len(line.wanted.what + line.wanted.words) + 18 if line.wanted else 0)
    letters += 34 if line.hold else 0
    return max(1.45, _lines("x" * (letters + 8))) + (0.55 if line.hold else 0.25)


def _texts(texts: Iterable[str]) -> float:
    return sum(_lines(text) + 0.15 for text in texts)


def _lines(text: str) -> int:
    return ceil(len(text) / LETTERS_A_LINE)
