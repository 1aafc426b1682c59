"""Records: the jobs, searched, filtered and sorted."""

from __future__ import annotations

from planner.web.desk import Page, Visit

#: Jobs on one page of the list.
A_PAGE = 100


def jobs(visit: Visit) -> Page:
    """The jobs that fit what was searched for, with where the plan has them; a page at a time."""
    from planner.domain.firm import entry
    from planner.domain.firm.jobs import Status
    from planner.domain.standing.standing import plan_standing
    from planner.flow.keeping.jobs import load_jobs
    from planner.flow.season.plans import plan_and_roster, plan_heads
    from planner.report.wording import spare_words

    asked, words = visit.typed("status"), visit.typed("words").lower()
    status = entry.choice("status", asked, Status) if asked else None
    found = visit.desk.once(("jobs", status), lambda: load_jobs(visit.location, status)[0])
    if words:
        found = [j for j in found if words in f"{j.code} {j.client} {j.address} {j.region}".lower()]
    planned = {}
    if plan_heads(visit.location):
        standing = visit.desk.once(
            "standing", lambda: plan_standing(*plan_and_roster(visit.location, visit.today))
        )
        planned = {one.code: one for one in standing.jobs}
    page = max(1, visit.number("page") or 1)
    view = {
        "jobs": found[(page - 1) * A_PAGE : page * A_PAGE],
        "many": len(found),
        "page": page,
        "pages": -(-len(found) // A_PAGE),
        "planned": planned,
        "spare_words": spare_words,
        "asked": asked,
        "words": visit.typed("words"),
        "statuses": [s.value for s in Status],
    }
    return Page("keeping/jobs.html", view)


#: (address, what answers, whether it writes)
PAGES = (("/jobs", jobs, False),)
