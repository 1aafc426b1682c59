"""The office's list as a table, what arrived, and the locate rule with its dates."""

from __future__ import annotations

from datetime import timedelta

from planner.domain.firm import entry
from planner.errors import BadInput
from planner.report.terminal import as_text
from planner.web.desk import File, Go, Page, Visit
from planner.web.seen import office_list

#: So many days ahead the list goes out, and the most of them.
DAYS, MOST_DAYS = 14, 400


def export(visit: Visit) -> File:
    """The list as CSV: due within ?days=, of one ?job=; all=yes: the whole season's, ticked ones too."""
    from planner.domain.office.list import to_do
    from planner.report.office.office import office_csv

    days = entry.whole("days", visit.typed("days") or str(DAYS))
    if not 0 <= days <= MOST_DAYS:
        raise BadInput("days", days, f"choose from 0 to {MOST_DAYS}")
    items = office_list(visit)[0]
    if visit.typed("all") != "yes":
        items = to_do(items, visit.today + timedelta(days=days))
    job = visit.typed("job").strip()
    chosen = [item for item in items if job in {"", item.job}]
    return File(office_csv(chosen), "text/csv; charset=utf-8", "office.csv")


def orders(visit: Visit) -> Page:
    """What is ordered for a job and how it stands."""
    from planner.flow.office.office import job_order_rows

    code = visit.request.path_params["code"]
    return Page("office/orders.html", {"code": code, "rows": job_order_rows(visit.location, code)})


def here(visit: Visit) -> Go:
    """A job's material is here, or confirmed for a day; all of it when no order is chosen."""
    from planner.flow.office.office import say_orders

    code = visit.request.path_params["code"]
    chosen = [str(key) for key in visit.form.getlist("order")]
    on = visit.typed("on").strip()
    arrives = entry.day("on", on, visit.today) if visit.typed("what") == "arrives" else None
    done = say_orders(visit.location, code, chosen, visit.who, arrives=arrives)
    said = "; ".join(f"{order.lead.words} for {code}: {order.words}" for order in done)
    return Go(visit.back(f"/jobs/{code}/orders"), said)


def locate(visit: Visit) -> Page:
    """The utility locate rule of a state, the firm's own unless asked, and the dates of a request."""
    from planner.flow.office.office import rule_in_force
    from planner.report.crew_day.locates import rule_page

    state, asked = visit.typed("state").strip(), visit.typed("asked").strip()
    rule = rule_in_force(visit.location, state or None)
    moment = entry.moment("asked", asked, visit.today) if asked else None
    view = {
        "state": state,
        "asked": asked,
        "text": as_text(lambda console: rule_page(console, rule, moment), 90),
    }
    return Page("office/locate.html", view)


#: (address, what answers, whether it writes)
PAGES = (
    ("/office/list.csv", export, False),
    ("/office/locate", locate, False),
    ("/jobs/{code}/orders", orders, False),
    ("/jobs/{code}/orders/say", here, True),
)
