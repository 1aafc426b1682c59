"""What reading a file in came to, in the words of every screen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.domain.wording import counted


def imported_lines(rows: int, added: Sequence[str], changed: Sequence[str]) -> list[str]:
    """How many rows were read, which names are new and which changed."""
    return [
        f"{counted(rows, 'row')} read",
        f"{len(added)} new: {_listed(added)}",
        f"{len(changed)} changed: {_listed(changed)}",
    ]


def remark_lines(remarks: Sequence[str]) -> list[str]:
    """What to look at again: five, then how many more."""
    more = [f"{len(remarks) - 5} more promises are past"] if len(remarks) > 5 else []
    return [*remarks[:5], *more]


def firm_lines(counts: Mapping[str, int]) -> list[str]:
    """What a whole firm's file held."""
    return [f"{part.replace('_', ' ')}: {n}" for part, n in counts.items() if n]


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:12])
    return (shown + (" ..." if len(names) > 12 else "")) or "-"
