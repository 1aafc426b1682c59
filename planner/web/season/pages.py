"""The plan: what counts, what changed, plan again, publish; the season's picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.errors import BadInput
from planner.web.desk import File, Go, Page, Visit
from planner.web.render import in_path, without_plan
from planner.web.work import Stopped, Tell

if TYPE_CHECKING:
    from planner.domain.season.plan import Plan
    from planner.domain.standing.roster import Roster
    from planner.domain.standing.standing import PlanStanding
    from planner.domain.standing.view import SeasonView
    from planner.flow.season.plans import Progress

#: Seconds that a plan from the browser searches unless the form says otherwise.
SECONDS = 5.0
#: Times the usual width of a week -> how it is called.
ZOOMS = ((1, "Whole season"), (2, "Closer"), (4, "Closest"))
#: The longest search that the page takes [s].
LONGEST_S = 600.0


def plan(visit: Visit) -> Page:
    """The plan that counts and the plans beside it."""
    from planner.domain.standing.locate_standing import not_clear
    from planner.domain.standing.stale import stale_words
    from planner.domain.standing.standing import plan_standing
    from planner.flow.season.plans import plan_and_roster, plan_heads
    from planner.report.season.plans import headline, money, quality
    from planner.report.wording import spare_words

    heads = plan_heads(visit.location)
    view: dict[str, object] = {"shown": 0}
    if heads:
        number = visit.number("number")

        def judged() -> tuple[Plan, Roster, PlanStanding]:
            made, roster = plan_and_roster(visit.location, visit.today, number)
            return made, roster, plan_standing(made, roster)

        made, roster, standing = visit.desk.once(("plan", number), judged)
        costs = [(name, money(cents)) for name, cents in made.cost.cents.items() if cents]
        view = {
            "shown": made.number,
            "headline": headline(made, standing),
            "quality": quality(made, standing),
            "stale": stale_words(standing.moved) if standing.moved else "",
            "planned": standing.jobs,
            "locates": not_clear(roster.locates),
            "costs": [*costs, ("total", money(made.cost.total_cents))],
            "spare_words": spare_words,
        }
    told = [head for head in heads if head.published_at]
    counts = max((h.published_at, h.number) for h in told if h.published_at)[1] if told else 0
    newest = sorted(heads, key=lambda head: -head.number)[:12]
    more = {"heads": newest, "counts": counts, "seconds": SECONDS, "told": len(told), "money": money}
    return Page("season/plan.html", {**view, **more})


def make(visit: Visit) -> Go:
    """Begin to plan: again from the published plan, with its order kept, or afresh."""
    from planner.domain.firm import entry
    from planner.flow.season.plans import make_plan, plan_heads
    from planner.flow.season.replan import replan
    from planner.report.season.plans import gap_words, progress_line

    seconds = entry.number("seconds", visit.typed("seconds") or str(SECONDS))
    if not 0 < seconds <= LONGEST_S:
        raise BadInput("seconds", seconds, f"choose more than 0 and at most {LONGEST_S:g}")
    slack = entry.whole("days in hand", visit.typed("slack") or "0")
    told = any(head.published_at for head in plan_heads(visit.location))
    how = visit.typed("how") or ("again" if told else "afresh")
    location, now, first = visit.location, visit.now, visit.typed("promises_first") == "yes"

    def work(tell: Tell, stopped: Stopped) -> Go:
        def far(now_at: Progress) -> None:
            late, saved = now_at.late_jobs, now_at.improvement
            line = progress_line(now_at.stage, now_at.best_cents, late, saved, now_at.elapsed_s)
            tell(line + gap_words(now_at.best_cents, now_at.bound_cents))

        if how == "afresh" or not told:
            made = make_plan(
                location,
                now,
                seconds=seconds,
                slack_days=slack,
                promises_first=first,
                expected=True,
                on_progress=far,
                stop=stopped,
            )
            words = f": {expected_words(made.aimed.expected).rstrip('.')}" if made.aimed else ""
            return _kept(made.plan.number, words)
        search_s = 0.0 if how == "order" else seconds
        again = replan(location, now, seconds=search_s, slack_days=slack, on_progress=far, stop=stopped)
        return _kept(again.plan.number, f": {calls_words(again.found)}")

    from planner.report.season.changes import calls_words
    from planner.report.season.expected import expected_words

    visit.desk.work.begin("planning the season", visit.who, work, "the best plan so far")
    return Go("/work")


def _kept(number: int, what: str) -> Go:
    return Go(f"/plan?number={number}", f"saved as draft {number}{what}; nothing is published yet")


def differ(visit: Visit) -> Page:
    """What changes between two plans, job by job, and whom to call."""
    from planner.flow.season.replan import compare
    from planner.report.season.changes import calls_words
    from planner.report.wording import plan_words

    both = compare(visit.location, visit.now, visit.number("old"), visit.number("new"))
    names = [plan_words(p.number, p.published_at is not None).partition(":")[0] for p in (both.old, both.new)]
    return Page("season/differ.html", {"found": both.found, "names": names, "calls": calls_words(both.found)})


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
    """The season: bars by crew, load by week; ?zoom= times the width, ?draft=1 the newest plan's."""
    from planner.report.season.season_page import season_body

    if (empty := without_plan(visit)) is not None:
        return empty
    zoom = visit.number("zoom") or 1
    if zoom not in dict(ZOOMS):
        raise BadInput("zoom", zoom, f"use one of {', '.join(str(z) for z, _ in ZOOMS)}")
    draft, chance = visit.typed("draft") == "1", visit.desk.chances()
    body = visit.desk.once(
        ("season", draft, zoom, tuple(chance.items())),
        lambda: season_body(
            _line(visit, draft=draft),
            zoom=zoom,
            job_link=lambda code: f"/jobs/{in_path(code)}",
            chance=chance,
        ),
    )
    return Page("season/season.html", {**body, "zooms": ZOOMS, "draft_word": "&draft=1" if draft else ""})


def season_csv(visit: Visit) -> File:
    """One row a job as CSV."""
    from planner.report.season.season import season_csv as written

    text = written(_line(visit, draft=visit.typed("draft") == "1"))
    return File(text, "text/csv; charset=utf-8", "season.csv")


def season_paper(visit: Visit) -> File:
    """The season as one file for paper and for sending."""
    from planner.report.season.season_page import season_page

    policy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'"
    made = season_page(_line(visit, draft=visit.typed("draft") == "1"))
    return File(made, "text/html; charset=utf-8", policy=policy)


def _line(visit: Visit, *, draft: bool) -> SeasonView:
    from planner.flow.season.season import season_line

    return visit.desk.once(
        ("season line", draft), lambda: season_line(visit.location, visit.now, draft=draft)
    )


#: (address, what answers, whether it writes)
PAGES = (
    ("/plan", plan, False),
    ("/plan/make", make, True),
    ("/plan/differ", differ, False),
    ("/plan/publish", publish, True),
    ("/plan/back", back, True),
    ("/season", season, False),
    ("/season/jobs.csv", season_csv, False),
    ("/season/paper", season_paper, False),
)
