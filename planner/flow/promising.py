"""Promise: find an inquiry its place, say what is comfortable, price what is earlier, hold the place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from planner.domain.chance import play
from planner.domain.facts import Facts, season_of
from planner.domain.jobs import Job, Status
from planner.domain.outlook import finish_at
from planner.domain.plan import Booking, Plan
from planner.domain.promise import Earlier, Offer, finishes, hurts, scaled_like, taken_in
from planner.domain.records import Hold
from planner.domain.season import Season
from planner.errors import BadInput, PlannerError
from planner.flow.chances import climate_of, spreads
from planner.flow.planning import load_facts
from planner.store.engine import Store

#: Played seasons behind the comfortable day; its error is about a day at this size.
SEASONS = 300


def offer(
    location: str,
    now: datetime,
    code: str,
    *,
    seed: int = 1,
    like: str | None = None,
    size: float = 1.0,
) -> Offer:
    """What can be promised to the inquiry `code`, or to a job `size` times as large as the past job `like`.

    Places held for other inquiries count as promised while the hold lasts.

    Raises BadInput for an unknown job or one that is sold already, NoPlanInTime when no place is left.
    """
    facts = load_facts(location)
    job = _asked_for(facts, code, like, size)
    facts, order = _with_holds(location, facts, now, job.code)
    wanted = taken_in(facts, job)
    season = season_of(wanted, now)
    if not any(key.job == job.code for key in season.works):
        raise BadInput(
            "job", job.code, "it has no quantities: add them with `planner job change`, or use --like"
        )
    from planner.schedule.repair import insert

    found = insert(season, order, job.code)
    mine = found.plan.of_job(job.code)
    earliest = found.finish.date()
    before = finishes(tuple(b for b in order if b.job != job.code and b.key in season.works))
    return Offer(
        job=job.code,
        client=job.client,
        crew=mine[0].lead,
        start=mine[0].start.date(),
        earliest=earliest,
        comfortable=max(earliest, _comfortable(location, wanted, season, found.plan, job.code, seed)),
        percentile=facts.firm.planning_percentile,
        shifted=found.shifted,
        earlier=_earlier(season, job.code, found.plan, before, found.earlier),
        plan=found.plan,
    )


def _asked_for(facts: Facts, code: str, like: str | None, size: float) -> Job:
    known = {job.code: job for job in facts.jobs}
    if like is not None:
        if like not in known:
            raise BadInput("--like", like, "unknown job: see `planner job list`")
        if code in known and known[code].status is not Status.INQUIRY:
            raise BadInput("job", code, "this code is taken: choose a new one, or an inquiry's")
        own = known.get(code)
        made = scaled_like(known[like], code, own.client if own else "", size)
        return made if own is None else replace(made, gates=own.gates, blackouts=own.blackouts)
    if code not in known:
        raise BadInput("job", code, "unknown job: add it as an inquiry, or say --like PAST-JOB")
    job = known[code]
    if job.status is not Status.INQUIRY:
        raise BadInput("job", code, f"it is {job.status.value}: promise dates to inquiries only")
    return job


def _order(location: str, facts: Facts, code: str) -> Sequence[Booking]:
    """The bookings that crews go by (the newest plan's when none is published), without the job's own."""
    with Store(location).reading() as book:
        plan = facts.published or (book.plan() if book.plans() else None)
    return [b for b in plan.bookings if b.job != code] if plan else []


def _with_holds(location: str, facts: Facts, now: datetime, code: str) -> tuple[Facts, Sequence[Booking]]:
    """The facts and the bookings with every other place that is still held taken in, in order of finish."""
    from planner.schedule.repair import insert

    order = _order(location, facts, code)
    inquiries = {job.code: job for job in facts.jobs if job.status is Status.INQUIRY and job.code != code}
    held = [h for h in holds(location) if h.until >= now.date() and h.job in inquiries and h.finish]
    for one in sorted(held, key=lambda h: (h.finish or h.until, h.job)):
        facts = taken_in(facts, inquiries[one.job], one.finish)
        order = insert(season_of(facts, now), order, one.job).plan.bookings
    return facts, order


def _earlier(
    season: Season, code: str, harmless: Plan, before: dict[str, date], plans: Sequence[Plan]
) -> tuple[Earlier, ...]:
    """The plans that finish the job earlier, each with whom it hurts and its price; earliest first."""
    earliest = harmless.finish(code)
    found: dict[date, Earlier] = {}
    for plan in plans:
        mine = plan.of_job(code)
        finish = max(b.end for b in mine).date()
        if earliest is None or finish >= earliest:
            continue
        more = plan.cost.total_cents - harmless.cost.total_cents
        one = Earlier(finish, mine[0].start.date(), hurts(season, code, before, plan), more)
        if finish not in found or more < found[finish].more_cents:
            found[finish] = one
    return tuple(found[day] for day in sorted(found))


def _comfortable(location: str, facts: Facts, season: Season, plan: Plan, code: str, seed: int) -> date:
    """The finish at the planning percentile of the played seasons; only work up to it is played."""
    last = max(b.end for b in plan.bookings if b.job == code)
    rows = [b for b in plan.bookings if b.start <= last]
    climate = climate_of(location, facts, season.now.date(), None, None)
    draws = play(season, rows, spreads(facts, rows), climate.weather(0.2), seasons=SEASONS, seed=seed)
    return finish_at(draws, code, facts.firm.planning_percentile)


def hold(location: str, now: datetime, code: str, until: date, who: str, note: str = "") -> Hold:
    """Hold the harmless place for an inquiry until a day. BadInput for a day that is not after today."""
    if until <= now.date():
        raise BadInput("--hold", until, "choose a day after today")
    found = offer(location, now, code)
    kept = Hold(code, until, found.start, found.comfortable, found.crew, note)
    with Store(location).writing(who=who) as book:
        book.save_hold(kept)
    return kept


def holds(location: str) -> list[Hold]:
    """The places held, by job."""
    with Store(location).reading() as book:
        return book.holds()


def release(location: str, code: str, who: str) -> None:
    """Give a held place up. PlannerError when none is held."""
    with Store(location).writing(who=who) as book:
        if code not in {h.job for h in book.holds()}:
            raise PlannerError(f"no place is held for {code}")
        book.remove_hold(code)
