"""Plans on the shelf: written once, and published at most once."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import Row, delete, func, insert, select, update

from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.records import THINNED, PlanHead
from planner.domain.season.plan import Booking, Cost, MachineUse, Plan, left_aside
from planner.errors import BadInput, PlannerError
from planner.store.schema import tables as t
from planner.store.tables.rows import Shelf, row_of, value_of

#: The version told last.
_PUBLISHED = (
    select(t.plans)
    .where(t.plans.c.published_at.is_not(None))
    .order_by(t.plans.c.published_at.desc(), t.plans.c.number.desc())
    .limit(1)
)


class PlanShelf(Shelf):
    """Reading and writing plans."""

    def plans(self) -> list[PlanHead]:
        """Every version, oldest first, without its bookings."""
        total = func.coalesce(func.sum(t.plan_costs.c.cents), 0).label("total_cents")
        chosen = (
            select(t.plans, total)
            .outerjoin(t.plan_costs, t.plan_costs.c.plan == t.plans.c.number)
            .group_by(*t.plans.c)
            .order_by(t.plans.c.number)
        )
        return [
            value_of(PlanHead, row, total_cents=int(row.total_cents))
            for row in self.connection.execute(chosen)
        ]

    def plan(self, number: int | None = None) -> Plan:
        """The version of that number, the newest when None. BadInput when unknown."""
        chosen = select(t.plans).order_by(t.plans.c.number.desc()).limit(1)
        if number is not None:
            chosen = chosen.where(t.plans.c.number == number)
        row = self.connection.execute(chosen).one_or_none()
        if row is None and number is None:
            raise PlannerError("there is no plan yet: make one with `planner plan make`")
        if row is None:
            raise BadInput("plan", number, "no plan has that number")
        return self._whole(row)

    def newest_number(self) -> int:
        """The number of the newest plan, 0 when there is none."""
        return self.connection.scalar(select(func.max(t.plans.c.number))) or 0

    def published(self) -> Plan | None:
        """The plan published last; None when none was."""
        row = self.connection.execute(_PUBLISHED).one_or_none()
        return None if row is None else self._whole(row)

    def published_with(self, code: str) -> int:
        """The number of the plan published last when it books the job, else 0."""
        row = self.connection.execute(_PUBLISHED).one_or_none()
        books = select(t.bookings.c.job).where(t.bookings.c.job == code).limit(1)
        if row is None or self.connection.scalar(books.where(t.bookings.c.plan == row.number)) is None:
            return 0
        return int(row.number)

    def save_plan(self, plan: Plan) -> int:
        """Add a version; returns its number. A plan is never overwritten."""
        number = self.next_number("plans")
        self.put_plan(replace(plan, number=number))
        aside = {"even_if": words} if (words := left_aside(plan.note)) else {}
        self.note("plan", str(number), None, _head(number, plan.published_at) | aside)
        return number

    def put_plan(self, plan: Plan) -> None:
        """Keep exactly this version under the number it brings along."""
        number = plan.number
        self.connection.execute(insert(t.plans).values(row_of(plan, t.plans)))
        terms = [
            {"plan": number, "place": i, "term": term, "cents": cents}
            for i, (term, cents) in enumerate(plan.cost.cents.items())
        ]
        self.fill(t.plan_costs, terms)
        self._write_bookings(number, plan)

    def publish(self, number: int, at: datetime | None) -> None:
        """Mark the version as told to crews and customers at `at`; None takes that back."""
        before = self.plan(number).published_at
        self.connection.execute(update(t.plans).where(t.plans.c.number == number).values(published_at=at))
        self.note("plan", str(number), _head(number, before), _head(number, at))

    def _write_bookings(self, number: int, plan: Plan) -> None:
        heads, crews, machines = [], [], []
        for b in plan.bookings:
            key = {"plan": number, "job": b.key.job, "phase": b.key.phase.value, "part": b.key.part}
            heads.append(row_of(b, t.bookings, **key, starts=b.start, ends=b.end))
            crews += [{**key, "place": i, "crew": crew} for i, crew in enumerate(b.crews)]
            machines += [{**key, "place": i, **use._asdict()} for i, use in enumerate(b.machines)]
        self.fill(t.bookings, heads)
        self.fill(t.booking_crews, crews)
        self.fill(t.booking_machines, machines)

    def _whole(self, row: Row[Any]) -> Plan:
        number = row.number
        terms = self.connection.execute(
            select(t.plan_costs.c.term, t.plan_costs.c.cents)
            .where(t.plan_costs.c.plan == number)
            .order_by(t.plan_costs.c.place)
        )
        return value_of(
            Plan,
            row,
            cost=Cost(dict(terms.all())),
            bookings=self._bookings(number),
        )

    def _bookings(self, number: int) -> tuple[Booking, ...]:
        crews: dict[WorkKey, list[str]] = defaultdict(list)
        for r in self._of_plan(t.booking_crews, number):
            crews[_key(r)].append(r.crew)
        machines: dict[WorkKey, list[MachineUse]] = defaultdict(list)
        for r in self._of_plan(t.booking_machines, number):
            machines[_key(r)].append(MachineUse(r.kind, r.unit))
        rows = self.connection.execute(
            select(t.bookings)
            .where(t.bookings.c.plan == number)
            .order_by(t.bookings.c.starts, t.bookings.c.job)
        )
        found = []
        for r in rows:
            key = _key(r)
            more = {"start": r.starts, "end": r.ends, "machines": tuple(machines[key])}
            found.append(value_of(Booking, r, key=key, crews=tuple(crews[key]), **more))
        return tuple(sorted(found, key=lambda b: (b.start, b.job, b.phase.rank, b.key.part)))

    def _of_plan(self, table: Any, number: int) -> list[Row[Any]]:
        return list(
            self.connection.execute(select(table).where(table.c.plan == number).order_by(table.c.place))
        )

    def thin(self, keep: int, before: datetime) -> list[int]:
        """Remove drafts for good; their numbers. Kept: the newest `keep` of them, all made at or after
        `before`, and every version that was ever published.
        """
        h = t.history.c
        told = select(h.key).where(h.noun == "plan", h.after.like('%"published_at": "%'))
        ever = {int(key) for key in self.connection.scalars(told)}
        drafts = [p for p in self.plans() if p.published_at is None and p.number not in ever]
        old = [p.number for p in drafts[: max(0, len(drafts) - keep)] if p.made_at < before]
        for number in old:
            self.connection.execute(delete(t.plans).where(t.plans.c.number == number))
        if old:
            self.note(THINNED, f"plans {old[0]} to {old[-1]}", None, f"{len(old)} drafts")
        return old

    def remove_plan(self, number: int) -> None:
        """Take a version back (undo); nothing when it was thinned out. Refused when it was published."""
        if self.connection.scalar(select(t.plans.c.number).where(t.plans.c.number == number)) is None:
            return
        if self.plan(number).published_at is not None:
            raise PlannerError(f"plan {number} was published: it stays on record")
        self.connection.execute(delete(t.plans).where(t.plans.c.number == number))
        self.note("plan", str(number), _head(number, None), None)


def _head(number: int, published_at: datetime | None) -> dict[str, Any]:
    return {"number": number, "published_at": published_at}


def _key(row: Row[Any]) -> WorkKey:
    return WorkKey(row.job, Phase(row.phase), row.part)
