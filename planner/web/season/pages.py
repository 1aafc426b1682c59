"""The plan: what counts, what changed, plan again, publish; the season's picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.errors import BadInput
from planner.report.terminal import as_text
from planner.web.crew_day.papers import PAPER
from planner.web.desk import File, Go, Page, Visit
from planner.web.render import in_path, without_plan
from planner.web.season.making import DEFAULTS
from planner.web.seen import known

if TYPE_CHECKING:
    from planner.domain.season.plan import Plan
    from planner.domain.standing.roster import Roster
    from planner.domain.standing.standing import PlanStanding
    from planner.domain.standing.view import SeasonView

#: Times the usual width of a week -> how it is called.
ZOOMS = ((1, "Whole season"), (2, "Closer"), (4, "Closest"))


def plan(visit: Visit) -> Page:
    """The plan that counts and the plans beside it."""
    from planner.domain.standing.locate_standing import not_clear
    from planner.domain.standing.stale import stale_words
    from planner.domain.standing.standing import plan_standing
    from planner.flow.season.plans import plan_and_roster, plan_before, plan_heads
    from planner.report.season.plans import costs, headline, money, quality
    from planner.report.wording import spare_words

    heads = plan_heads(visit.location)
    view: dict[str, object] = {"shown": 0}
    if heads:
        number = visit.number("number")

        def judged() -> tuple[Plan, Roster, PlanStanding]:
            made, roster = plan_and_roster(visit.location, visit.today, number)
            return made, roster, plan_standing(made, roster)

        made, roster, standing = visit.desk.once(("plan", number), judged)
        before = plan_before(visit.location, made)
        view = {
            "shown": made.number,
            "headline": headline(made, standing),
            "quality": quality(made, standing),
            "stale": stale_words(standing.moved) if standing.moved else "",
            "planned": standing.jobs,
            "locates": not_clear(roster.locates),
            "costs": costs(made, standing, roster.firm, before),
            "before": before.number if before else 0,
            "spare_words": spare_words,
        }
    told = [head for head in heads if head.published_at]
    counts = max((h.published_at, h.number) for h in told if h.published_at)[1] if told else 0
    newest = sorted(heads, key=lambda head: -head.number)[:12]
    more = {"heads": newest, "counts": counts, "told": len(told), "money": money}
    return Page("season/plan.html", {**view, **more, **DEFAULTS})


def differ(visit: Visit) -> Page:
    """What changes between two plans, job by job, and whom to call."""
    from planner.flow.season.plans import plan_heads
    from planner.flow.season.replan import compare
    from planner.report.season.changes import calls_words, crew_changes_page
    from planner.report.wording import plan_words

    both = compare(visit.location, visit.now, visit.number("old"), visit.number("new"))
    two = (both.old, both.new)
    view = {
        "found": both.found,
        "names": [plan_words(p.number, p.published_at is not None).partition(":")[0] for p in two],
        "calls": calls_words(both.found),
        "crews": as_text(lambda console: crew_changes_page(console, both.found)),
        "numbers": [p.number for p in two],
        "heads": sorted((head.number for head in plan_heads(visit.location)), reverse=True),
    }
    return Page("season/differ.html", view)


def publish(visit: Visit) -> Go:
    """From now on crews and customers go by it."""
    from planner.flow.season.plans import publish as make_public

    even_so = visit.typed("even_so") == "yes"
    told = make_public(visit.location, visit.number("number"), visit.now, visit.who, even_so=even_so)
    return Go("/week", f"plan {told.number} is published")


def back(visit: Visit) -> Go:
    """Publish again the plan that was published before the present one."""
    from planner.flow.season.plans import go_back

    told = go_back(visit.location, visit.now, visit.who, even_so=visit.typed("even_so") == "yes")
    return Go("/week", f"plan {told.number} is published again")


def season(visit: Visit) -> Page:
    """The season: bars by crew, load by week; ?zoom= times the width, ?plan= or ?draft=1 of another plan."""
    from planner.report.season.season_page import season_body

    if (empty := without_plan(visit)) is not None:
        return empty
    zoom = visit.number("zoom") or 1
    if zoom not in dict(ZOOMS):
        raise BadInput("zoom", zoom, f"use one of {', '.join(str(z) for z, _ in ZOOMS)}")
    which, chance = (visit.number("plan"), visit.typed("draft") == "1"), visit.desk.chances()
    body = visit.desk.once(
        ("season", which, zoom, tuple(chance.items())),
        lambda: season_body(
            _line(visit),
            zoom=zoom,
            job_link=lambda code: f"/jobs/{in_path(code)}",
            chance=chance,
        ),
    )
    word = f"&plan={which[0]}" if which[0] else "&draft=1" if which[1] else ""
    return Page("season/season.html", {**body, "zooms": ZOOMS, "draft_word": word})


def season_csv(visit: Visit) -> File:
    """One row a job as CSV."""
    from planner.report.season.season import season_csv as written

    text = written(_line(visit))
    return File(text, "text/csv; charset=utf-8", "season.csv")


def season_paper(visit: Visit) -> File:
    """The season as one file for paper and for sending."""
    from planner.report.season.season_page import season_page

    return File(season_page(_line(visit)), "text/html; charset=utf-8", policy=PAPER)


def _line(visit: Visit) -> SeasonView:
    """The season by the plan of ?plan=, the newest with ?draft=1, else by the published one."""
    from planner.flow.season.season import season_line

    number, draft = visit.number("plan"), visit.typed("draft") == "1"
    return visit.desk.once(
        ("season line", number, draft),
        lambda: season_line(visit.location, visit.now, number=number, draft=draft, known=known(visit)),
    )


#: (address, what answers, whether it writes)
PAGES = (
    ("/plan", plan, False),
    ("/plan/differ", differ, False),
    ("/plan/publish", publish, True),
    ("/plan/back", back, True),
    ("/season", season, False),
    ("/season/jobs.csv", season_csv, False),
    ("/season/paper", season_paper, False),
)
