"""The office's daily pages: the morning; calls and dates with their ticks."""

from __future__ import annotations

from datetime import date, timedelta

from planner.domain.dates import day_words
from planner.errors import PlannerError
from planner.report.terminal import as_text
from planner.web.desk import Go, Page, Visit
from planner.web.render import without_plan
from planner.web.seen import morning, office_list

#: How many promises, office items and changes the morning shows before it only counts the rest.
MOST, MOST_CHANGES = 6, 20
#: Items on one page of the office's list.
A_PAGE = 40


def today(visit: Visit) -> Page | Go:
    """What is on, what is late, what the office must do; an empty book leads to the first day."""
    from planner.flow.keeping.firm import nothing_entered
    from planner.flow.keeping.history import load_history
    from planner.report.keeping.history import history_page

    if nothing_entered(visit.location):
        return Go("/first")
    yesterday = visit.today - timedelta(days=1)
    changes = load_history(visit.location, None, None, yesterday, MOST_CHANGES)
    view = {
        "seen": morning(visit),
        "most": MOST,
        "tomorrow": visit.today + timedelta(days=1),
        "changes": as_text(lambda console: history_page(console, changes)) if changes else "",
    }
    return Page("office/today.html", view)


def office(visit: Visit) -> Page:
    """Every item of the office's list by due day, those of one kind, or those ticked and put away."""
    from planner.domain.firm import entry
    from planner.domain.office.items import Kind
    from planner.flow.stored.roster import plan_and_moved

    if (empty := without_plan(visit)) is not None:
        return empty
    asked, past = visit.typed("kind"), visit.typed("past") == "yes"
    job = visit.typed("job").strip()
    listed, told = office_list(visit)
    every = [item for item in listed if bool(item.state) == past]
    kinds = sorted({item.kind.value for item in every})
    if asked:
        kind = entry.choice("kind", asked, Kind)
        every = [item for item in every if item.kind is kind]
    every = [item for item in every if job in {"", item.job}]
    page = max(1, visit.number("page") or 1)
    plan, moved = visit.desk.once("moved", lambda: plan_and_moved(visit.location))
    view = {
        "plan": plan,
        "moved": moved,
        "items": every[(page - 1) * A_PAGE : page * A_PAGE],
        "page": page,
        "more": len(every) > page * A_PAGE,
        "many": len(every),
        "kinds": kinds,
        "asked": asked,
        "job": job,
        "past": past,
        "messages": {} if past else told,
        "today": visit.today,
        "snooze_until": visit.today + timedelta(days=3),
    }
    return Page("office/office.html", view)


def untick(visit: Visit) -> Go:
    """Take a tick or a snooze back."""
    from planner.flow.office.office import untick as take_back

    take_back(visit.location, [visit.typed("key")], visit.who)
    return Go("/office", "it stands on the list again")


def messages(visit: Visit) -> Page:
    """The firm's messages to one client, ready to copy or to send by hand."""
    from planner.flow.office.messages import job_messages

    code = visit.request.path_params["code"]
    return Page("office/messages.html", {"code": code, "messages": job_messages(visit.location, code)})


def tick(visit: Visit) -> Go:
    """Tick one item off."""
    from planner.flow.office.office import tick as tick_off

    done = tick_off(visit.location, [visit.typed("key")], visit.now, visit.who)
    return Go(visit.back("/office"), "; ".join(f"ticked: {item.words}" for item in done))


def snooze(visit: Visit) -> Go:
    """Put one item away until a day."""
    from planner.domain.firm import entry
    from planner.flow.office.office import snooze as put_away

    until: date = entry.day("until", visit.typed("until"), visit.today)
    done = put_away(visit.location, [visit.typed("key")], until, visit.now, visit.who)
    said = "; ".join(f"put away until {day_words(until)}: {i.words}" for i in done)
    return Go(visit.back("/office"), said)


def arrives(visit: Visit) -> Go:
    """The supplier has confirmed an order for a day."""
    from planner.domain.firm import entry
    from planner.flow.office.office import say_orders

    _, job, order = (*visit.typed("key").split(":"), "", "")[:3]
    on: date = entry.day("confirmed for", visit.typed("on"))
    done = say_orders(visit.location, job, [order], visit.who, arrives=on)
    return Go(visit.back("/office"), "; ".join(f"{o.lead.words} {o.words}" for o in done))


def settle(visit: Visit) -> Go:
    """Settle a missed check with a word."""
    from planner.flow.office.office import settle as say_it

    miss = say_it(visit.location, visit.typed("key"), visit.typed("word"), visit.who)
    return Go(visit.back("/office"), f"settled: {miss.words}")


def stop(visit: Visit) -> Page:
    """Close the office: the program ends after this page."""
    if visit.session.outside:
        raise PlannerError("the office is closed at its own computer only: Leave ends your session here")
    visit.request.app.state.stop()
    return Page("frame/closed.html", {})


#: (address, what answers, whether it writes)
PAGES = (
    ("/", today, False),
    ("/office", office, False),
    ("/office/tick", tick, True),
    ("/office/snooze", snooze, True),
    ("/office/arrives", arrives, True),
    ("/office/untick", untick, True),
    ("/office/settle", settle, True),
    ("/jobs/{code}/messages", messages, False),
    ("/stop", stop, True),
)
