"""The crew lead's day: where, what in which order, with what, how exactly, and what must not go wrong.

In: the roster, a plan, a crew, a date, the checklist. Out: a `DaySheet`, the same noun for terminal, phone
and paper. Its `mark` names what it says: a returned sheet carries it back.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.domain.crew_day import asking
from planner.domain.crew_day.board import short_day
from planner.domain.crew_day.checklist import Checklist
from planner.domain.crew_day.instead import instead
from planner.domain.crew_day.misses import LoggedMiss, signed_in
from planner.domain.crew_day.pauses import Gap, pauses, setup_words
from planner.domain.crew_day.ready import Line, Ready, ready, texts
from planner.domain.crew_day.towed import towing_cautions
from planner.domain.design.design import Design
from planner.domain.design.levels import Levels
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import ITEMS, Job
from planner.domain.firm.people import lead_of, who_runs
from planner.domain.firm.phases import Phase, PhaseRule
from planner.domain.firm.records import Moved
from planner.domain.firm.sun import Daylight, daylight
from planner.domain.safety.heat import Advice, Forecast, weather_advice
from planner.domain.safety.weather import LIKELY_LOST
from planner.domain.season.plan import Plan
from planner.domain.standing.hindrance import why_off
from planner.domain.standing.roster import Roster
from planner.domain.standing.stale import touching
from planner.domain.standing.stints import Stint, booking_days, stints
from planner.domain.wording import number, shown
from planner.errors import BadInput

#: How far ahead the "tomorrow" line looks for the crew's next work [days].
LOOK_AHEAD_DAYS = 14
#: Phases that cut ground or set boxes: their tasks list every level of the design.
LEVELLED = (Phase.DIG, Phase.SET_FILTERS)


@dataclass(frozen=True, slots=True)
class Quantity:
    """One quantity of the whole phase, as the firm sees it: ("bank dug by machine", "12 cy").

    own: this crew's part by hands where two crews share it, "" where one does it all.
    """

    words: str
    amount: str
    own: str = ""


@dataclass(frozen=True, slots=True)
class Task:
    """One stint with all that the crew needs for it.

    next_waits: what the following phase waits for; open_gates: conditions that the office has not ticked off;
    not_yet: those of them that go by the day (orders, hindrances); locate: how the utility locate stands
    where ground is opened, "" when it is clear, and then cleared says by which request. All go by the hour
    like the weather: the sheet's mark leaves them out.
    levels: of the job's kept design, None without one; told where ground is cut or a box set. beside: the
    crews that work on it too, the lead first; share: this crew's part of all their hands, 0 to 1. signed: the
    hold points (keys) that an earlier day's return signed; the mark leaves them out, they arrive late.
    design: the kept one, which the sheet draws; parted: how job and design differ, "" when they agree.
    pause: the hours before it that are no work; meal: the break inside it; "" where there is none.
    """

    stint: Stint
    job: Job
    quantities: tuple[Quantity, ...]
    ready: Ready
    next_waits: tuple[str, ...] = ()
    open_gates: tuple[str, ...] = ()
    not_yet: tuple[str, ...] = ()
    locate: str = ""
    cleared: str = ""
    levels: Levels | None = None
    beside: tuple[Crew, ...] = ()
    share: float = 1.0
    signed: frozenset[str] = frozenset()
    design: Design | None = None
    parted: str = ""
    pause: str = ""
    meal: str = ""

    @property
    def holds(self) -> tuple[Line, ...]:
        """The hold points: checked and signed before anything goes on."""
        return tuple(line for line in self.ready.lines if line.hold)

    @property
    def key(self) -> str:
        """Short name of the task within its sheet: "P-014/dig/1"."""
        work = self.stint.key
        return f"{work.job}/{work.phase.value}/{work.part}"


@dataclass(frozen=True, slots=True)
class Tomorrow:
    """The crew's next working day with work on it. day None: nothing planned in the next two weeks.

    load: what to load for it the evening before.
    """

    day: date | None
    stints: tuple[Stint, ...] = ()
    load: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DaySheet:
    """One crew's day. why_off: why there is no work, "" when there is or when the day is just free; office:
    whom the lead calls, with the phone, "" when none is stated; arrives: what comes to its sites; idle: the
    hours after the last task; setup: what of the planned ones is set-up; changed: what changed since the plan
    was made that touches this day, of all that did (moved); runs: who of the named people there may run each
    machine of the day; instead: what may be done where nothing of the planned work can be.
    """

    crew: str
    lead: str
    people: int
    day: date
    plan_number: int
    published: bool
    units: str
    mark: str
    tasks: tuple[Task, ...]
    load: tuple[str, ...]
    tools: tuple[str, ...]
    today: tuple[str, ...]
    rain: tuple[str, ...]
    cautions: tuple[str, ...]
    every_day: tuple[str, ...]
    tomorrow: Tomorrow
    edition: str
    basis: str
    why_off: str = ""
    daylight: Daylight | None = None
    advice: tuple[Advice, ...] = ()
    missed: tuple[LoggedMiss, ...] = ()
    short: str = ""
    moved: tuple[Moved, ...] = ()
    office: str = ""
    arrives: tuple[str, ...] = ()
    idle: str = ""
    setup: str = ""
    changed: tuple[Moved, ...] = ()
    runs: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()

    @property
    def taken(self) -> str:
        """Why nothing of the planned work can be done ("rain"), "" when some can or none is planned."""
        return self.why_off if self.tasks else ""

    @property
    def sites(self) -> tuple[Job, ...]:
        """The day's jobs in order, each once."""
        return tuple({t.job.code: t.job for t in self.tasks}.values())

    @property
    def crew_h(self) -> float:
        """Planned hours of the day [crew-hours]."""
        return sum(t.stint.crew_h for t in self.tasks)


