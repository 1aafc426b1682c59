"""Deliveries of all jobs in the browser, and what lies in the yard."""

from __future__ import annotations

from planner.web.desk import Go, Page, Visit
from planner.web.render import without_plan

#: So many days are listed.
DAYS = 21


def deliveries(visit: Visit) -> Page | Go:
    """The next three weeks, by day and supplier."""
    from planner.domain.quantities.orders import CALLED_BY
    from planner.flow.crew_day.deliveries import load_deliveries
    from planner.report.crew_day.deliveries import deliveries_page
    from planner.report.terminal import as_text

    if (empty := without_plan(visit)) is not None:
        return empty
    found = load_deliveries(visit.location, visit.today, visit.today, DAYS)
    view = {
        "text": as_text(lambda console: deliveries_page(console, found), 90),
        "materials": sorted(CALLED_BY),
    }
    return Page("office/deliveries.html", view)


def on_hand(visit: Visit) -> Go:
    """Say how much of a material lies in the yard."""
    from planner.flow.crew_day.deliveries import say_on_hand

    held = say_on_hand(visit.location, visit.typed("material"), visit.typed("amount"))
    told = ", ".join(f"{key} {value:g}" for key, value in sorted(held.items()))
    return Go("/office/deliveries", f"on hand: {told or 'nothing'}")


#: (address, what answers, whether it writes)
PAGES = (
    ("/office/deliveries", deliveries, False),
    ("/office/deliveries/on-hand", on_hand, True),
)
