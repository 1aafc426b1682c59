"""Firm, crews, machines and trucks on the shelf."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from datetime import date
from typing import Any

from sqlalchemy import Row, Table, delete, insert, select, update

from planner.domain import dates
from planner.domain.firm.crews import Crew, Loan, Machine, MachineOut, Person, Truck
from planner.domain.firm.firm import DAYS, Firm, Weights
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.people import hosted
from planner.domain.firm.sound import faults_of_crew, faults_of_firm, faults_of_machine, faults_of_truck
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput, BadInputs
from planner.store.schema import tables as t
from planner.store.tables.rows import Shelf, packed, placed, row_of, value_of


class PeopleShelf(Shelf):
    """Reading and writing the firm's settings, its crews, machines and trucks."""

    def firm(self) -> Firm:
        """The firm's settings; the defaults before anything was set. Dates are now written its way."""
        row = self.connection.execute(select(t.firm)).one_or_none()
        if row is None:
            return Firm()
        days_off = self.connection.execute(select(t.firm_days_off).order_by(t.firm_days_off.c.place))
        weights: dict[str, float] = dict(self.connection.execute(select(t.firm_weights)).all())
        firm = value_of(
            Firm,
            row,
            weekdays=frozenset(int(n) for n in row.weekdays.split(",")),
            days_off=tuple(value_of(DayRange, r) for r in days_off),
            work_days=self._listed_days(t.firm_work_days),
            half_days=self._listed_days(t.firm_half_days),
            weights=_weights(weights),
        )
        dates.use(firm.dates)
        return firm

    def save_firm(self, firm: Firm) -> None:
        """Keep the settings; worked and half days are kept sorted and once each."""
        if faults := faults_of_firm(firm):
            raise BadInputs(faults)
        revision = self.connection.scalar(select(t.firm.c.revision)) or 0
        before = self.firm() if revision else None
        if before is not None and packed(before) == packed(firm):
            return
        weekdays = ",".join(str(n) for n in sorted(firm.weekdays))
        row = row_of(firm, t.firm, id=1, weekdays=weekdays, revision=revision + 1)
        for table in (t.firm, t.firm_days_off, t.firm_work_days, t.firm_half_days, t.firm_weights):
            self.connection.execute(delete(table))
        self.connection.execute(insert(t.firm).values(row))
        self.fill(t.firm_days_off, placed(firm.days_off, t.firm_days_off))
        self.fill(t.firm_work_days, [{"day": day} for day in set(firm.work_days)])
        self.fill(t.firm_half_days, [{"day": day} for day in set(firm.half_days)])
        names = [f.name for f in fields(Weights)]
        self.fill(t.firm_weights, [{"name": n, "value": float(getattr(firm.weights, n))} for n in names])
        self.note("firm", "firm", before, firm)

    def _listed_days(self, table: Table) -> tuple[date, ...]:
        return tuple(self.connection.scalars(select(table.c.day).order_by(table.c.day)))

    def crews(self) -> list[Crew]:
        """Every crew, by name."""
        rows = self.connection.execute(select(t.crews).order_by(t.crews.c.name)).all()
        off = self.grouped(t.crew_days_off, "crew", None)
        people = self._people()
        return hosted(
            value_of(
                Crew,
                row,
                skills=frozenset(json.loads(row.skills)),
                days_off=tuple(value_of(DayRange, r) for r in off.get(row.name, ())),
                people=people.get(row.name, ()),
            )
            for row in rows
        )

    def _people(self) -> dict[str, tuple[Person, ...]]:
        """Crew -> the people whom the office named, in its order."""
        named = self.grouped(t.crew_people, "crew", None)
        days = self.grouped(t.person_days, "crew", None) if named else {}

        def person(row: Row[Any]) -> Person:
            mine = [
                (r.lent_to, value_of(DayRange, r)) for r in days.get(row.crew, ()) if r.person == row.name
            ]
            return value_of(
                Person,
                row,
                may=frozenset(json.loads(row.may)),
                away=tuple(span for to, span in mine if not to),
                lent=tuple(Loan(span, to) for to, span in mine if to),
            )

        return {crew: tuple(map(person, rows)) for crew, rows in named.items()}

    def crew(self, name: str) -> Crew:
        """The crew called `name`; BadInput when there is none."""
        for crew in self.crews():
            if crew.name == name:
                return crew
        names = [crew.name for crew in self.crews()]
        raise BadInput("crew", name, did_you_mean(name, names, "unknown crew: see `planner crew list`"))

    def has_crew(self, name: str) -> bool:
        """True when a crew of that name is stored."""
        return self.connection.scalar(select(t.crews.c.name).where(t.crews.c.name == name)) is not None

    def save_crew(self, crew: Crew) -> None:
        """Insert or update the crew with its days off and its people. An unchanged crew is not written.

        Guests are what other crews lend: they are stored there.
        """
        crew = replace(crew, guests=())
        if faults := [*faults_of_crew(crew), *self._named_elsewhere(crew)]:
            raise BadInputs(faults)
        revision = self.connection.scalar(select(t.crews.c.revision).where(t.crews.c.name == crew.name)) or 0
        before = replace(self.crew(crew.name), guests=()) if revision else None
        if before is not None and packed(before) == packed(crew):
            return
        row = row_of(crew, t.crews, skills=json.dumps(sorted(crew.skills)), revision=revision + 1)
        if before is None:
            self.connection.execute(insert(t.crews).values(row))
        else:
            self.connection.execute(update(t.crews).where(t.crews.c.name == crew.name).values(row))
        self.refill(
            t.crew_days_off, "crew", crew.name, placed(crew.days_off, t.crew_days_off, crew=crew.name)
        )
        self._fill_people(crew)
        self.note("crew", crew.name, before, crew)

    def _named_elsewhere(self, crew: Crew) -> list[BadInput]:
        """A fault for each of the crew's people who is another crew's."""
        rows = self.connection.execute(select(t.crew_people.c.name, t.crew_people.c.crew))
        known = {row.name: row.crew for row in rows if row.crew != crew.name}
        return [
            BadInput("people", p.name, f"{known[p.name]} has somebody of that name: tell them apart")
            for p in crew.people
            if p.name in known
        ]

    def _fill_people(self, crew: Crew) -> None:
        name = crew.name
        rows = [
            row_of(p, t.crew_people, crew=name, place=i, may=json.dumps(sorted(p.may)))
            for i, p in enumerate(crew.people)
        ]
        self.refill(t.crew_people, "crew", name, rows)
        spans = [
            (p.name, days, to)
            for p in crew.people
            for days, to in [*((d, "") for d in p.away), *((loan.days, loan.to) for loan in p.lent)]
        ]
        self.refill(
            t.person_days,
            "crew",
            name,
            [
                row_of(days, t.person_days, crew=name, place=i, person=person, lent_to=to)
                for i, (person, days, to) in enumerate(spans)
            ],
        )

    def remove_crew(self, name: str) -> None:
        """Take the crew off the shelf; hours and old plans keep its name."""
        before = replace(self.crew(name), guests=())
        self.connection.execute(delete(t.crews).where(t.crews.c.name == name))
        self.note("crew", name, before, None)

    def machines(self) -> list[Machine]:
        """Every kind of machine, by key."""
        rows = self.connection.execute(select(t.machines).order_by(t.machines.c.key)).all()
        out = self.grouped(t.machine_out, "machine", None)
        return [
            value_of(
                Machine,
                row,
                out=tuple(MachineOut(value_of(DayRange, r), r.units) for r in out.get(row.key, ())),
            )
            for row in rows
        ]

    def machine(self, key: str) -> Machine:
        """The machine called `key`; BadInput when there is none."""
        for machine in self.machines():
            if machine.key == key:
                return machine
        keys = [machine.key for machine in self.machines()]
        raise BadInput("machine", key, did_you_mean(key, keys, "unknown machine: see `planner machine list`"))

    def save_machine(self, machine: Machine) -> None:
        """Insert or update the machine with its days out. An unchanged machine is not written."""
        if faults := faults_of_machine(machine):
            raise BadInputs(faults)
        key = machine.key
        revision = self.connection.scalar(select(t.machines.c.revision).where(t.machines.c.key == key)) or 0
        before = self.machine(key) if revision else None
        if before is not None and packed(before) == packed(machine):
            return
        row = row_of(machine, t.machines, revision=revision + 1)
        if before is None:
            self.connection.execute(insert(t.machines).values(row))
        else:
            self.connection.execute(update(t.machines).where(t.machines.c.key == key).values(row))
        rows = [
            row_of(out.days, t.machine_out, machine=key, place=i, units=out.units)
            for i, out in enumerate(machine.out)
        ]
        self.refill(t.machine_out, "machine", key, rows)
        self.note("machine", key, before, machine)

    def remove_machine(self, key: str) -> None:
        """Take the machine off the shelf; old plans keep its key."""
        before = self.machine(key)
        self.connection.execute(delete(t.machines).where(t.machines.c.key == key))
        self.note("machine", key, before, None)

    def trucks(self) -> list[Truck]:
        """Every truck, by key."""
        rows = self.connection.execute(select(t.trucks).order_by(t.trucks.c.key)).all()
        out = self.grouped(t.truck_out, "truck", None)
        return [
            value_of(Truck, row, out=tuple(value_of(DayRange, r) for r in out.get(row.key, ())))
            for row in rows
        ]

    def truck(self, key: str) -> Truck:
        """The truck called `key`; BadInput when there is none."""
        found = {truck.key: truck for truck in self.trucks()}
        if key not in found:
            raise BadInput("truck", key, did_you_mean(key, found, "unknown truck: see `planner truck list`"))
        return found[key]

    def save_truck(self, truck: Truck) -> None:
        """Insert or update the truck with its days in the shop. An unchanged truck is not written."""
        if faults := faults_of_truck(truck):
            raise BadInputs(faults)
        key = truck.key
        revision = self.connection.scalar(select(t.trucks.c.revision).where(t.trucks.c.key == key)) or 0
        before = self.truck(key) if revision else None
        if before is not None and packed(before) == packed(truck):
            return
        row = row_of(truck, t.trucks, revision=revision + 1)
        if before is None:
            self.connection.execute(insert(t.trucks).values(row))
        else:
            self.connection.execute(update(t.trucks).where(t.trucks.c.key == key).values(row))
        rows = [row_of(days, t.truck_out, truck=key, place=i) for i, days in enumerate(truck.out)]
        self.refill(t.truck_out, "truck", key, rows)
        self.note("truck", key, before, truck)

    def remove_truck(self, key: str) -> None:
        """Take the truck off the shelf."""
        before = self.truck(key)
        self.connection.execute(delete(t.trucks).where(t.trucks.c.key == key))
        self.note("truck", key, before, None)


def _weights(stored: dict[str, float]) -> Weights:
    known = {f.name for f in fields(Weights)}
    kept: dict[str, Any] = {name: value for name, value in stored.items() if name in known}
    return Weights(**{name: int(value) if name in DAYS else value for name, value in kept.items()})
