"""What a job, crew, machine, firm, log or loss may not be, before it is stored.

Each `faults_of_*` gives every fault with field, value and fix; nothing is raised here. The database's own
CHECKs say the same once more.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Iterator
from datetime import date, datetime

from planner.domain.dates import FIRST_DAY, LAST_DAY, figures, long_day, long_span
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew, Machine, Person, Truck
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import ITEMS, DayRange, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.people import MAY
from planner.domain.firm.phases import SKILLS, Phase
from planner.domain.firm.visits import LEAST_H, MOST_H, MOST_HANDS, DayPart, VisitKind, checked_rule
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.units import METRIC_OF

CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,23}")
KEY = re.compile(r"[a-z][a-z0-9_-]{0,31}")
LINE_LENGTH, TEXT_LENGTH = 500, 10_000


def faults_of_job(job: Job) -> list[BadInput]:
    """Every fault of a job."""
    found = [
        *_code("code", job.code),
        *_filled("client", job.client),
        *_line("address", job.address),
        *_line("phone", job.phone, 40),
        *_line("region", job.region, 80),
        *_text("notes", job.notes),
        *_text("site_notes", job.site_notes),
        *_place(job.latitude_deg, job.longitude_deg),
        *_date("promised", job.promised),
        *_range("importance", job.importance, 0, 1000),
        *_range("carry_ft", job.carry_ft, 0, 5000),
        *_range("depth_in", job.depth_in, 0, 240),
        *_range("shelves", job.shelves, 0, 10),
    ]
    found += _visit(job)
    for gate in job.gates:
        found += [*_date("gate", gate.opens), *_line("gate note", gate.note)]
    for days in job.blackouts:
        found += _days("blackout", days)
    for line in job.lines:
        found += _job_line(line.item, line.quantity, line.note)
    for phase, need in job.needs.items():
        found += _skills(f"{phase.words} skills", need.skills or ())
        for kind, units in (need.machines or {}).items():
            found += [*_key("machine", kind), *_range(f"{kind} units", units, 0, 100)]
    for pin in job.pins:
        if pin.crew is None and pin.start is None:
            found.append(BadInput("pin", pin.phase.words, "name a crew, a start, or both"))
        found += _date("pin start", pin.start)
    if len({p.phase for p in job.pins}) < len(job.pins):
        found.append(BadInput("pin", "the same phase twice", "pin each phase once"))
    return found


def _visit(job: Job) -> Iterator[BadInput]:
    if job.visit is None:
        if job.on_site_h is not None or job.pond or job.repeats or job.day_part is not DayPart.ANY:
            kinds = ", ".join(kind.value for kind in VisitKind)
            yield BadInput("visit", "missing", f"say which kind of visit it is: {kinds}")
        return
    if job.lines:
        yield BadInput(
            "visit", job.visit.value, "a visit has no quantities: take them away, or make it a job"
        )
    if any(phase is not Phase.VISIT for phase in (*job.needs, *(pin.phase for pin in job.pins))):
        yield BadInput("phase", job.visit.value, "a visit has one phase only: visit")
    if job.on_site_h is not None and not LEAST_H <= job.on_site_h <= MOST_H:
        fix = f"a visit takes {LEAST_H:g} to {MOST_H:g} hours of one day: make it two visits, or a job"
        yield BadInput("on_site_h", job.on_site_h, fix)
    if not 1 <= job.hands <= MOST_HANDS:
        yield BadInput("hands", job.hands, f"a visit asks for 1 to {MOST_HANDS} hands")
    if job.pond:
        yield from _code("pond", job.pond)
    try:
        plain = checked_rule(job.repeats)
    except BadInput as fault:
        yield fault
    else:
        if plain != job.repeats:
            yield BadInput("repeats", job.repeats, f"write {plain or 'nothing'}")


def _job_line(item: str, quantity: float, note: str) -> Iterator[BadInput]:
    if item not in ITEMS:
        yield BadInput("item", item, f"use one of: {', '.join(ITEMS)}")
    yield from _range(item if item in ITEMS else "quantity", quantity, 0, 1e6)
    yield from _line("line note", note)
    whole = item in ITEMS and ITEMS[item].unit == "count" and math.isfinite(quantity)
    if whole and quantity != int(quantity):
        yield BadInput(item, quantity, "count whole pieces")


def faults_of_crew(crew: Crew) -> list[BadInput]:
    """Every fault of a crew."""
    found = [
        *_filled("crew", crew.name, 60),
        *_line("lead", crew.lead, 120),
        *_range("size", crew.size, 1, 20),
        *_range("pace", crew.pace, 0.2, 5),
        *_skills("skills", crew.skills),
        *_place(crew.depot_latitude_deg, crew.depot_longitude_deg),
    ]
    for days in crew.days_off:
        found += _days("days off", days)
    for person in crew.people:
        found += _person(person, crew)
    if len({p.name for p in crew.people}) < len(crew.people):
        found.append(BadInput("people", "the same name twice", "tell them apart, like Joe B"))
    if len(crew.people) > crew.size:
        fix = f"{crew.name} has {crew.size} hands: raise its size first"
        found.append(BadInput("people", len(crew.people), fix))
    return found


def faults_of_may(person: Person, machines: Iterable[str]) -> list[BadInput]:
    """A fault for each word that is neither a kind of machine on record nor something a person may do."""
    known = list(dict.fromkeys((*MAY, *machines)))
    return [
        BadInput("may", word, did_you_mean(word, known, f"use any of: {', '.join(known)}"))
        for word in sorted(person.may - set(known))
    ]


def _person(person: Person, crew: Crew) -> Iterator[BadInput]:
    yield from _filled("person", person.name, 60)
    for word in sorted(person.may):
        yield from _key("may", word)
    if not 0 < person.counts <= 1:
        yield BadInput("counts", person.counts, "use a number above 0, up to 1 for a seasoned hand")
    for days in person.away:
        yield from _days("days away", days)
    for loan in person.lent:
        yield from _days("days lent", loan.days)
        yield from _filled("lent to", loan.to, 60)
        if loan.to == crew.name:
            yield BadInput("lent to", loan.to, f"{person.name} belongs to {crew.name}: name another crew")


def faults_of_machine(machine: Machine) -> list[BadInput]:
    """Every fault of a machine."""
    found = [
        *_key("machine", machine.key),
        *_filled("words", machine.words, 120),
        *_range("units", machine.units, 0, 100),
        *_range("move_cost_usd", machine.move_cost_usd, 0, 100_000),
        *_range("move_h", machine.move_h, 0, 24),
        *_range("bucket_ft3", machine.bucket_ft3, 0, 200),
        *_range("mass_t", machine.mass_t, 0, 100),
        *_range("towed_lb", machine.towed_lb, 0, 100_000),
    ]
    for out in machine.out:
        found += [*_days("days out", out.days), *_range("units out", out.units, 1, 100)]
    return found


def faults_of_truck(truck: Truck) -> list[BadInput]:
    """Every fault of a truck."""
    found = [
        *_key("truck", truck.key),
        *_filled("words", truck.words, 120),
        *_range("tows_lb", truck.tows_lb, 0, 100_000),
        *_range("payload_lb", truck.payload_lb, 0, 100_000),
        *_range("tows_day", truck.tows_day, 1, 20),
        *_line("crew", truck.crew, 60),
    ]
    for days in truck.out:
        found += _days("days in the shop", days)
    return found


def faults_of_firm(firm: Firm) -> list[BadInput]:
    """Every fault of the firm's settings."""
    found = [
        *_filled("name", firm.name),
        *_line("phone", firm.phone, 40),
        *_range("paid_h_day", firm.paid_h_day, 0.5, 16),
        *_range("meal_break_min", firm.meal_break_min, 0, 240),
        *_range("planning_percentile", firm.planning_percentile, 1, 99),
        *_place(firm.depot_latitude_deg, firm.depot_longitude_deg),
        *_range("road_factor", firm.road_factor, 1, 5),
        *_range("road_mph", firm.road_mph, 1, 100),
        *_range("unknown_site_mi", firm.unknown_site_mi, 0, 1000),
        *_range("daily_setup_h", firm.daily_setup_h, 0, 8),
        *_date("season_first", firm.season_first),
        *_date("season_last", firm.season_last),
    ]
    if firm.season_first > firm.season_last:
        found.append(
            BadInput(
                "season_last",
                figures(firm.season_last),
                f"end after the start on {long_day(firm.season_first)}",
            )
        )
    if not firm.weekdays or not firm.weekdays <= set(range(7)):
        found.append(BadInput("weekdays", sorted(firm.weekdays), "name at least one weekday"))
    if firm.units not in ("us", "metric"):
        found.append(BadInput("units", firm.units, "use us or metric"))
    minutes = firm.shift_start.hour * 60 + firm.shift_start.minute
    if firm.shift_start.second or firm.shift_start.microsecond or firm.shift_start.tzinfo:
        found.append(BadInput("shift_start", firm.shift_start, "use hours and minutes, like 07:00"))
    if not found and minutes + firm.paid_h_day * 60 + firm.meal_break_min > 24 * 60:
        found.append(BadInput("shift_start", firm.shift_start, "the shift must end before midnight"))
    found += [*_country(firm), *_zone(firm.time_zone)]
    for days in firm.days_off:
        found += _days("days off", days)
    for day in firm.work_days:
        found += _date("work day", day)
    for day in firm.half_days:
        found += _date("half day", day)
    for name in firm.weights.__dataclass_fields__:
        found += _range(f"weight {name}", getattr(firm.weights, name), 0, 1e6)
    return found


