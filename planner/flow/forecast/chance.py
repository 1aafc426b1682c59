"""Chances of the published plan: the season played, what it says, and what would keep more promises."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from planner.domain.firm.records import Moved
from planner.domain.forecast.basis import Basis
from planner.domain.forecast.outlook import Outlook, outlook
from planner.domain.forecast.raising import Raise
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.standing.hindrance import gone
from planner.domain.standing.in_force import past_words
from planner.domain.standing.roster import Roster
from planner.domain.standing.view import unplanned_jobs
from planner.errors import PlannerError
from planner.flow.forecast.playing import basis_of, played
from planner.flow.forecast.raising import raises
from planner.flow.stored.facts import load_facts
from planner.flow.stored.roster import moved_since, read_roster
from planner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Chances:
    """The outlook, and what it rests on.

    unplayed: job -> why it is not played: its promise has no chance to tell; moved: what changed since the
    plan was made; raises: what would keep most more promises, best first, None when it was not asked.
    """

    outlook: Outlook
    plan: Plan
    season: Season
    basis: Basis
    unplayed: Mapping[str, str]
    moved: tuple[Moved, ...]
    raises: tuple[Raise, ...] | None = None


def chances(
    location: str,
    now: datetime,
    *,
    seasons: int = 1000,
    seed: int = 1,
    number: int | None = None,
    station: str | None = None,
    per_wet_day: float | None = None,
    carry_over: float | None = None,
    early: bool = False,
    quick: bool = False,
) -> Chances:
    """Play the published plan (or `number`, or the newest when none is published).

    station: a key or a name's beginning; the firm's own, else the first in its state, when None.
    per_wet_day: crew days lost per wet day; from the firm's own rain entries, else the default, when None.
    carry_over: how wet days come in spells; by the firm's luck.toml when None. quick: without what helps.
    """
    facts = load_facts(location)
    plan = _plan_to_play(location, facts, number)
    season = season_of(facts, now)
    left = [b for b in plan.bookings if b.key in season.works]
    with Store(location).reading() as book:
        roster = read_roster(book, plan, rules=facts.rules)
        moved = moved_since(book, location, plan)
    unplayed = not_played(season, plan, left, roster)
    bookings = [b for b in left if b.job not in unplayed]
    if not bookings:
        why = f" ({', '.join(dict.fromkeys(unplayed.values()))})" if unplayed else ""
        raise PlannerError(f"the plan has no work left to play{why}: make a new one with `planner plan make`")
    basis = basis_of(
        location, facts, now.date(), station=station, per_wet_day=per_wet_day, carry_over=carry_over
    )
    draws = played(facts, season, bookings, basis, seasons=seasons, seed=seed, early=early)
    shown = Plan(tuple(bookings), plan.cost, plan.state, plan.made_at, plan.number)
    seen = outlook(season, shown, draws, seed=seed)
    helps = None if quick else raises(facts, now, shown, seen, basis, seasons=seasons, seed=seed, early=early)
    return Chances(seen, plan, season, basis, unplayed, moved, helps)


def not_played(season: Season, plan: Plan, left: Sequence[Booking], roster: Roster) -> dict[str, str]:
    """Job -> why it cannot be played: it is not in the plan, its planned days are past and nobody logged
    that it is done, or its crew or machine is gone.
    """
    found = {job.code: "not in the plan" for job in unplanned_jobs(season, plan)}
    last: dict[str, date] = {}
    for booking in left:
        last[booking.job] = max(booking.end.date(), last.get(booking.job, date.min))
    found |= {job: past_words(day) for job, day in last.items() if day < season.now.date()}
    for booking in left:
        if why := gone(roster, booking):
            found.setdefault(booking.job, why)
    return found


def _plan_to_play(location: str, facts: Facts, number: int | None) -> Plan:
    if number is None and facts.published is not None:
        return facts.published
    with Store(location).reading() as book:
        return book.plan(number)
