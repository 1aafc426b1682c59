"""What a change of the records came to, and what is asked before any of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, TypeVar

from planner.domain.firm.fields import (
    Field,
    with_fields,
)
from planner.domain.season.plan import Booking
from planner.domain.standing.in_force import in_force
from planner.errors import BadInput, BadInputs, PlannerError
from planner.flow.stored.roster import read_roster
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Saved:
    """What a change came to. remark: what the person should look at again, or "".

    parted: how the job and its kept design now differ, in one line, "" when they agree.
    """

    name: str
    changed: bool
    remark: str = ""
    parted: str = ""


def save_by(location: str, who: str, name: str, change: Callable[[Book], object]) -> Saved:
    """Let `change` write to the store in one transaction, and say whether anything changed by it."""
    with Store(location).writing(who) as book:
        mark = book.history_mark()
        change(book)
        return Saved(name, book.history_mark() > mark)


#: What goes on in spite of a published plan.
EVEN_SO = "say --even-so: every page then shows it until a new plan is published"


def must_be_free(
    book: Book,
    today: date,
    what: str,
    uses: Callable[[Booking], bool],
    fix: str = f"enter its days away, re-plan and publish first, or {EVEN_SO}",
) -> None:
    """Refuse when what still stands of the published plan uses it from today on. fix: what to do then."""
    plan = book.published()
    if plan is None:
        return
    standing = in_force(read_roster(book, plan, today), plan)
    held = [b for b in standing.bookings if uses(b) and b.end.date() >= today]
    if held:
        jobs = list(dict.fromkeys(b.job for b in held))
        listed = ", ".join(jobs[:8]) + (f" and {len(jobs) - 8} more" if len(jobs) > 8 else "")
        raise PlannerError(f"{what} is booked in published plan {plan.number} for {listed}: {fix}")


def with_typed(value: V, fields: Sequence[Field], texts: Mapping[str, str], units: str) -> V:
    """The noun with typed fields set; BadInputs lists every wrong one. units: for bare numbers."""
    new, faults = with_fields(value, fields, texts, units)
    if faults:
        raise BadInputs(faults)
    return new


def new_or_not(there: bool, what: str, name: str, *, new: bool) -> None:
    """Refuse to add what is on record already."""
    if there and new:
        raise BadInput(what, name, f"is there already: use `planner {what} change`")
