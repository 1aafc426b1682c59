"""The database itself refuses what must not be, on each kind of store, and is what the models say."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Table, insert, update

from planner.errors import PlannerError
from planner.store.engine import Store
from planner.store.schema import tables as t
from tests.store.values import CREW, FIRM, JOB, LOG, LOST, MACHINE, PLAN

NAN, ENDLESS = float("nan"), float("inf")
DAY = date(2027, 4, 5)
BOOKED = {
    "plan": 1,
    "job": "P-014",
    "phase": "rock",
    "part": 1,
    "crew_h": 1.0,
    "pinned": False,
    "begun": False,
}

#: table, the columns set wrongly on a row that is there
WRONG: list[tuple[Table, dict[str, Any]]] = [
    (t.jobs, {"status": "lost"}),
    (t.jobs, {"soil": "cheese"}),
    (t.jobs, {"access": ""}),
    (t.jobs, {"importance": -1.0}),
    (t.jobs, {"carry_ft": -0.1}),
    (t.jobs, {"carry_ft": NAN}),
    (t.jobs, {"depth_in": ENDLESS}),
    (t.jobs, {"latitude_deg": 91.0}),
    (t.jobs, {"latitude_deg": None}),
    (t.jobs, {"rate_edition": "none"}),
    (t.job_lines, {"quantity": -1.0}),
    (t.job_lines, {"quantity": NAN}),
    (t.job_lines, {"origin": "guessed"}),
    (t.job_gates, {"phase": "paint"}),
    (t.job_gates, {"kind": "mood"}),
    (t.job_blackouts, {"last": date(2020, 1, 1)}),
    (t.job_pins, {"phase": "paint"}),
    (t.job_needs, {"phase": "paint"}),
    (t.crews, {"size": 0}),
    (t.crews, {"pace": 0.0}),
    (t.crews, {"pace": NAN}),
    (t.crew_days_off, {"last": date(2020, 1, 1)}),
    (t.crew_people, {"counts": 0.0}),
    (t.crew_people, {"name": " "}),
    (t.person_days, {"last": date(2020, 1, 1)}),
    (t.machines, {"units": -1}),
    (t.machines, {"move_cost_usd": -1.0}),
    (t.machine_out, {"units": 0}),
    (t.machine_out, {"first": date(2099, 1, 1)}),
    (t.firm, {"paid_h_day": 0.0}),
    (t.firm, {"meal_break_min": -1}),
    (t.firm, {"units": "both"}),
    (t.firm, {"season_last": date(2020, 1, 1)}),
    (t.firm, {"planning_percentile": 100.0}),
    (t.firm_weights, {"value": -1.0}),
    (t.logs, {"crew_h": -0.5}),
    (t.logs, {"crew_h": NAN}),
    (t.logs, {"crew_h": 25.0}),
    (t.logs, {"share_done": 1.1}),
    (t.logs, {"phase": "paint"}),
    (t.logs, {"people": -1}),
    (t.logs, {"job": "none"}),
    (t.lost, {"kind": "boredom"}),
    (t.lost, {"last": date(2020, 1, 1)}),
    (t.lost, {"phase": "paint"}),
    (t.plans, {"state": "lucky"}),
    (t.bookings, {"ends": datetime(2020, 1, 1)}),
    (t.bookings, {"crew_h": -1.0}),
    (t.booking_machines, {"unit": 0}),
    (t.booking_crews, {"crew": " "}),
]


@pytest.fixture
def filled(store: Store) -> Store:
    with store.writing() as book:
        book.save_firm(FIRM)
        book.save_crew(CREW)
        book.save_machine(MACHINE)
        book.save_job(JOB)
        book.save_log(LOG)
        book.save_lost(LOST)
        book.save_plan(PLAN)
    return store


def test_head_is_what_the_models_say(location: str) -> None:
    with Store(location).connected() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, t.metadata) == []


def test_no_wrong_value_gets_in(filled: Store) -> None:
    for table, values in WRONG:
        with pytest.raises(PlannerError, match="refused"), filled.writing() as book:
            assert book.connection.execute(update(table).values(values)).rowcount > 0, table.name
        with filled.reading() as book:
            assert book.job("P-014") == JOB


@pytest.mark.parametrize(
    ("table", "row"),
    [
        (t.firm_half_days, {"day": None}),
        (
            t.job_lines,
            {"job": "none", "place": 1, "item": "x", "quantity": 1.0, "origin": "entered", "note": ""},
        ),
        (t.bookings, {**BOOKED, "phase": "paint", "starts": DAY, "ends": DAY}),
        (t.bookings, {**BOOKED, "plan": 99, "starts": datetime(2027, 4, 5), "ends": datetime(2027, 4, 6)}),
        (
            t.booking_crews,
            {"plan": 1, "job": "P-014", "phase": "liner", "part": 1, "place": 0, "crew": "North"},
        ),
    ],
)
def test_no_row_without_its_owner_gets_in(filled: Store, table: Table, row: dict[str, Any]) -> None:
    with pytest.raises(PlannerError), filled.writing() as book:
        book.connection.execute(insert(table).values(row))
