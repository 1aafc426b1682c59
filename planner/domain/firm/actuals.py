"""Hours that came back: what a crew did on a day, on which job and phase, how far it got, what it lost."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass
from datetime import date

from planner.domain.firm.phases import Phase


@dataclass(frozen=True, slots=True)
class Log:
    """One entry: crew, day, job, phase.

    crew_h: worked [crew-hours]; people: hands present, 0 when as usual; share_done: of the whole phase after
    this day, 0 to 1, None when not said; done: the phase is finished; lost_h: crew-hours waited or lost, and
    why; id: the store's number, 0 before it is saved; source: "office" or the mark of a returned sheet.
    """

    day: date
    crew: str
    job: str
    phase: Phase
    crew_h: float
    share_done: float | None = None
    done: bool = False
    lost_h: float = 0.0
    lost_why: str = ""
    people: int = 0
    note: str = ""
    source: str = "office"
    id: int = 0


@dataclass(frozen=True, slots=True)
class Progress:
    """How far one phase of one job is: share done 0 to 1, crew-hours spent, first and last day.

    stated: the share after each day that told one, by day.
    """

    share: float
    spent_crew_h: float
    first: date
    last: date
    done: bool
    stated: tuple[tuple[date, float], ...] = ()

    def reached(self, share: float) -> date | None:
        """The day since which at least that share is done; None when less is, or nobody said when."""
        found = None
        for day, told in reversed(self.stated):
            if told < share:
                break
            found = day
        return found


def of_jobs(logs: Iterable[Log], codes: Container[str]) -> list[Log]:
    """The entries of those jobs: what is asked of a few jobs need not fold every season's logs."""
    return [log for log in logs if log.job in codes]


def progress(logs: list[Log] | tuple[Log, ...]) -> dict[tuple[str, Phase], Progress]:
    """Fold logs into the state of each (job, phase). The order of the entries does not matter.

    The share is the latest day's largest stated share; a done flag anywhere makes it 1.
    """
    grouped: dict[tuple[str, Phase], list[Log]] = {}
    for log in logs:
        grouped.setdefault((log.job, log.phase), []).append(log)
    found = {}
    for key, entries in grouped.items():
        done = any(e.done for e in entries)
        stated: dict[date, float] = {}
        for e in entries:
            if e.share_done is not None or e.done:
                told = 1.0 if e.done else e.share_done or 0.0
                stated[e.day] = max(told, stated.get(e.day, 0.0))
        share = 1.0 if done else stated[max(stated)] if stated else 0.0
        days = [e.day for e in entries]
        found[key] = Progress(
            share=share,
            spent_crew_h=sum([e.crew_h for e in entries]),
            first=min(days),
            last=max(days),
            done=done or share >= 1.0,
            stated=tuple(sorted(stated.items())),
        )
    return found
