"""The six phases of an install, their order, and what each needs by default; a visit is a phase by itself.

A phase may fall into two parts with unattended hours between them: for the fill, part 1 is rinsing and
opening the water, part 2 is trimming, hooking up the pump and starting. Work is keyed by `WorkKey`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple


class Phase(StrEnum):
    """One of the six phases, in the order of work; or a visit, the one work of a job without them."""

    DIG = "dig"
    SET_FILTERS = "set_filters"
    LINER = "liner"
    ROCK = "rock"
    PLUMBING = "plumbing"
    FILL = "fill"
    VISIT = "visit"

    @property
    def words(self) -> str:
        """The phase as a crew says it: "set filters"."""
        return self.value.replace("_", " ")

    @property
    def rank(self) -> int:
        """Place in the order of work, 0 for dig to 5 for fill; 6 for a visit, which all its gates hold."""
        return _RANK[self]


#: The six phases of an install.
ORDER: tuple[Phase, ...] = tuple(phase for phase in Phase if phase is not Phase.VISIT)
_RANK = {phase: rank for rank, phase in enumerate((*ORDER, Phase.VISIT))}

SKILLS: tuple[str, ...] = ("excavator", "stonework", "plumbing")


#: What the second part of a phase is called: trim, hook up the pump, start.
START_UP = "startup"


class WorkKey(NamedTuple):
    """One piece of work of a season: the job's code, the phase, the part (1, or 2 after unattended hours)."""

    job: str
    phase: Phase
    part: int = 1

    @property
    def words(self) -> str:
        """ "P-014 fill", and of its second part "P-014 fill, startup"."""
        return f"{self.job} {self.work_words}"

    @property
    def work_words(self) -> str:
        """The phase alone: "fill", and "fill, startup" for what is done once the water has run in."""
        return self.phase.words + (f", {START_UP}" if self.part > 1 else "")


@dataclass(frozen=True, slots=True)
class Follows:
    """Phase order: this phase may begin only after `before`.

    share: part of the earlier phase's working time that must be done, 0 < share <= 1 (1: all of it).
    lag_h: clock hours to wait after that (cure), nights and weekends included.
    """

    before: Phase
    share: float = 1.0
    lag_h: float = 0.0
    why: str = ""


@dataclass(frozen=True, slots=True)
class PhaseRule:
    """What a phase needs by default; a job may override skills and machines.

    follows: earlier phases with shares and lags; skills: all needed in the crew that leads;
    machines: machine kind key -> units held from the phase's start to its end;
    helpers: most crews that may work on it together; best_size: people at which it goes best [persons].
    """

    phase: Phase
    follows: tuple[Follows, ...]
    skills: frozenset[str]
    machines: Mapping[str, int]
    helpers: int = 1
    best_size: int = 3
