"""The people whom the office names, one line each: crew, what they may do, when they are elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from rich.text import Text

from planner.domain.firm.crews import Crew, Person
from planner.domain.plain import to_plain
from planner.report.keeping.rows import range_words, table_of, tell
from planner.report.terminal import show_table
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console


def people_rows(crews: Sequence[Crew]) -> list[dict[str, Any]]:
    """One entry a person, with his crew and whether he leads it."""
    return [
        {"crew": crew.name, "leads": person.name == crew.lead, **to_plain(person)}
        for crew in crews
        for person in crew.people
    ]


def people_page(console: Console, crews: Sequence[Crew]) -> None:
    """One line a person, crew by crew."""
    if not any(crew.people for crew in crews):
        tell(console, 'nobody is named: start with  planner people add "WHO" --crew NAME --may excavator')
        return
    table = table_of("person", "crew", "counts", "may", "elsewhere", right=("counts",))
    for column in table.columns:
        column.no_wrap = False
    for crew in crews:
        for person in crew.people:
            table.add_row(
                Text(one_line(person.name) + (", lead" if person.name == crew.lead else "")),
                Text(one_line(crew.name)),
                f"{person.counts:g}",
                ", ".join(sorted(person.may)) or "-",
                Text("\n".join(elsewhere(person)) or "-"),
            )
    show_table(console, table)


def elsewhere(person: Person) -> Iterator[str]:
    """His days away, then those with another crew."""
    yield from (f"away {range_words(days)}" for days in person.away)
    yield from (f"with {loan.to} {range_words(loan.days)}" for loan in person.lent)
