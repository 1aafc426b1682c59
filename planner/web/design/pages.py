"""A job's design: begin one, change its text with the drawing beside it, take it off, keep it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.errors import BadInput, PlannerError
from planner.report.terminal import as_text
from planner.web.desk import File, Go, Page, Visit

if TYPE_CHECKING:
    from rich.console import Console


def design(visit: Visit) -> Page:
    """The design kept with a job, its drawing and what it comes to; a form to begin one."""
    from planner.flow.design.design import kept_text
    from planner.flow.keeping.jobs import load_job

    code = visit.request.path_params["code"]
    parted = load_job(visit.location, code).parted
    return _page(visit, code, kept_text(visit.location, code), parted)


def begin(visit: Visit) -> Page:
    """A plain design from a few measures."""
    from planner.domain.design.form import starter
    from planner.domain.firm import entry
    from planner.flow.keeping.jobs import load_job

    code = visit.request.path_params["code"]
    card = load_job(visit.location, code)
    units = card.units
    text = starter(
        visit.typed("shape"),
        entry.number("length", visit.typed("length"), "ft", units),
        entry.number("width", visit.typed("width"), "ft", units),
        entry.number("depth", visit.typed("depth"), "in", units),
        entry.whole("shelves", visit.typed("shelves")),
        card.job.client,
    )
    return _page(visit, code, text)


def look(visit: Visit) -> Page:
    """The typed text or the typed measures drawn and taken off; nothing is kept, nothing typed is lost."""
    code, text = visit.request.path_params["code"], _typed(visit)
    if visit.typed("part") == "yes":
        return Page("design/design_seen.html", {"code": code, "text": text, **_seen(visit, code, text)})
    return _page(visit, code, text)


def _typed(visit: Visit) -> str:
    """The design as it was typed: by its lines over the text that they were made from, or as a text."""
    from planner.flow.design.form import rewritten

    lines = {k.removeprefix("d."): v for k, v in visit.texts().items() if k.startswith("d.")}
    return rewritten(visit.typed("text"), lines) if lines else visit.typed("text")


def _page(visit: Visit, code: str, text: str, parted: str = "") -> Page:
    """The design with its form. parted: how the kept one and its job differ."""
    from planner.flow.design.form import design_form

    try:
        form = design_form(text) if text.strip() else []
    except BadInput:
        form = []
    view = {"code": code, "text": text, "form": form, "parted": parted}
    return Page("design/design.html", {**view, **_seen(visit, code, text)})


def keep(visit: Visit) -> Go:
    """Keep the design and the quantities that it comes to."""
    from planner.flow.design.design import keep as keep_it
    from planner.flow.design.design import propose_text

    code = visit.request.path_params["code"]
    take = [t for t in visit.typed("take").replace(",", " ").split() if t]
    proposal = propose_text(visit.location, _typed(visit), code, take)
    if proposal.asks and visit.typed("agreed") != "yes":
        raise PlannerError(f"{proposal.changed} quantities of {code} would change: tick the box to agree")
    keep_it(visit.location, visit.who, proposal)
    return Go(
        f"/jobs/{code}", f"the design is kept with {code}; {proposal.changed} quantities or facts changed"
    )


def drawing(visit: Visit) -> File:
    """A sheet of the kept design's drawing, for paper: the first, or the one that the address names."""
    from planner.flow.design.design import reckon_job
    from planner.report.design.drawing import drawing_sheets
    from planner.report.design.frame import title_of

    seen = reckon_job(visit.location, visit.request.path_params["code"])
    policy = "default-src 'none'; style-src 'unsafe-inline'"
    title = title_of(seen.job, visit.today)
    sheets = drawing_sheets(seen.takeoff, seen.units, seen.parted, title)
    asked = visit.typed("sheet") or "1"
    if not asked.isdecimal() or not 1 <= int(asked) <= len(sheets):
        raise BadInput("sheet", asked, f"this drawing has sheets 1 to {len(sheets)}")
    return File(sheets[int(asked) - 1], "image/svg+xml", policy=policy)


def _seen(visit: Visit, code: str, text: str) -> dict[str, object]:
    """What the text comes to: picture, quantities, changes; or what is wrong with it."""
    from planner.flow.design.design import propose_text
    from planner.report.design.design import changes_page, takeoff_page
    from planner.report.design.drawing import drawing_sheets
    from planner.report.pages import picture_address

    empty = {"faults": [], "pictures": [], "comes_to": "", "changes": "", "asks": False}
    if not text.strip():
        return empty
    try:
        found = propose_text(visit.location, text, code)
    except BadInput as refusal:
        return {**empty, "faults": str(refusal).splitlines()}
    sheets = drawing_sheets(found.takeoff, found.units)

    def changed(console: Console) -> None:
        changes_page(console, code, found.changes, found.facts, found.units)

    return {
        "faults": [],
        "pictures": [picture_address(one) for one in sheets],
        "comes_to": as_text(lambda console: takeoff_page(console, found.takeoff, found.units)),
        "changes": as_text(
            lambda console: changes_page(console, code, found.changes, found.facts, found.units)
        ),
        "asks": found.asks,
    }


#: (address, what answers, whether it writes)
PAGES = (
    ("/jobs/{code}/design", design, False),
    ("/jobs/{code}/design/begin", begin, True),
    ("/jobs/{code}/design/look", look, True),
    ("/jobs/{code}/design/keep", keep, True),
    ("/jobs/{code}/drawing.svg", drawing, False),
)
