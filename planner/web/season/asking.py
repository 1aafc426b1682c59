"""Questions to the plan: why a job starts when it does, what would help, what if."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING

from planner.domain.firm import entry
from planner.errors import BadInput
from planner.report.terminal import PROSE, as_text
from planner.web.desk import Go, Page, Visit, told
from planner.web.render import in_path
from planner.web.work import Stopped, Tell

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.season.facts import Facts
    from planner.domain.standing.whatif import Variant

#: Seconds that each variant of a what-if is searched.
WHATIF_S = 4.0


def why(visit: Visit) -> Page | Go:
    """What holds each job's start, back to a cause to act on; with relief=yes also what would help most."""
    from planner.domain.standing.locate_standing import not_clear
    from planner.flow.season.plans import why as ask
    from planner.flow.stored.locates import load_locates
    from planner.report.crew_day.locates import locates_block
    from planner.report.season.reasons import why_page

    location, draft, number = visit.location, visit.typed("draft") == "yes", visit.number("plan")
    jobs = [code for code in visit.typed("job").replace(",", " ").split() if code]

    def answer(relief: bool) -> Page:
        seen = ask(location, jobs, relief=relief, number=number, draft=draft)
        plan, found = seen.plan, seen.found
        standing = load_locates(location, plan)
        locates = not_clear({r.job: standing[r.job] for r in found if r.job in standing})

        def page(console: Console) -> None:
            why_page(console, plan, found, seen.eased, seen.gaps, seen.comes)
            locates_block(console, locates)

        text = as_text(page, PROSE)
        which = f"&job={in_path(jobs[0])}" if len(jobs) == 1 else ""
        which += f"&plan={number}" if number else "&draft=yes" if draft else ""
        ways = () if relief else (("What would help most (takes a while)", f"/plan/why?relief=yes{which}"),)
        return told("Why jobs start when they do", text, "/plan", ways=ways, prose=True)

    if visit.typed("relief") != "yes":
        return answer(relief=False)
    visit.desk.work.begin("trying what would help", visit.who, lambda _tell, _stopped: answer(relief=True))
    return Go("/work")


def ask_what_if(visit: Visit) -> Page:
    """The form of one thing different."""
    from planner.flow.keeping.crews import load_crews
    from planner.flow.keeping.machines import load_machines

    view = {
        "crews": load_crews(visit.location),
        "machines": [m.key for m in load_machines(visit.location)[0]],
        "first": visit.today,
        "last": visit.today + timedelta(days=27),
        "seconds": WHATIF_S,
    }
    return Page("season/what_if.html", view)


def what_if(visit: Visit) -> Go:
    """Plan the season as it is and each variant beside it; nothing is kept."""
    from planner.flow.season.whatif import what_if as compare
    from planner.report.season.whatif import whatif_page

    make = _variants(visit)
    seconds = entry.number("seconds", visit.typed("seconds") or f"{WHATIF_S:g}")
    if not 0 < seconds <= 120:
        raise BadInput("seconds", seconds, "choose more than 0 and at most 120")
    location, now = visit.location, visit.now

    def work(tell: Tell, _stopped: Stopped) -> Page:
        found = compare(location, now, make, seconds=seconds, seed=1, say=tell)
        text = as_text(lambda console: whatif_page(console, found))
        return told("What if", text, "/plan/what-if", "Nothing was kept: the season is as it was.")

    visit.desk.work.begin("planning each way", visit.who, work)
    return Go("/work")


def _variants(visit: Visit) -> list[Callable[[Facts], Variant]]:
    from planner.domain.firm.jobs import DayRange
    from planner.domain.standing import whatif

    make: list[Callable[[Facts], Variant]] = []
    if visit.typed("people").strip():
        make.append(partial(whatif.one_more_crew, size=entry.whole("people", visit.typed("people"))))
    if visit.typed("saturdays") == "yes":
        make.append(partial(whatif.saturdays_on, today=visit.today))
    if visit.typed("size").strip():
        size = entry.whole("size", visit.typed("size"))
        make.append(partial(whatif.crew_of, name=visit.typed("crew"), size=size))
    if visit.typed("machine"):
        days = DayRange(
            entry.day("first day", visit.typed("first")), entry.day("last day", visit.typed("last"))
        )
        usd = entry.number("dollars a week", visit.typed("usd_week") or "0")
        make.append(partial(whatif.rented, kind=visit.typed("machine"), days=days, usd_week=usd))
    if not make:
        raise BadInput("what if", "nothing", "fill in at least one of the lines")
    return make


#: (address, what answers, whether it writes)
PAGES = (
    ("/plan/why", why, False),
    ("/plan/what-if", ask_what_if, False),
    ("/plan/what-if/try", what_if, True),
)