def day_sheet(
    roster: Roster,
    plan: Plan,
    crew: str,
    day: date,
    checklist: Checklist,
    *,
    rules: Mapping[Phase, PhaseRule] | None = None,
    forecast: Forecast | None = None,
    missed: Sequence[LoggedMiss] = (),
    logged: Sequence[Log] = (),
) -> DaySheet:
    """The sheet of `crew` for `day` by `plan`. Raises BadInput when there is no such crew.

    missed: the open misses of all jobs; the sheet carries those of the jobs that it goes to. logged: hours
    that came back; hold points that they signed on an earlier day are shown as signed.
    """
    if crew not in roster.crews:
        raise BadInput("crew", crew, f"use one of {', '.join(roster.crews) or 'none yet: add a crew first'}")
    who, rules = roster.crews[crew], rules or {}
    before = [log for log in logged if log.day < day]
    found = stints(roster, plan, crew, day)
    pause = pauses(roster, plan, rules, found)
    tasks = tuple(
        replace(_task(roster, plan, s, checklist, rules, before), pause=_told(gap), meal=meal)
        for s, gap, meal in zip(found, pause.before, pause.within, strict=True)
    )
    made = DaySheet(
        crew=crew,
        lead=lead_of(who, day),
        people=who.size,
        day=day,
        plan_number=plan.number,
        published=plan.published_at is not None,
        units=roster.firm.units,
        mark="",
        tasks=tasks,
        load=_loads(tasks),
        tools=_once(t.ready.tools for t in tasks),
        today=_once(t.ready.today for t in tasks),
        rain=_once(t.ready.rain for t in tasks),
        cautions=(*_once(t.ready.cautions for t in tasks), *towing_cautions(roster, found)),
        every_day=_every_day(tasks, checklist, who.size, roster.firm.units),
        tomorrow=_tomorrow(roster, plan, crew, day, checklist),
        edition=checklist.edition,
        basis=checklist.basis,
        why_off=_why_off(roster, crew, day, found),
        daylight=_daylight(roster, tasks[0].job if tasks else None, day),
        advice=_advice(roster, tasks, day, forecast),
        short=short_day(roster, crew, day),
        missed=tuple(m for m in missed if m.day <= day and m.job in {t.job.code for t in tasks}),
        moved=roster.moved,
        changed=touching(roster.moved, roster.lost, _names(crew, found), day),
        idle=_told(pause.after),
        setup=setup_words(roster.firm, found, all(t.job.visit is not None for t in tasks)),
        runs=_runs(roster, tasks, who, day),
        office=f"{roster.firm.name}, {roster.firm.phone}" if roster.firm.phone else "",
    )
    return replace(made, mark=sheet_mark(made), instead=_instead(roster, found, made))


def _instead(roster: Roster, found: Sequence[Stint], made: DaySheet) -> tuple[str, ...]:
    return instead(roster, found, made.rain) if made.taken else ()


def _why_off(roster: Roster, crew: str, day: date, found: Sequence[Stint]) -> str:
    """Why the crew does no work on a day: nothing planned, or nothing of what is planned can be done."""
    if any(s.crew_h > 0 for s in found):
        return ""
    return why_off(roster, crew, day) or next((s.hindrance for s in found if s.hindrance), "")


def _told(gap: Gap | None) -> str:
    return gap.told if gap else ""


