"""The CSV files of crews, people, machines, trucks, and of days off of them, of the firm and of jobs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from planner.domain.dates import day_words, figures
from planner.domain.firm import entry, people
from planner.domain.firm.crews import Crew, Loan, Machine, MachineOut, Person, Truck
from planner.domain.firm.fields import (
    CREW_FIELDS,
    MACHINE_FIELDS,
    PERSON_FIELDS,
    TRUCK_FIELDS,
)
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.sound import (
    faults_of_crew,
    faults_of_firm,
    faults_of_job,
    faults_of_machine,
    faults_of_may,
    faults_of_truck,
)
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.flow.keeping.cells import Row, Sheet, guard
from planner.flow.keeping.kind import (
    Kind,
    Records,
    cells_of,
    field_columns,
    fixed_columns,
    number_columns,
    once,
    placed,
    read_nouns,
    with_cells,
)


def _read_crews(sheet: Sheet, records: Records) -> list[BadInput]:
    return read_nouns(
        sheet, records.crews, "name", CREW_FIELDS, lambda k: Crew(k, ""), faults_of_crew, records
    )


def _read_machines(sheet: Sheet, records: Records) -> list[BadInput]:
    new: Callable[[str], Machine] = lambda key: Machine(key, key)  # noqa: E731
    return read_nouns(sheet, records.machines, "key", MACHINE_FIELDS, new, faults_of_machine, records)


def _read_trucks(sheet: Sheet, records: Records) -> list[BadInput]:
    def faults(truck: Truck) -> list[BadInput]:
        unknown = did_you_mean(truck.crew, records.crews, "unknown crew: import it first")
        gone = truck.crew and truck.crew not in records.crews
        return [*faults_of_truck(truck), *([BadInput("crew", truck.crew, unknown)] if gone else [])]

    new: Callable[[str], Truck] = lambda key: Truck(key, key)  # noqa: E731
    return read_nouns(sheet, records.trucks, "key", TRUCK_FIELDS, new, faults, records)


PEOPLE_COLUMNS = ["name", "crew", "leads", "may", "counts"]


def _people_rows(records: Records) -> Iterable[list[str]]:
    for crew in records.crews.values():
        for person in crew.people:
            leads = "yes" if person.name == crew.lead else "no"
            name, may, counts = cells_of(person, PERSON_FIELDS, records.units)
            yield [name, guard(crew.name), leads, may, counts]


def _read_people(sheet: Sheet, records: Records) -> list[BadInput]:
    faults: list[BadInput] = []
    seen: set[str] = set()
    for row in sheet.rows:
        name, to = row.cells["name"].strip(), row.cells["crew"].strip()
        home = people.home_of(records.crews.values(), name)
        old = people.person_of(home, name) if home else Person(name)
        person, wrong = with_cells(old, PERSON_FIELDS, row, records.units)
        wrong += [*once(name, seen, "name"), *faults_of_may(person, records.machines)]
        if to not in records.crews:
            wrong.append(
                BadInput("crew", to, did_you_mean(to, records.crews, "unknown crew: import it first"))
            )
        else:
            if home is not None and home.name != to:
                records.crews[home.name] = people.without_person(home, name)
            leads = row.cells.get("leads", "").strip().lower() == "yes"
            records.crews[to] = people.with_person(records.crews[to], person, leads=leads)
            wrong += faults_of_crew(records.crews[to])
        faults += placed(sheet, row, wrong)
    return faults


DAY_COLUMNS = ["of", "name", "first", "last", "units", "why", "lent_to"]
_OF = ("firm", "worked", "half", "crew", "job", "machine", "truck", "person")


def _day_rows(records: Records) -> Iterable[list[str]]:
    def row(of: str, name: str, days: DayRange, units: str = "", to: str = "") -> list[str]:
        cells = [of, guard(name), figures(days.first), figures(days.last), units, guard(days.why)]
        return [*cells, guard(to)]

    yield from (row("firm", "", d) for d in records.firm.days_off)
    yield from (row("worked", "", DayRange(d, d)) for d in records.firm.work_days)
    yield from (row("half", "", DayRange(d, d)) for d in records.firm.half_days)
    yield from (row("crew", c.name, d) for c in records.crews.values() for d in c.days_off)
    yield from (row("job", j.code, d) for j in records.jobs.values() for d in j.blackouts)
    yield from (row("machine", m.key, o.days, str(o.units)) for m in records.machines.values() for o in m.out)
    yield from (row("truck", t.key, d) for t in records.trucks.values() for d in t.out)
    for p in (p for c in records.crews.values() for p in c.people):
        yield from (row("person", p.name, d) for d in p.away)
        yield from (row("person", p.name, one.days, "", one.to) for one in p.lent)


def _read_days(sheet: Sheet, records: Records) -> list[BadInput]:
    faults: list[BadInput] = []
    found: dict[tuple[str, str], list[MachineOut]] = {}
    hosts: dict[tuple[str, MachineOut], str] = {}
    for row in sheet.rows:
        of, name = row.cells["of"].strip().lower(), row.cells.get("name", "").strip()
        try:
            _must_be_known(of, name, records)
            days = _days_of(row)
            found.setdefault((of, name), []).append(days)
            hosts[name, days] = _host(of, row, records)
        except BadInput as fault:
            faults.append(sheet.at(fault, row.line))
    for (of, name), outs in found.items():
        if of == "person":
            faults += [
                sheet.at(f, 1) for f in _put_person(name, [(o.days, hosts[name, o]) for o in outs], records)
            ]
        else:
            faults += [sheet.at(f, 1) for f in _put_days(of, name, outs, records)]
    return faults


def _host(of: str, row: Row, records: Records) -> str:
    """The crew that a person is lent to; "" for days off."""
    to = row.cells.get("lent_to", "").strip()
    if to and of != "person":
        raise BadInput("lent_to", to, f"leave it empty for {of}")
    if to and to not in records.crews:
        raise BadInput("lent_to", to, did_you_mean(to, records.crews, "unknown crew: import it first"))
    return to


def _put_person(name: str, spans: list[tuple[DayRange, str]], records: Records) -> list[BadInput]:
    crew = people.crew_of(records.crews.values(), name)
    away = tuple(days for days, to in spans if not to)
    person = replace(people.person_of(crew, name), away=away, lent=())
    try:
        for days, to in spans:
            person = people.lent_changed(person, Loan(days, to), drop=False) if to else person
    except BadInput as fault:
        return [fault]
    records.crews[crew.name] = people.with_person(crew, person)
    return faults_of_crew(records.crews[crew.name])


def _must_be_known(of: str, name: str, records: Records) -> None:
    stored: dict[str, Mapping[str, Any]] = {
        "crew": records.crews,
        "job": records.jobs,
        "machine": records.machines,
        "truck": records.trucks,
        "person": {p.name: p for c in records.crews.values() for p in c.people},
    }
    if of not in _OF:
        raise BadInput("of", of, f"use one of: {', '.join(_OF)}")
    if of in stored and name not in stored[of]:
        raise BadInput("name", name, did_you_mean(name, stored[of], f"unknown {of}: import it first"))
    if of not in stored and name:
        raise BadInput("name", name, f"leave it empty for {of}")


def _days_of(row: Row) -> MachineOut:
    cells = row.cells
    first = entry.day("first", cells["first"])
    last = entry.day("last", cells["last"]) if cells.get("last", "").strip() else first
    if last < first:
        raise BadInput("last", cells["last"], f"end on or after the first day, {day_words(first)}")
    units = entry.whole("units", cells.get("units", "").strip() or "1")
    return MachineOut(DayRange(first, last, cells.get("why", "").strip()), units)


def _put_days(of: str, name: str, outs: list[MachineOut], records: Records) -> list[BadInput]:
    days = tuple(o.days for o in outs)
    if of == "firm":
        records.firm = replace(records.firm, days_off=days)
    elif of in ("worked", "half"):
        if any(d.first != d.last for d in days):
            return [BadInput(of, "several days", "write one line for each day")]
        every = tuple(sorted({d.first for d in days}))
        worked = of == "worked"
        firm = records.firm
        records.firm = replace(firm, work_days=every) if worked else replace(firm, half_days=every)
    elif of == "crew":
        records.crews[name] = replace(records.crews[name], days_off=days)
        return faults_of_crew(records.crews[name])
    elif of == "job":
        records.jobs[name] = replace(records.jobs[name], blackouts=days)
        return faults_of_job(records.jobs[name])
    elif of == "truck":
        records.trucks[name] = replace(records.trucks[name], out=days)
        return faults_of_truck(records.trucks[name])
    else:
        records.machines[name] = replace(records.machines[name], out=tuple(outs))
        return faults_of_machine(records.machines[name])
    return faults_of_firm(records.firm)


#: The kinds of this module, in the order in which they are imported.
CREW_KINDS = (
    Kind(
        "crews",
        "one row a crew",
        ("name",),
        *field_columns(CREW_FIELDS),
        lambda r: (cells_of(c, CREW_FIELDS, r.units) for c in r.crews.values()),
        _read_crews,
        number_columns(CREW_FIELDS),
    ),
    Kind(
        "machines",
        "one row a machine",
        ("key",),
        *field_columns(MACHINE_FIELDS),
        lambda r: (cells_of(m, MACHINE_FIELDS, r.units) for m in r.machines.values()),
        _read_machines,
        number_columns(MACHINE_FIELDS),
    ),
    Kind(
        "trucks",
        "one row a truck",
        ("key",),
        *field_columns(TRUCK_FIELDS),
        lambda r: (cells_of(t, TRUCK_FIELDS, r.units) for t in r.trucks.values()),
        _read_trucks,
        number_columns(TRUCK_FIELDS),
    ),
    Kind(
        "people",
        "one row a person",
        ("name", "crew"),
        *fixed_columns(PEOPLE_COLUMNS),
        _people_rows,
        _read_people,
        number_columns(PERSON_FIELDS),
    ),
    Kind(
        "days-off",
        "one row a span of days off",
        ("of", "first"),
        *fixed_columns(DAY_COLUMNS),
        _day_rows,
        _read_days,
    ),
)
