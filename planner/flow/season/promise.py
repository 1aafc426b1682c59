"""Promise: find an inquiry its place, say what holds at P80, price what is earlier, hold the place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from planner.domain.dates import day_words
from planner.domain.firm.jobs import Gate, Job, Status
from planner.domain.firm.records import Hold
from planner.domain.firm.scaling import scaled_like
from planner.domain.forecast.outlook import finish_at
from planner.domain.office.notice import notice_gates
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.job_hours import booked_h, job_hours
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.promise import Earlier, Offer, finishes, hurts, taken_in
from planner.domain.season.season import Season
from planner.domain.season.ways import usual_crew
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput, PlannerError
from planner.flow.forecast.playing import basis_of, played
from planner.flow.stored.facts import load_facts
from planner.store.engine import Store
from planner.store.shipped.leads import lead_times
from planner.store.shipped.locates import locate_rule
from planner.store.shipped.own_file import folder_of

#: Played seasons behind the P80 day; its error is about a day at this size.
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

    Places held for other inquiries count as promised while the hold lasts; the next days stay as told where
    they can.

    Raises BadInput for an unknown job or one that is sold already, NoPlanInTime when no place is left.
    """
    facts = load_facts(location)
    job = _asked_for(facts, code, like, size)
    notice = _Notice(location, facts, now)
    facts, order = _with_holds(location, facts, now, job.code, notice)
    waits = notice.of(job)
    wanted = taken_in(facts, job, waits)
    from planner.schedule.answers.freeze import freeze
    from planner.schedule.answers.repair import insert

    season = freeze(season_of(wanted, now))
    if not any(key.job == job.code for key in season.works):
        raise BadInput(
            "job", job.code, "it has no quantities: add them with `planner job change`, or use --like"
        )
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
        percentile_day=max(earliest, _percentile_day(location, wanted, season, found.plan, job.code, seed)),
        percentile=facts.firm.planning_percentile,
        shifted=found.shifted,
        earlier=_earlier(season, job.code, found.plan, before, found.earlier),
        plan=found.plan,
        waits=waits,
        crew_h=booked_h(mine),
    )


class _Notice:
    """The gates of a locate asked and material ordered now: rule and lead times read once."""

    def __init__(self, location: str, facts: Facts, now: datetime) -> None:
        folder = folder_of(location)
        self.rule, self.leads = locate_rule(facts.firm.state, folder), lead_times(folder)
        self.facts, self.now = facts, now

    def of(self, job: Job) -> tuple[Gate, ...]:
        """Of one inquiry."""
        crew = usual_crew(job, self.facts.crews, self.facts.rules)
        held = job_hours(self.facts, job, None, crew.name).phases if self.facts.crews else {}
        hours = {phase: one.fresh_h for phase, one in held.items()}
        return notice_gates(job, self.rule, self.leads, self.now, self.facts.firm, hours)


def _asked_for(facts: Facts, code: str, like: str | None, size: float) -> Job:
    known = {job.code: job for job in facts.jobs}
    if like is not None:
        if like not in known:
            raise BadInput("--like", like, did_you_mean(like, known, "unknown job: see `planner job list`"))
        if code in known and known[code].status is not Status.INQUIRY:
            raise BadInput("job", code, "this code is taken: choose a new one, or an inquiry's")
        own = known.get(code)
        made = scaled_like(known[like], code, own.client if own else "", size)
        return made if own is None else replace(made, gates=own.gates, blackouts=own.blackouts)
    if code not in known:
        fix = "unknown job: add it as an inquiry, or say --like PAST-JOB"
        raise BadInput("job", code, did_you_mean(code, known, fix))
    job = known[code]
    if job.status is not Status.INQUIRY:
        raise BadInput("job", code, f"it is {job.status.value}: promise dates to inquiries only")
    return job


def _order(location: str, facts: Facts, code: str) -> Sequence[Booking]:
    """The bookings that crews go by (the newest plan's when none is published), without the job's own."""
    with Store(location).reading() as book:
        plan = facts.published or (book.plan() if book.plans() else None)
    return [b for b in plan.bookings if b.job != code] if plan else []


def _with_holds(
    location: str, facts: Facts, now: datetime, code: str, notice: _Notice
) -> tuple[Facts, Sequence[Booking]]:
    """The facts and the bookings with every other place that is still held taken in, in order of finish."""
    from planner.schedule.answers.freeze import freeze
    from planner.schedule.answers.repair import insert

    order = _order(location, facts, code)
    inquiries = {job.code: job for job in facts.jobs if job.status is Status.INQUIRY and job.code != code}
    held = [h for h in holds(location) if h.until >= now.date() and h.job in inquiries and h.finish]
    for one in sorted(held, key=lambda h: (h.finish or h.until, h.job)):
        inquiry = inquiries[one.job]
        facts = taken_in(facts, inquiry, notice.of(inquiry), one.finish)
        order = insert(freeze(season_of(facts, now)), order, one.job).plan.bookings
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


def _percentile_day(location: str, facts: Facts, season: Season, plan: Plan, code: str, seed: int) -> date:
    """The finish at the planning percentile of the played seasons; only work up to it is played."""
    last = max(b.end for b in plan.bookings if b.job == code)
    rows = [b for b in plan.bookings if b.start <= last]
    basis = basis_of(location, facts, season.now.date())
    draws = played(facts, season, rows, basis, seasons=SEASONS, seed=seed)
    return finish_at(draws, code, facts.firm.planning_percentile)


def hold(location: str, now: datetime, code: str, until: date, who: str, note: str = "") -> Hold:
    """Hold the harmless place for an inquiry until a day.

    BadInput for a day that is not after today, or not before the place begins: by then it must be sold.
    """
    if until <= now.date():
        raise BadInput("--until", until, "choose a day after today")
    found = offer(location, now, code)
    if until >= found.start:
        raise BadInput(
            "--until", until, f"choose a day before {day_words(found.start)}, when the place begins"
        )
    kept = Hold(code, until, found.start, found.percentile_day, found.crew, note)
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
            raise PlannerError(f"no place is held for {code}: see `planner promise list`")
        book.remove_hold(code)
