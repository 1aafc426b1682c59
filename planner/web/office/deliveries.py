"""Deliveries of all jobs in the browser, and what lies in the yard."""

from __future__ import annotations

from planner.errors import BadInput
from planner.web.desk import Go, Page, Visit
from planner.web.render import without_plan

#: So many days are listed unless the form says otherwise, and the most of them.
DAYS, MOST_DAYS = 21, 400


def deliveries(visit: Visit) -> Page | Go:
    """What comes from ?day= on, for ?days=, by day and supplier."""
    from planner.domain.firm import entry
    from planner.domain.quantities.orders import CALLED_BY
    from planner.flow.crew_day.deliveries import load_deliveries
    from planner.report.crew_day.deliveries import deliveries_page
    from planner.report.terminal import PROSE, as_text

    if (empty := without_plan(visit)) is not None:
        return empty
    first = entry.day("day", visit.typed("day"), visit.today) if visit.typed("day") else visit.today
    days = entry.whole("days", visit.typed("days") or str(DAYS))
    if not 1 <= days <= MOST_DAYS:
        raise BadInput("days", days, f"choose from 1 to {MOST_DAYS}")
    found = load_deliveries(visit.location, visit.today, first, days)
    view = {
        "text": as_text(lambda console: deliveries_page(console, found), PROSE),
        "materials": sorted(CALLED_BY),
        "first": first,
        "days": days,
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
