"""Messages to clients from the store: of a call that is due, and every text of one job."""

from __future__ import annotations

from datetime import date, datetime

from planner.domain.firm.lost import LostKind
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.office.list import office_list
from planner.domain.office.messages import Message, for_job, for_news, message
from planner.domain.season.plan import Plan
from planner.flow.office.office import Known, read_desk
from planner.store.books import Book
from planner.store.engine import Store
from planner.store.shipped.messages import message_texts
from planner.store.shipped.own_file import folder_of

#: So many days back rain may be why a client's days have moved.
RAIN_DAYS = 14


def items_and_messages(
    location: str, now: datetime, known: Known | None = None
) -> tuple[list[OfficeItem], dict[str, Message]]:
    """The office's list, and the message of each call on it by its key. known: facts and season, if read."""
    texts = message_texts(folder_of(location))
    with Store(location).reading() as book:
        desk = read_desk(book, location, now, known)
        items = office_list(desk)
        rain = any(
            e.kind is LostKind.RAIN and 0 <= (now.date() - e.days.last).days <= RAIN_DAYS for e in book.lost()
        )
        found = {}
        for item in items:
            if item.kind is Kind.CALL:
                job, firm = desk.season.jobs[item.job], desk.season.firm
                text = for_news(texts, job, known=item.job in desk.season.told, rain=rain)
                found[item.key] = message(text, job, firm, _days(desk, item.job))
        return items, found


def job_messages(location: str, code: str) -> list[Message]:
    """Every text filled in for one job, by the published plan (the newest when none is)."""
    texts = message_texts(folder_of(location))
    with Store(location).reading() as book:
        job, firm = book.job(code), book.firm()
        plan = _plan(book)
        mine = plan.of_job(code) if plan else ()
        days = (min(b.start for b in mine).date(), max(b.end for b in mine).date()) if mine else None
        leads = {crew.name: crew.lead for crew in book.crews()}
        lead = leads.get(min(mine, key=lambda b: b.start).lead, "") if mine else ""
        return [message(text, job, firm, days, lead) for text in for_job(texts, job)]


def _plan(book: Book) -> Plan | None:
    return book.published() or (book.plan() if book.plans() else None)


def _days(desk: Desk, code: str) -> tuple[date, date] | None:
    mine = [b for b in desk.bookings().values() if b.job == code]
    return (min(b.start for b in mine).date(), max(b.end for b in mine).date()) if mine else None
