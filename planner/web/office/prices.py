"""A job's price for the owner, and its proposal as the client's page."""

from __future__ import annotations

from planner.web.desk import File, Page, Visit, told

#: The client's page runs nothing and asks for nothing.
POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


def price(visit: Visit) -> Page:
    """What the job costs and asks, and the way to its proposal."""
    from planner.flow.estimate.prices import price_job
    from planner.report.estimate.prices import price_page
    from planner.report.terminal import as_text

    code = visit.request.path_params["code"]
    found = price_job(visit.location, code, visit.today)
    way = f"/jobs/{code}/proposal"
    text = as_text(lambda console: price_page(console, found), 90)
    ways = (("The client's page", way if not found.price.unpriced else f"{way}?even-so=yes"),)
    return told(f"Price of {found.job.client}", text, f"/jobs/{code}", ways=ways)


def proposal(visit: Visit) -> File:
    """The client's page, to print or keep."""
    from planner.flow.estimate.prices import proposal as make
    from planner.report.estimate.prices import proposal_html

    even_so = visit.typed("even-so") == "yes"
    found = make(visit.location, visit.request.path_params["code"], visit.today, even_so=even_so)
    return File(proposal_html(found, visit.today), "text/html; charset=utf-8", policy=POLICY)


#: (address, what answers, whether it writes)
PAGES = (
    ("/jobs/{code}/asked", price, False),
    ("/jobs/{code}/proposal", proposal, False),
)
