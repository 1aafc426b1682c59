"""Questions to the plan: why a job starts when it does, what would help, what if, how likely, which date."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING

from planner.domain.firm import entry
from planner.errors import BadInput
from planner.report.terminal import as_text
from planner.web.desk import Go, Page, Visit
from planner.web.work import Stopped, Tell

if TYPE_CHECKING:
    from planner.domain.season.facts import Facts
    from planner.domain.standing.whatif import Variant

#: Seconds that each variant of a what-if is searched.
WHATIF_S = 4.0


def told(title: str, text: str, back: str, words: str = "", ways: tuple[tuple[str, str], ...] = ()) -> Page:
    """An answer in the terminal's own words. back: the page it came from; ways: (words, address) to go on."""
    return Page(
        "season/told.html", {"title": title, "text": text, "back": back, "words": words, "ways": ways}
    )


def why(visit: Visit) -> Page | Go:
    """What holds each job's start, back to a cause to act on; with relief=yes also what would help most."""
    from planner.flow.season.plans import why as ask
    from planner.report.season.reasons import why_page

    location, draft = visit.location, visit.typed("draft") == "yes"
    jobs = [code for code in visit.typed("job").replace(",", " ").split() if code]

    def answer(relief: bool) -> Page:
        plan, found, eased = ask(location, jobs, relief=relief, draft=draft)
        text = as_text(lambda console: why_page(console, plan, found, eased))
        which = f"&job={jobs[0]}" if len(jobs) == 1 else ""
        ways = () if relief else (("What would help most (takes a while)", f"/plan/why?relief=yes{which}"),)
        return told("Why jobs start when they do", text, "/plan", ways=ways)

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


def chance(visit: Visit) -> Go:
    """Play the season many times: how likely each promise is kept."""
    from planner.flow.forecast.chance import chances
    from planner.report.forecast.chance import chance_page, kept_words
    from planner.report.wording import plan_words

    desk, location, now = visit.desk, visit.location, visit.now

    def work(tell: Tell, _stopped: Stopped) -> Page:
        tell("playing the season 1,000 times ...")
        found = chances(location, now)
        name = plan_words(found.plan.number, found.plan.published_at is not None).capitalize()
        text = as_text(
            lambda console: chance_page(
                console,
                found.outlook,
                name,
                found.basis,
                raises=found.raises,
                unplayed=found.unplayed,
                moved=found.moved,
            )
        )
        desk.keep_chances(kept_words(found.outlook))
        ways = (("The season with these chances", "/season"),)
        return told("Chances of the promises", text, "/plan", ways=ways)

    visit.desk.work.begin("playing the season", visit.who, work)
    return Go("/work")


def promise(visit: Visit) -> Page | Go:
    """Which date an inquiry can be promised, what an earlier one costs whom."""
    from planner.flow.season.promise import holds, offer
    from planner.report.season.promise import holds_page, promise_page

    code = visit.request.path_params["code"]
    held = [h for h in holds(visit.location) if h.job == code]
    found = offer(visit.location, visit.now, code)
    text = as_text(lambda console: promise_page(console, found))
    kept = as_text(lambda console: holds_page(console, held)) if held else ""
    until: date = visit.today + timedelta(days=7)
    return Page("season/promise.html", {"code": code, "text": text, "held": kept, "until": until})


def hold(visit: Visit) -> Go:
    """Keep the place for the inquiry until a day."""
    from planner.domain.dates import day_words
    from planner.flow.season.promise import hold as keep

    code = visit.request.path_params["code"]
    until = entry.day("until", visit.typed("until"))
    kept = keep(visit.location, visit.now, code, until, visit.who, visit.typed("note"))
    return Go(f"/jobs/{code}/promise", f"held for {code} until {day_words(kept.until)}: {kept.crew}")


def drop(visit: Visit) -> Go:
    """Give the held place up."""
    from planner.flow.season.promise import release

    code = visit.request.path_params["code"]
    release(visit.location, code, visit.who)
    return Go(f"/jobs/{code}", f"the place of {code} is free again")


#: (address, what answers, whether it writes)
PAGES = (
    ("/plan/why", why, False),
    ("/plan/what-if", ask_what_if, False),
    ("/plan/what-if/try", what_if, True),
    ("/plan/chance", chance, False),
    ("/jobs/{code}/promise", promise, False),
    ("/jobs/{code}/promise/hold", hold, True),
    ("/jobs/{code}/promise/drop", drop, True),
)