def faults_of_log(log: Log) -> list[BadInput]:
    """Every fault of an entry of hours."""
    found = [
        *_filled("crew", log.crew, 60),
        *_code("job", log.job),
        *_date("day", log.day),
        *_range("crew_h", log.crew_h, 0, 24),
        *_range("lost_h", log.lost_h, 0, 24),
        *_line("lost_why", log.lost_why),
        *_range("people", log.people, 0, 50),
        *_text("note", log.note),
        *_filled("source", log.source, 200),
    ]
    if log.share_done is not None:
        found += _range("share_done", log.share_done, 0, 1)
    return found


#: which kind of loss names which kind of target
NEEDS_TARGET = frozenset(
    {
        LostKind.CREW_OFF,
        LostKind.CREW_SHORT,
        LostKind.MACHINE_DOWN,
        LostKind.DELIVERY,
        LostKind.INSPECTION,
    }
)


def faults_of_lost(lost: LostTime) -> list[BadInput]:
    """Every fault of an entry of lost time."""
    found = [
        *_days("days", lost.days),
        *_line("target", lost.target, 80),
        *_range("people", lost.people, 0, 50),
        *_text("note", lost.note),
    ]
    if lost.kind in NEEDS_TARGET and not lost.target.strip():
        found.append(BadInput("target", lost.target, f"say whom or what the {lost.kind.value} concerns"))
    return found


