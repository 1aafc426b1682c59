"""A crew lead's link: that crew's days, and the day's text straight back; no price, no other crew."""

from __future__ import annotations

from datetime import timedelta

from planner.domain.crew_day.daysheet import DaySheet
from planner.errors import PlannerError
from planner.web.desk import Desk, File, Go, Page, Visit

#: What the sheet may do in the browser: its own script and style, and send to this server.
POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def lead_sheet(desk: Desk, crew: str, word: str, days_ahead: int) -> File:
    """The crew's sheet of today, or of a day ahead, with a button that sends it back."""
    from planner.flow.crew_day.sheet import ALL_CREWS, crew_sheets
    from planner.report.pages import sheet_page

    today = desk.now().date()
    day = today + timedelta(days=days_ahead)

    def all_sheets() -> dict[str, DaySheet]:
        return {s.crew: s for s in crew_sheets(desk.location, ALL_CREWS, [day], today=today)}

    def made() -> str:
        own = desk.once(("sheets", day), all_sheets).get(crew)
        sheets = [own] if own else crew_sheets(desk.location, crew, [day], today=today)
        return sheet_page(sheets, send=f"/c/{word}/back")

    return File(desk.once(("sheet", crew, word, day), made), "text/html; charset=utf-8", policy=POLICY)


def take_back(desk: Desk, crew: str, text: str) -> str:
    """Log what the crew sent; the words for the lead. The same text twice counts once.

    PlannerError when it is another crew's, or when the office must look at it first.
    """
    from planner.flow.hours.returns import log_returns, open_returns

    arrivals = open_returns(desk.location, text, desk.now().date(), crew=crew)
    if not arrivals or any(a.reading.sheet.crew != crew for a in arrivals):
        raise PlannerError("this text is not of this crew: nothing was kept")
    fresh = [a for a in arrivals if not a.again]
    if not fresh:
        return "The office has it already: nothing was counted twice."
    asked = sorted({q for a in fresh for q in a.reading.questions})
    if asked:
        raise PlannerError(
            f"not kept, the office must look at it ({'; '.join(asked)}): send it as a message too"
        )
    log_returns(desk.location, f"crew {crew}", fresh)
    missed = any(a.reading.misses for a in fresh)
    return "The office has it." + (" What was missed is told to the office first." if missed else "")


def take_photo(desk: Desk, crew: str, job: str, content: bytes) -> str:
    """Keep a photo that the crew sent of a job it is at; the words for the lead.

    PlannerError for a job of another crew or day; BadInput for what is no picture.
    """
    from planner.flow.crew_day.sheet import crew_sheets
    from planner.flow.keeping.photos import add_photo

    today = desk.now().date()
    days = [today + timedelta(days=n) for n in (-1, 0, 1)]
    ours = {
        task.stint.key.job for s in crew_sheets(desk.location, crew, days, today=days[0]) for task in s.tasks
    }
    if job not in ours:
        raise PlannerError("this job is not on the crew's sheets of these days: the photo was not kept")
    add_photo(desk.location, job, content, desk.now())
    return "The office has the photo, without its place and time of taking."


def links(visit: Visit) -> Page:
    """Each crew's link with its picture to scan; renew and cut."""
    from planner.flow.crew_day.links import crew_words
    from planner.flow.keeping.crews import load_crews
    from planner.report.pages import scan_code

    words = crew_words(visit.location)
    base = visit.desk.sharing.base or str(visit.request.base_url).rstrip("/")
    rows = [
        (crew.name, f"{base}/c/{words[crew.name]}" if crew.name in words else "")
        for crew in load_crews(visit.location)
    ]
    view = {
        "rows": [(name, link, scan_code(link) if link else "") for name, link in rows],
        "shared": bool(visit.desk.sharing.base),
        "can_share": visit.desk.sharing.begin is not None,
        "plain": visit.desk.sharing.base.startswith("http://"),
    }
    return Page("crew_day/links.html", view)


def shared_link(visit: Visit, crew: str) -> str:
    """Where phones on the office's network open the crew page; "" without a link and when none is shared."""
    from planner.flow.crew_day.links import crew_words

    base, word = visit.desk.sharing.base, crew_words(visit.location).get(crew)
    return f"{base}/c/{word}" if base and word else ""


def renew(visit: Visit) -> Go:
    """A new link; the old one stops to work at once."""
    from planner.flow.crew_day.links import renew_link

    crew = visit.typed("crew")
    renew_link(visit.location, crew)
    return Go("/links", f"{crew} has a new link; the old one no longer works")


def cut(visit: Visit) -> Go:
    """Take the link away."""
    from planner.flow.crew_day.links import cut_link

    crew = visit.typed("crew")
    said = f"{crew}'s link is cut" if cut_link(visit.location, crew) else f"{crew} has no link"
    return Go("/links", said)


#: (address, what answers, whether it writes)
PAGES = (
    ("/links", links, False),
    ("/links/renew", renew, True),
    ("/links/cut", cut, True),
)
