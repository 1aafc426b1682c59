"""Every table by its name, and `metadata`, which knows them all.

One table a noun, one for each list inside it (owner, place, ...).
"""

from __future__ import annotations

from planner.store.schema.actuals import logs, lost, returns
from planner.store.schema.columns import metadata
from planner.store.schema.crews import (
    crew_days_off,
    crew_people,
    crews,
    machine_out,
    machines,
    person_days,
    truck_out,
    trucks,
)
from planner.store.schema.firm import (
    firm,
    firm_days_off,
    firm_half_days,
    firm_weights,
    firm_work_days,
    rate_editions,
)
from planner.store.schema.history import counters, history, office_marks
from planner.store.schema.jobs import (
    designs,
    holds,
    job_blackouts,
    job_gates,
    job_lines,
    job_needs,
    job_pins,
    jobs,
)
from planner.store.schema.plans import (
    booking_crews,
    booking_machines,
    bookings,
    calendar_events,
    plan_costs,
    plans,
)

__all__ = [
    "booking_crews",
    "booking_machines",
    "bookings",
    "calendar_events",
    "counters",
    "crew_days_off",
    "crew_people",
    "crews",
    "designs",
    "firm",
    "firm_days_off",
    "firm_half_days",
    "firm_weights",
    "firm_work_days",
    "history",
    "holds",
    "job_blackouts",
    "job_gates",
    "job_lines",
    "job_needs",
    "job_pins",
    "jobs",
    "logs",
    "lost",
    "machine_out",
    "machines",
    "metadata",
    "office_marks",
    "person_days",
    "plan_costs",
    "plans",
    "rate_editions",
    "returns",
    "truck_out",
    "trucks",
]