def _names(crew: str, found: Sequence[Stint]) -> set[str]:
    """The crew, jobs and kinds of machines of a day."""
    jobs = {s.key.job for s in found}
    return {crew, *jobs, *(use.kind for s in found for use in s.booking.machines)}


def _runs(roster: Roster, tasks: Sequence[Task], crew: Crew, day: date) -> tuple[str, ...]:
    """ "mini excavator: run by Ada Marsh or Ben Ortiz", for each kind that the crew brings."""
    kinds = dict.fromkeys(trip.use.kind for task in tasks for trip in task.stint.trips)
    named = {kind: who_runs(crew, kind, day) for kind in kinds}
    return tuple(
        f"{roster.machine_name(kind)}: run by {' or '.join(who)}" for kind, who in named.items() if who
    )


def _advice(
    roster: Roster, tasks: Sequence[Task], day: date, forecast: Forecast | None
) -> tuple[Advice, ...]:
    """What the weather means for the day's work: by `forecast`, else by the kept one if it tells of it."""
    phases, units = {t.stint.key.phase for t in tasks}, roster.firm.units
    told = roster.forecast.on(day) if roster.forecast and tasks else None
    if forecast is not None or told is None or roster.forecast is None:
        return weather_advice(forecast, phases, units) if forecast else ()
    lost = told.lost_chance(roster.forecast.per_wet_day)
    rain = f"Rain may take the day, {100 * lost:.0f} % likely: ask the office before you load."
    said = Advice(f"Weather: {told.words(units)} ({roster.forecast.source}).")
    taken = (Advice(rain, True),) if lost >= LIKELY_LOST else ()
    return (*taken, said, *weather_advice(told.heat, phases, units))


def _every_day(tasks: Sequence[Task], checklist: Checklist, people: int, units: str) -> tuple[str, ...]:
    """The cautions that stand whatever the phase, each once."""
    return _once(
        texts(checklist.every_day, t.job, part=0, first_day=True, people=people, units=units) for t in tasks
    )


def sheet_mark(sheet: DaySheet) -> str:
    """Eight hexadecimal digits that name what the sheet says to its crew.

    Steps, texts, measures, bands, crew, jobs, day, hours, machines: a change of any makes another mark. The
    plan's number, the weather and the look at tomorrow are left out: the same day's work keeps its mark under
    a new plan.
    """
    said = [sheet.crew, sheet.lead, sheet.people, sheet.day, sheet.units]
    said += [
        sheet.missed,
        sheet.load,
        sheet.tools,
        sheet.today,
        sheet.rain,
        sheet.cautions,
        sheet.every_day,
        sheet.basis,
        sheet.short,
    ]
    said += [sheet.runs] if sheet.runs else []
    for task in sheet.tasks:
        stint, job = task.stint, task.job
        said += [task.key, stint.start, stint.end, stint.crew_h, stint.day_number, stint.day_count]
        said += [stint.share_after, stint.booking.crews, stint.trips, task.quantities, task.ready]
        said += [(trip.truck, trip.towing) for trip in stint.trips if trip.truck]
        asked = tuple(text for text in task.open_gates if text not in task.not_yet)
        said += [task.next_waits, asked, task.levels]
        said += [(crew.name, crew.lead, crew.size) for crew in task.beside]
        said += [job.client, job.address, job.access.value, job.soil.value, job.wet, job.site_notes]
        said += [job.visit_words] if job.visit is not None else []
    return hashlib.sha256("\n".join(map(repr, said)).encode()).hexdigest()[:8]


def _task(
    roster: Roster,
    plan: Plan,
    stint: Stint,
    checklist: Checklist,
    rules: Mapping[Phase, PhaseRule],
    before: Sequence[Log],
) -> Task:
    job, key, units = roster.jobs[stint.key.job], stint.key, roster.firm.units
    levels = roster.levels(job.code)
    others = (roster.crews[n] for n in stint.booking.crews if n != stint.crew and n in roster.crews)
    beside = tuple(replace(crew, lead=lead_of(crew, stint.day)) for crew in others)
    size = roster.crews[stint.crew].size
    share = size / (size + sum(crew.size for crew in beside))
    split = any(b.job == key.job and b.phase is key.phase and b.key.part > 1 for b in plan.bookings)
    not_yet = tuple(asking.not_yet(roster, stint))
    return Task(
        stint=stint,
        job=job,
        quantities=tuple(_quantities(stint, job, key.part if split else 0, units, share)),
        ready=_own_part(
            stint,
            ready(
                checklist.phases[key.phase],
                job,
                part=key.part if split else 0,
                first_day=_first_day(roster, stint),
                people=size,
                units=units,
                levels=levels,
                materials=() if stint.helps else roster.materials(job.code),
            ),
        ),
        beside=beside,
        share=share,
        levels=levels if key.phase in LEVELLED else None,
        next_waits=tuple(_waits(key.phase, rules)),
        open_gates=(*not_yet, *asking.open_gates(roster, stint)),
        not_yet=not_yet,
        locate=asking.locate(roster, stint),
        cleared=asking.cleared(roster, stint),
        signed=signed_in(before, key.job, key.phase),
        design=roster.designs.get(job.code),
        parted=roster.parted(job.code),
    )


