"""Promise: find an inquiry its place, say what holds at P80, price what is earlier, hold the place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

from planner.domain.dates import day_words
from planner.domain.firm.jobs import Gate, Job, Status
from planner.domain.firm.records import Hold
from planner.domain.firm.scaling import scaled_like
from planner.domain.forecast.basis import Basis
from planner.domain.forecast.chance import Draws
from planner.domain.forecast.outlook import finish_at, kept_by_season, kept_chance
from planner.domain.forecast.raising import more_kept
from planner.domain.office.notice import notice_gates
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.job_hours import booked_h, job_hours
from planner.domain.season.plan import Booking, Cost, Plan, PlanState, units_gone
from planner.domain.season.promise import Earlier, Offer, OtherChance, finishes, hurts, taken_in
from planner.domain.season.season import Season
from planner.domain.season.ways import usual_crew
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput, NoPlanInTime, PlannerError
from planner.flow.forecast.playing import basis_of, played
from planner.flow.stored.facts import load_facts
from planner.store.engine import Store
from planner.store.shipped.leads import lead_times
from planner.store.shipped.locates import locate_rule
from planner.store.shipped.own_file import folder_of

if TYPE_CHECKING:
    from planner.schedule.answers.repair import Insertion

#: Played seasons behind the safe day; its error is about a day at this size.
SEASONS = 300
#: A chance that falls by less is not told: it is within the error of the playing.
LEAST_FALL = 0.02
#: A place that costs the others more than so many promises on average, or one of them so much of its chance,
#: is not offered as harmless.
MOST_HARM, MOST_FALL = 0.05, 0.02
#: Steps for each job of a search for a place where the order kept has none.
STEPS = 40


def offer(
    location: str,
    now: datetime,
    code: str,
    *,
    seed: int = 1,
    like: str | None = None,
    size: float = 1.0,
    sure: float | None = None,
) -> Offer:
    """What can be promised to the inquiry `code`, or to a job `size` times as large as the past job `like`.

    sure: with which chance the day is kept [percent]; by the firm's luck.toml when None. Places held for
    other inquiries count as promised while the hold lasts; the next days stay as told where they can.

    Raises BadInput for an unknown job or one that is sold already, NoPlanFits when it is proven that no place
    is left, NoPlanInTime when none was found.
    """
    if sure is not None and not 50 <= sure <= 99:
        raise BadInput("--sure", f"{sure:g}", "choose from 50 to 99 percent")
    facts = load_facts(location)
    job = _asked_for(facts, code, like, size)
    notice = _Notice(location, facts, now)
    facts, order = _with_holds(location, facts, now, job.code, notice)
    waits = notice.of(job)
    wanted = taken_in(facts, job, waits)
    from planner.schedule.answers.freeze import freeze

    season = freeze(season_of(wanted, now))
    if not any(key.job == job.code for key in season.works):
        raise BadInput(
            "job", job.code, "it has no quantities: add them with `planner job change`, or use --like"
        )
    basis = basis_of(location, wanted, now.date())
    others_ = _Others(facts, now, order, wanted, basis, seed)
    found, others = _harmless(others_, season, order, job.code)
    mine = found.plan.of_job(job.code)
    earliest = found.finish.date()
    before = finishes(tuple(b for b in order if b.job != job.code and b.key in season.works))
    percent = basis.book.safe_percent if sure is None else sure
    safe = max(earliest, _percentile_day(wanted, season, basis, found.plan, job.code, seed, percent))
    return Offer(
        job=job.code,
        client=job.client,
        crew=mine[0].lead,
        start=mine[0].start.date(),
        earliest=earliest,
        percentile_day=safe,
        percentile=percent,
        shifted=found.shifted,
        earlier=_earlier(season, job.code, found, before, others_),
        plan=found.plan,
        waits=waits,
        crew_h=booked_h(mine),
        in_season=safe <= season.last_day,
        others=others.fallen,
        kept_change=others.change,
        kept_error=others.error,
    )


def _place(season: Season, order: Sequence[Booking], code: str) -> Insertion:
    """Where the job fits: in the order kept, else in one that a search finds and that makes nobody late."""
    from planner.schedule.answers.repair import Insertion, insert
    from planner.schedule.model.effort import Effort
    from planner.schedule.solve import solve

    try:
        return insert(season, order, code)
    except NoPlanInTime:
        old = tuple(b for b in order if b.key in season.works)
        effort = Effort(steps=STEPS * len({b.job for b in old}), exact_jobs=0, bound=False)
        plan = solve(season, effort=effort, start=Plan(old, Cost(), PlanState.FEASIBLE, season.now))
        if hurts(season, code, finishes(old), plan):
            raise
        then, was = finishes(plan.bookings), finishes(old)
        moved = tuple(sorted(job for job in was if then.get(job) != was[job]))
        return Insertion(code, max(b.end for b in plan.of_job(code)), moved, plan)


@dataclass(frozen=True, slots=True)
class _Effect:
    """Jobs whose chance falls, most first; promises kept more on average, its standard error."""

    fallen: tuple[OtherChance, ...] = ()
    change: float = 0.0
    error: float = 0.0

    @property
    def harmless(self) -> bool:
        """True when it costs the others next to nothing."""
        falls = [other.before_chance - other.then_chance for other in self.fallen]
        return self.change >= -MOST_HARM and max(falls, default=0.0) <= MOST_FALL


def _can_be_played(season: Season, booking: Booking) -> bool:
    """False where its crew or its machine is gone: nobody knows how long it would take."""
    return set(booking.crews) <= set(season.crews) and not units_gone(booking, season.machines)


class _Others:
    """The promises of others, played without the place once and with each place that is tried."""

    def __init__(
        self,
        facts: Facts,
        now: datetime,
        order: Sequence[Booking],
        wanted: Facts,
        basis: Basis,
        seed: int,
    ) -> None:
        from planner.schedule.answers.freeze import freeze

        self.wanted, self.basis, self.seed = wanted, basis, seed
        self.season = freeze(season_of(facts, now))
        self.rows = [b for b in order if b.key in self.season.works and _can_be_played(self.season, b)]
        self.was = self._played(facts, self.season, self.rows) if self.rows else None

    def _played(self, facts: Facts, season: Season, rows: Sequence[Booking]) -> Draws:
        return played(facts, season, rows, self.basis, seasons=SEASONS, seed=self.seed)

    def with_place(self, season: Season, plan: Plan, code: str) -> _Effect:
        """What the plan with the place in it does to them."""
        if self.was is None:
            return _Effect()
        then = self._played(self.wanted, season, plan.bookings)
        found = []
        for other in sorted({b.job for b in self.rows} - {code}):
            a, b = kept_chance(self.season, self.was, other), kept_chance(season, then, other)
            if a is not None and b is not None and a - b >= LEAST_FALL:
                found.append(OtherChance(other, season.jobs[other].client, a, b))
        change = more_kept(kept_by_season(self.season, self.was), kept_by_season(season, then))
        return _Effect(tuple(sorted(found, key=lambda o: (o.then_chance - o.before_chance, o.job))), *change)


def _harmless(
    others: _Others, season: Season, order: Sequence[Booking], code: str
) -> tuple[Insertion, _Effect]:
    """The earliest place that costs the others next to nothing in chance.

    Where the earliest on paper costs more, later begins are tried by halves up to the end of their work; the
    last of them when each costs more. What is earlier stays to be priced.
    """
    found = _place(season, order, code)
    effect = others.with_place(season, found.plan, code)
    if effect.harmless:
        return found, effect
    ends = sorted(finishes(tuple(others.rows)).values())
    low, high = 0, len(ends) - 1
    best: tuple[Insertion, _Effect] | None = None
    while low <= high:
        middle = high if best is None else (low + high) // 2
        try:
            tried = _place(_not_before(season, code, ends[middle]), order, code)
        except NoPlanInTime:
            break
        then = others.with_place(season, tried.plan, code)
        if best is None or then.harmless:
            best, high = (tried, then), middle - 1
        else:
            low = middle + 1
    if best is None:
        return found, effect
    ahead = (found.plan, *found.earlier, *best[0].earlier)
    return replace(best[0], earlier=tuple(p for p in ahead if p is not best[0].plan)), best[1]


def _not_before(season: Season, code: str, day: date) -> Season:
    """The season in which the job begins no sooner."""
    works = {
        key: replace(work, opens=max(day, work.opens or day), opens_why=work.opens_why or "others first")
        if key.job == code
        else work
        for key, work in season.works.items()
    }
    return replace(season, works=works)


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
        season = freeze(season_of(facts, now))
        held_from = _not_before(season, one.job, one.start) if one.start else season
        order = insert(held_from, order, one.job).plan.bookings
    return facts, order


def _earlier(
    season: Season, code: str, harmless: Insertion, before: dict[str, date], others: _Others
) -> tuple[Earlier, ...]:
    """The plans that finish the job earlier, each with whom it hurts and its price; earliest first."""
    earliest = harmless.plan.finish(code)
    found: dict[date, Earlier] = {}
    for plan in harmless.earlier:
        mine = plan.of_job(code)
        finish = max(b.end for b in mine).date()
        if earliest is None or finish >= earliest:
            continue
        more = plan.cost.total_cents - harmless.plan.cost.total_cents
        change = others.with_place(season, plan, code).change
        one = Earlier(finish, mine[0].start.date(), hurts(season, code, before, plan), more, change)
        if finish not in found or more < found[finish].more_cents:
            found[finish] = one
    return tuple(found[day] for day in sorted(found))


def _percentile_day(
    facts: Facts, season: Season, basis: Basis, plan: Plan, code: str, seed: int, percent: float
) -> date:
    """The finish at a percentile of the played seasons; only work up to it is played."""
    last = max(b.end for b in plan.bookings if b.job == code)
    rows = [b for b in plan.bookings if b.start <= last]
    draws = played(facts, season, rows, basis, seasons=SEASONS, seed=seed)
    return finish_at(draws, code, percent)


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
