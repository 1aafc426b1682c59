"""What holds a plan where it is: the chain behind a job's start, its room, what easing one thing brings."""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.firm.phases import WorkKey


@dataclass(frozen=True, slots=True)
class Hold:
    """One link of a chain: the work, what kind of thing holds its start, the words, and the work behind it.

    kind: gate, pinned, now, order, cure, crew, machine, truck, closed, away, choice.
    """

    key: WorkKey
    kind: str
    text: str
    behind: WorkKey | None = None


@dataclass(frozen=True, slots=True)
class Reason:
    """chain: from the job's first booking back to the cause, last. spare_days: working days from the job's
    finish to its promise, below 0 when late, None without a promise."""

    job: str
    chain: tuple[Hold, ...]
    spare_days: int | None

    @property
    def cause(self) -> Hold:
        """The end of the chain: what to act on."""
        return self.chain[-1]


@dataclass(frozen=True, slots=True)
class Relief:
    """What easing one thing brings: jobs that end earlier, and working days earlier in all."""

    text: str
    jobs: int
    days: int