def _first_day(roster: Roster, stint: Stint) -> bool:
    """Whether the phase begins on this day: as planned, or as hours that came back say."""
    if stint.begins:
        return True
    heard, booking = roster.heard.get(stint.crew), stint.booking
    if heard is None or heard < booking.start.date() or (booking.job, booking.phase) in roster.begun:
        return False
    days = (day for day, _ in booking_days(roster, booking, booking.lead))
    return all(day <= heard for day in days if day < stint.day)


def _own_part(stint: Stint, whole: Ready) -> Ready:
    """The crew's own part of a phase that two share.

    The lead crew brings the material, measures, takes the photos and signs the hold points.
    """
    if not stint.helps:
        return whole
    steps = tuple(replace(line, wanted=None) for line in whole.lines if not line.hold)
    return replace(whole, lines=steps, load=(), photos=())


def _quantities(stint: Stint, job: Job, part: int, units: str, share: float) -> Iterable[Quantity]:
    """The phase's quantities; of shared work each crew's part by its hands, the machine's with who leads."""
    phase = stint.key.phase
    for item in ITEMS.values():
        amount = job.amount(item.key)
        wanted = part == 0 or item.part in (0, part)
        by_machine = item.key == "dig_machine_cy"
        if item.phase is phase and amount > 0 and wanted and not (by_machine and stint.helps):
            shared = share < 1 and not by_machine and item.unit != "count"
            own = shown(amount * share, item.unit, units) if shared else ""
            yield Quantity(item.words, shown(amount, item.unit.replace("count", ""), units), own)
    fill_gal, hose_gpm = job.amount("fill_gal"), job.amount("hose_gpm")
    if phase is Phase.FILL and part != 2 and fill_gal > 0 and hose_gpm > 0:
        yield Quantity("open hose, about", f"{number(round(fill_gal / hose_gpm / 60.0, 1))} h")


def _waits(phase: Phase, rules: Mapping[Phase, PhaseRule]) -> Iterable[str]:
    """What a later phase waits for in this one, beyond plain order."""
    for later, rule in rules.items():
        for follows in rule.follows:
            if follows.before is not phase:
                continue
            lag = f"{number(follows.lag_h)} h after the end" if follows.lag_h else ""
            share = f"at {100 * follows.share:.0f} % done" if follows.share < 1 else ""
            when = " and ".join(filter(None, (share, lag))) or "when this is done"
            yield f"{later.words} may start {when}" + (f": {follows.why}" if follows.why else "")


def _tomorrow(roster: Roster, plan: Plan, crew: str, day: date, checklist: Checklist) -> Tomorrow:
    for n in range(1, LOOK_AHEAD_DAYS + 1):
        later = day + timedelta(days=n)
        found = stints(roster, plan, crew, later)
        if found:
            load = _loads([_task(roster, plan, s, checklist, {}, ()) for s in found])
            return Tomorrow(later, tuple(found), load)
    return Tomorrow(None)


def _daylight(roster: Roster, job: Job | None, day: date) -> Daylight | None:
    firm = roster.firm
    places = [(firm.depot_latitude_deg, firm.depot_longitude_deg)]
    if job is not None:
        places.insert(0, (job.latitude_deg, job.longitude_deg))
    for latitude_deg, longitude_deg in places:
        if latitude_deg is not None and longitude_deg is not None:
            return daylight(day, latitude_deg, longitude_deg, firm.time_zone)
    return None


def _loads(tasks: Sequence[Task]) -> tuple[str, ...]:
    """What to load, each line once; on a day with several jobs each says for which."""
    if len({t.job.code for t in tasks}) < 2:
        return _once(t.ready.load for t in tasks)
    return _once([f"{t.job.code}: {line}" for line in t.ready.load] for t in tasks)


def _once(groups: Iterable[Sequence[str]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for group in groups for text in group))
