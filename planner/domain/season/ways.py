"""One job, several ways of doing it, side by side; and what an estimate must say beside its hours.

In: a job, crews, machines. Out: the ways to compare (crews, numbers of people, machine or hand), the crew an
estimate takes when none is named, and cautions that belong to the site.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from planner.domain.estimate.conditions import Conditions, work_minutes_in
from planner.domain.estimate.labour import JobEstimate, estimate, on_site
from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.site_days import SiteDays, days
from planner.domain.estimate.task import EXCAVATOR
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job, Need
from planner.domain.firm.lost import LostTime
from planner.domain.firm.needs import machines_for, skills_for
from planner.domain.firm.people import skills_of
from planner.domain.firm.phases import Phase, PhaseRule
from planner.domain.season.job_hours import JobHours, rest_of
from planner.domain.spelling import did_you_mean
from planner.domain.wording import counted
from planner.errors import BadInput

#: A crew for firms that have not entered theirs yet.
USUAL_CREW = Crew(name="usual crew", lead="", size=3)
#: An excavator for firms that have not entered theirs yet.
USUAL_EXCAVATOR = Machine(key=EXCAVATOR, words="mini excavator, 2 t", bucket_ft3=0.0, mass_t=2.0)
#: Depth from which 29 CFR 1926.652(a)(1) asks for a protective system [in].
PROTECT_IN = 60.0


class Compare(StrEnum):
    """What to set side by side."""

    CREWS = "crews"
    PEOPLE = "people"
    DIGGING = "digging"


@dataclass(frozen=True, slots=True)
class Shop:
    """What every estimate needs: the firm, its crews and machines, the phase rules, the lost time."""

    firm: Firm
    crews: Sequence[Crew]
    machines: Mapping[str, Machine]
    rules: Mapping[Phase, PhaseRule]
    lost: tuple[LostTime, ...] = ()


@dataclass(frozen=True, slots=True)
class Estimated:
    """One job's estimate as it is shown.

    found: the whole job; rest: what is left of it, the whole when nothing is logged. days: percentile ->
    days on site from `start` for the rest, missing without work or end; book: the edition used; way: the
    name of this way of working, "" when nothing is compared. hours: what the plan holds for it, None for a
    way that is only compared; by_plan: the crew is the one that the plan sends.
    """

    job: Job
    crew: Crew
    found: JobEstimate
    book: RateBook
    firm: Firm
    start: date
    days: Mapping[float, SiteDays]
    cautions: tuple[str, ...]
    rest: JobEstimate
    way: str = ""
    hours: JobHours | None = None
    by_plan: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """One way: its name on the screen, the job as it would be done, and by whom."""

    words: str
    job: Job
    crew: Crew


def choices(compare: Compare, job: Job, crew: Crew, crews: Sequence[Crew]) -> list[Choice]:
    """The ways of one comparison, `crew` first where crews differ."""
    if compare is Compare.CREWS:
        others = [c for c in crews if c.name != crew.name]
        return [Choice(c.name, job, c) for c in (crew, *others)]
    if compare is Compare.PEOPLE:
        return [Choice(people(n), job, replace(crew, size=n)) for n in range(1, 6)]
    by_machine = _with_excavator(job, {EXCAVATOR: 1})
    return [Choice("machine", by_machine, crew), Choice("by hand", _with_excavator(job, {}), crew)]


def people(count: int) -> str:
    """ "1 person", "3 people"."""
    return counted(count, "person", "people")


def _with_excavator(job: Job, machines: Mapping[str, int]) -> Job:
    """The job with or without the excavator in the dig and the rock; the skills stay as they were."""
    needs = dict(job.needs)
    for phase in (Phase.DIG, Phase.ROCK):
        needs[phase] = replace(needs.get(phase, Need()), machines=dict(machines))
    return replace(job, needs=needs)


def usual_crew(
    job: Job, crews: Sequence[Crew], rules: Mapping[Phase, PhaseRule], name: str | None = None
) -> Crew:
    """The crew called `name`; without a name the first that has every skill the job asks for, else the first.

    Raises BadInput for a name that no crew has.
    """
    if name is not None:
        found = next((c for c in crews if c.name == name), None)
        if found is None:
            known = ", ".join(c.name for c in crews) or "none yet: planner crew add"
            raise BadInput(
                "--crew", name, did_you_mean(name, [c.name for c in crews], f"use one of your crews: {known}")
            )
        return found
    asked = frozenset(skill for phase in job.order for skill in skills_for(job, rules[phase]))
    able = (c for c in crews if asked <= skills_of(c))
    return next(able, crews[0] if crews else USUAL_CREW)


def cautions(job: Job, rules: Mapping[Phase, PhaseRule], conditions: Conditions) -> tuple[str, ...]:
    """What can hurt somebody on this job, one line each; hours never include doing without."""
    found = []
    if any(line.phase is Phase.DIG for line in job.lines):
        found.append(
            "utilities located and marked before digging; clear of the excavator's swing; local rules govern"
        )
    if job.depth_in >= PROTECT_IN:
        found.append(
            "5 ft deep or more: sloped, shored or shielded, judged by a competent person (29 CFR 1926.652)"
        )
    stones = ("boulder_small_ton", "boulder_medium_ton", "boulder_large_ton", "waterfall_ton")
    if any(job.amount(item) for item in stones):
        machine = (
            " by the machine's own load chart: no chart, no lift"
            if machines_for(job, rules[Phase.ROCK])
            else " with dolly, bars and planks"
        )
        found.append(
            f"stone over the hand limits moves{machine}; the limits are upper bounds, not a guarantee"
        )
    if work_minutes_in(Phase.DIG, conditions) == 0:
        found.append(
            "this hot the NIOSH table gives no work time for heavy work: stop, move it to a cooler hour"
        )
    return tuple(found)


def work_out(
    choice: Choice,
    shop: Shop,
    rates: RateBook,
    start: date,
    conditions: Conditions,
    hours: JobHours | None = None,
) -> Estimated:
    """Hours, days and cautions of one way of doing a job; with `hours`, the days are those of the rest."""
    job, crew, firm = choice.job, choice.crew, on_site(shop.firm, choice.job)
    found = estimate(job, crew, rates, firm, shop.rules, shop.machines, conditions)
    rest = rest_of(found, hours) if hours else found
    asked = sorted({50.0, 80.0, 90.0, firm.planning_percentile}) if rest.phases else []
    return Estimated(
        job=job,
        crew=crew,
        found=found,
        book=rates,
        firm=firm,
        start=start,
        days={p: d for p in asked if (d := days(rest, p, start, firm, crew, shop.lost))},
        cautions=cautions(job, shop.rules, conditions),
        rest=rest,
        way=choice.words,
        hours=hours,
    )
