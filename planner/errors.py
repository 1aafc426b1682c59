"""What can go wrong, said in one line each.

    PlannerError                exit 1  the request is understood but refused: the state does not allow it
    |-- BadInput                exit 2  a value from a person or a file is wrong; says field, value, fix
    |   `-- BadInputs           exit 2  several of them at once (a whole file is checked before refusing)
    |-- Overtaken               exit 1  somebody saved the same thing since it was read
    |-- NoPlanFits              exit 3  proven: these rules leave no plan; names the rows that clash
    |-- NoPlanInTime            exit 4  none found in the time allowed, and none proven impossible
    `-- StoreTrouble            exit 1  the database file: locked, full, read-only, foreign, damaged
        `-- Unreadable          exit 1  a stored row holds what cannot be read as what it should be

Texts are lower case, one line, and end with what to do next, after their last ": ". Only ``planner.cli``
prints them: as lines, or as data after `--json`, where `code` names the class in one word.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

#: So many faults of one file are told at once.
MOST_FAULTS = 100
A = TypeVar("A")
B = TypeVar("B")


class PlannerError(Exception):
    """A refusal that a person can act on; `exit_code` is what the shell sees, `code` what `--json` says."""

    exit_code = 1
    code = "refused"


class Overtaken(PlannerError):
    """Somebody saved the same thing since it was read; nothing was written."""


class BadInput(PlannerError):
    """One wrong value: which field, what it held, how to fix it.

    `where` says the place in a file ("jobs.csv line 7 column 4") and is empty for an option.
    """

    exit_code = 2
    code = "wrong_input"

    def __init__(self, field: str, value: object, fix: str, *, where: str = "") -> None:
        """Keep the parts apart so that JSON and files can show them in columns."""
        self.field, self.value, self.fix, self.where = field, value, fix, where
        shown = _one_line(value)
        place = f"{where}: " if where else ""
        super().__init__(f"{place}{field} = {shown}: {fix}")


class BadInputs(BadInput):
    """Every fault of one file or one command, found before anything is changed."""

    def __init__(self, faults: Sequence[BadInput]) -> None:
        """`faults` is not empty; the message holds one line per fault, of very many the first."""
        self.faults = tuple(faults)
        first = self.faults[0]
        super().__init__(first.field, first.value, first.fix, where=first.where)
        left = len(self.faults) - MOST_FAULTS
        more = [f"and {left} more: fix these first"] if left > 0 else []
        self.args = ("\n".join([*map(str, self.faults[:MOST_FAULTS]), *more]),)


def collected(read: Callable[[A], B], parts: Iterable[A]) -> list[B]:
    """Every part as `read` reads it; raises the faults of all parts together."""
    found, faults = [], []
    for part in parts:
        try:
            found.append(read(part))
        except BadInput as fault:
            faults.append(fault)
    refuse(faults)
    return found


def refuse(faults: Iterable[BadInput]) -> None:
    """Raise what was found: one fault as it is, several as BadInputs; nothing when there is none."""
    each = [one for fault in faults for one in (fault.faults if isinstance(fault, BadInputs) else (fault,))]
    if len(each) == 1:
        raise each[0]
    if each:
        raise BadInputs(each)


class NoPlanFits(PlannerError):
    """Proven: no plan obeys these rows; `reasons` names them in trade words."""

    exit_code = 3
    code = "no_plan_fits"

    def __init__(self, reasons: Sequence[str]) -> None:
        """`reasons` is not empty."""
        self.reasons = tuple(reasons)
        super().__init__("no plan fits: " + "; ".join(self.reasons))


class NoPlanInTime(PlannerError):
    """No plan was found in the time allowed; a longer limit may find one."""

    exit_code = 4
    code = "no_plan_in_time"


class StoreTrouble(PlannerError):
    """The database cannot be used as it is; the text says the fix."""

    code = "database"


class Unreadable(StoreTrouble):
    """A stored row cannot be read; the text names the field, `planner.cli` adds which row it is."""

    code = "unreadable"


def _one_line(value: object, width: int = 80) -> str:
    """`value` as a single printable line of at most `width` characters, quoted when it is text."""
    text = repr(value) if isinstance(value, str) else str(value)
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= width else text[: width - 1] + "…"