def _code(field: str, value: str) -> Iterator[BadInput]:
    if not CODE.fullmatch(value):
        yield BadInput(
            field, value, "use up to 24 letters, digits, dots, dashes, starting with a letter or digit"
        )


def _key(field: str, value: str) -> Iterator[BadInput]:
    if not KEY.fullmatch(value):
        yield BadInput(field, value, "use up to 32 small letters, digits, dashes, starting with a letter")


def _filled(field: str, value: str, length: int = LINE_LENGTH) -> Iterator[BadInput]:
    if not value.strip():
        yield BadInput(field, value, "fill it in")
    yield from _line(field, value, length)


def _line(field: str, value: str, length: int = LINE_LENGTH) -> Iterator[BadInput]:
    if len(value) > length:
        yield BadInput(field, value, f"shorten it to {length} characters")
    elif any(_control(c) for c in value):
        yield BadInput(field, value, "leave out control characters")


def _text(field: str, value: str) -> Iterator[BadInput]:
    if len(value) > TEXT_LENGTH:
        yield BadInput(field, value, f"shorten it to {TEXT_LENGTH} characters")
    elif any(_control(c) and c not in "\n\t" for c in value):
        yield BadInput(field, value, "leave out control characters")


def _control(char: str) -> bool:
    return unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp")


def _range(field: str, value: float, low: float, high: float) -> Iterator[BadInput]:
    if not low <= value <= high:
        unit = field.rpartition("_")[2]
        shown = f" {unit}" if unit in METRIC_OF else ""
        yield BadInput(field, value, f"use a number from {low:g} to {high:.10g}{shown}")


def _date(field: str, value: date | datetime | None) -> Iterator[BadInput]:
    if value is None:
        return
    day = value.date() if isinstance(value, datetime) else value
    if not FIRST_DAY <= day <= LAST_DAY:
        yield BadInput(field, value, "choose a year from 2000 to 2100")


def _days(field: str, days: DayRange) -> Iterator[BadInput]:
    if days.first > days.last:
        yield BadInput(field, long_span(days.first, days.last), "end on or after the first day")
    yield from _date(field, days.first)
    yield from _date(field, days.last)
    yield from _line(f"{field} reason", days.why)


def _skills(field: str, skills: Iterable[str]) -> Iterator[BadInput]:
    for skill in sorted(set(skills) - set(SKILLS)):
        yield BadInput(field, skill, f"use one of: {', '.join(SKILLS)}")


def _place(lat: float | None, lon: float | None) -> Iterator[BadInput]:
    if (lat is None) != (lon is None):
        yield BadInput("latitude and longitude", "one without the other", "give both or neither")
    if lat is not None:
        yield from _range("latitude", lat, -90, 90)
    if lon is not None:
        yield from _range("longitude", lon, -180, 180)


def _country(firm: Firm) -> Iterator[BadInput]:
    if not firm.country:
        return
    import holidays

    known = holidays.list_supported_countries(include_aliases=False)
    if firm.country not in known:
        yield BadInput("country", firm.country, "use a two-letter country code, like US, or leave it empty")
    elif firm.state and firm.state not in known[firm.country]:
        yield BadInput("state", firm.state, f"use one of: {', '.join(known[firm.country]) or 'none'}")


def _zone(name: str) -> Iterator[BadInput]:
    from zoneinfo import ZoneInfo

    try:
        ZoneInfo(name)
    except (ValueError, OSError, KeyError):
        yield BadInput("time_zone", name, "use an IANA name, like America/New_York")
