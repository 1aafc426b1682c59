"""Which date an inquiry can be promised, what an earlier one costs whom, and the places that are held."""

from __future__ import annotations

from datetime import date, timedelta

from planner.domain.firm import entry
from planner.report.terminal import as_text
from planner.web.desk import Go, Page, Visit
from planner.web.render import in_path, without_plan
from planner.web.seen import all_jobs

#: For so many days a place is held unless the form says otherwise.
HELD_DAYS = 7


def held(visit: Visit) -> Page:
    """Every place that is held, and the form that asks for a date."""
    from planner.domain.firm.jobs import Status
    from planner.flow.season.promise import holds

    if (empty := without_plan(visit)) is not None:
        return empty
    jobs = all_jobs(visit)
    view = {
        "held": sorted(holds(visit.location), key=lambda hold: (hold.until, hold.job)),
        "clients": {job.code: job.client for job in jobs},
        "asking": [job.code for job in jobs if job.status is Status.INQUIRY],
        "like": [job.code for job in jobs if job.lines],
        "today": visit.today,
    }
    return Page("season/promises.html", view)


def promise(visit: Visit) -> Page:
    """What can be promised to an inquiry; ?like=CODE&size=N: to one like that job, stored or not."""
    from planner.flow.season.promise import holds, offer
    from planner.report.season.promise import holds_page, promise_page

    code = (visit.request.path_params.get("code") or visit.typed("code")).strip()
    like, sure = visit.typed("like") or None, visit.typed("sure").strip()
    size = entry.number("size", visit.typed("size") or "1")
    kept = [h for h in holds(visit.location) if h.job == code]
    found = offer(
        *(visit.location, visit.now, code),
        like=like,
        size=size if like else 1.0,
        sure=entry.number("sure", sure) if sure else None,
    )
    stored = any(job.code == code for job in all_jobs(visit))
    view = {
        "code": code,
        "text": as_text(lambda console: promise_page(console, found)),
        "held": as_text(lambda console: holds_page(console, kept)) if kept else "",
        "until": visit.today + timedelta(days=HELD_DAYS),
        "stored": stored,
        "like": like or "",
        "size": f"{size:g}",
    }
    return Page("season/promise.html", view)


def hold(visit: Visit) -> Go:
    """Keep the place for the inquiry until a day."""
    from planner.flow.season.promise import hold as keep
    from planner.report.season.promise import held_words

    code = visit.request.path_params["code"]
    until: date = entry.day("until", visit.typed("until"), visit.today)
    kept = keep(visit.location, visit.now, code, until, visit.who, visit.typed("note"))
    return Go(f"/jobs/{in_path(code)}/promise", held_words(kept))


def drop(visit: Visit) -> Go:
    """Give the held place up."""
    from planner.flow.season.promise import release

    code = visit.request.path_params["code"]
    release(visit.location, code, visit.who)
    return Go(visit.back(f"/jobs/{in_path(code)}"), f"the place of {code} is free again")


#: (address, what answers, whether it writes)
PAGES = (
    ("/promises", held, False),
    ("/promises/ask", promise, False),
    ("/jobs/{code}/promise", promise, False),
    ("/jobs/{code}/promise/hold", hold, True),
    ("/jobs/{code}/promise/drop", drop, True),
)
