"""What several pages of one moment are made from, worked out once until something stored changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.domain.firm.jobs import Job
    from planner.domain.office.items import OfficeItem
    from planner.domain.office.messages import Message
    from planner.domain.office.morning import Morning
    from planner.flow.office.office import Known
    from planner.web.desk import Visit


def known(visit: Visit) -> Known:
    """The facts and the season that they come to."""
    from planner.flow.office.office import load_known

    return visit.desk.once("known", lambda: load_known(visit.location, visit.now))


def morning(visit: Visit) -> Morning:
    """What is on today."""
    from planner.flow.office.today import load_morning

    return visit.desk.once("morning", lambda: load_morning(visit.location, visit.now, lambda: known(visit)))


def office_list(visit: Visit) -> tuple[list[OfficeItem], dict[str, Message]]:
    """The office's list, and the message of each call on it by its key."""
    from planner.flow.office.messages import items_and_messages

    return visit.desk.once("office", lambda: items_and_messages(visit.location, visit.now, known(visit)))


def all_jobs(visit: Visit) -> list[Job]:
    """Every job on record."""
    from planner.flow.keeping.jobs import load_jobs

    return visit.desk.once("jobs", lambda: load_jobs(visit.location, None)[0])
