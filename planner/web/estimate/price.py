"""What a job comes to: hours with their spread and arithmetic, other ways beside, materials by supplier."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.report.terminal import as_text
from planner.web.desk import Page, Visit

if TYPE_CHECKING:
    from planner.domain.estimate.conditions import Conditions

#: What stands side by side -> how the office says it.
WAYS = {"crews": "by each crew", "people": "by 1 to 5 people", "digging": "dug by machine or by hand"}
#: The fields of the form of other conditions.
ASKED = (
    *("crew", "start", "edition", "temperature", "humidity", "wind", "sunny", "steep"),
    *("hours_week", "new_hands", "new_hand_job"),
)


def price(visit: Visit) -> Page:
    """One job's hours and materials; ?compare= other ways beside; the form's conditions change the hours."""
    from planner.domain.firm import entry
    from planner.domain.season.ways import Compare
    from planner.flow.design.design import job_orders
    from planner.flow.estimate.estimates import compare_ways, estimate_jobs, rate_books
    from planner.flow.keeping.crews import load_crews
    from planner.report.design.design import supplier_rows
    from planner.report.estimate.estimates import compare_page, job_page

    code, explained = visit.request.path_params["code"], visit.typed("explain") == "yes"
    seen, asked = _conditions(visit), {name: visit.typed(name).strip() for name in ASKED}
    start = entry.day("start", asked["start"], visit.today) if asked["start"] else None
    crew, edition = asked["crew"] or None, asked["edition"] or None
    one = estimate_jobs(
        visit.location,
        [code],
        today=visit.today,
        start=start,
        crew=crew,
        edition=edition,
        conditions=seen,
    )[0]
    beside = ""
    if visit.typed("compare"):
        ways = entry.choice("side by side", visit.typed("compare"), Compare)
        first = start or entry.day("start", "tomorrow", visit.today)
        found = compare_ways(
            visit.location, code, ways, start=first, crew=crew, edition=edition, conditions=seen
        )
        beside = as_text(lambda console: compare_page(console, found), width=130)
    orders, units = job_orders(visit.location, code)
    view = {
        "code": code,
        "text": as_text(lambda console: job_page(console, one, explain=explained)),
        "explained": explained,
        "beside": beside,
        "compare": visit.typed("compare"),
        "ways": WAYS,
        "asked": asked,
        "crews": [c.name for c in load_crews(visit.location)],
        "editions": [b.edition for b in rate_books(visit.location)],
        "suppliers": supplier_rows(orders, units),
        "net": any(order.net for order in orders),
    }
    return Page("estimate/price.html", view)


def _conditions(visit: Visit) -> Conditions:
    """Weather and hands as the form says them; what is left empty is as usual."""
    from planner.domain.estimate.conditions import Conditions
    from planner.domain.firm import entry

    def number(name: str, usual: float) -> float:
        typed = visit.typed(name).strip()
        return entry.number(name, typed) if typed else usual

    temperature, week = visit.typed("temperature").strip(), visit.typed("hours_week").strip()
    hands, on_job = visit.typed("new_hands").strip(), visit.typed("new_hand_job").strip()
    return Conditions(
        temperature_f=entry.degrees_f("temperature", temperature) if temperature else None,
        humidity_pct=number("humidity", 30.0),
        wind_mph=number("wind", 0.0),
        sunny=visit.typed("sunny") == "yes",
        steep=visit.typed("steep") == "yes",
        hours_week=entry.number("hours a week", week) if week else None,
        new_hands=entry.whole("new hands", hands) if hands else 0,
        new_hand_job=entry.whole("which job", on_job) if on_job else 1,
    )


def open_jobs(visit: Visit) -> Page:
    """The hours of every job that is not done, one line each."""
    from planner.flow.estimate.estimates import estimate_jobs
    from planner.report.estimate.estimates import list_page

    def told() -> str:
        found = estimate_jobs(visit.location, [], today=visit.today)
        return as_text(lambda console: list_page(console, found))

    return Page("estimate/open.html", {"text": visit.desk.once("estimates", told)})


def pump(visit: Visit) -> Page:
    """The pump line of the kept design: flow, pipe, head, and the curve to hold against a pump's."""
    from planner.flow.design.design import reckon_job
    from planner.report.design.design import pump_page

    code = visit.request.path_params["code"]
    found = reckon_job(visit.location, code)
    text = as_text(lambda console: pump_page(console, found.takeoff, found.units))
    return Page("estimate/design_text.html", {"code": code, "what": "Pump line", "text": text})


def materials(visit: Visit) -> Page:
    """What to order for the kept design, phase by phase, with waste and stock sizes; ?phase= one phase's."""
    from planner.domain.firm import entry
    from planner.domain.firm.phases import Phase
    from planner.domain.quantities.materials import materials as list_of
    from planner.domain.quantities.materials import pull_list
    from planner.flow.design.design import reckon_job
    from planner.report.design.design import materials_page

    code, asked = visit.request.path_params["code"], visit.typed("phase")
    found = reckon_job(visit.location, code)
    rows = list_of(found.takeoff, found.units)
    rows = pull_list(rows, entry.choice("phase", asked, Phase)) if asked else rows
    name = found.takeoff.design.name
    text = as_text(lambda c: materials_page(c, name, rows, found.units, found.leads, found.parted))
    view = {"code": code, "what": "Materials", "text": text, "phases": list(Phase), "phase": asked}
    return Page("estimate/design_text.html", view)


#: (address, what answers, whether it writes)
PAGES = (
    ("/price", open_jobs, False),
    ("/jobs/{code}/price", price, False),
    ("/jobs/{code}/pump", pump, False),
    ("/jobs/{code}/materials", materials, False),
)
