"""The plan: what counts, what changed, plan again, publish; the season's picture."""

from __future__ import annotations

from planner.web.desk import File, Go, Page, Visit
from planner.web.render import as_text

#: Seconds that a plan from the browser searches unless the form says otherwise.
SECONDS = 5.0


def plan(visit: Visit) -> Page:
    """The plan that counts and the plans beside it."""
    from planner.domain.standing.standing import plan_standing
    from planner.flow.season.plans import plan_and_roster, plan_heads
    from planner.report.season.plans import plan_page

    heads = plan_heads(visit.location)
    typed = visit.typed("number")
    text = ""
    if heads:
        made, roster = plan_and_roster(visit.location, visit.today, int(typed) if typed.isdecimal() else None)
        standing = plan_standing(made, roster)
        text = as_text(lambda console: plan_page(console, made, standing))
    told = [head for head in heads if head.published_at]
    counts = max((h.published_at, h.number) for h in told if h.published_at)[1] if told else 0
    heads = sorted(heads, key=lambda head: -head.number)[:12]
    return Page("plan.html", {"heads": heads, "counts": counts, "text": text, "seconds": SECONDS})


def make(visit: Visit) -> Go:
    """Plan the season afresh, or again from the published plan."""
    from planner.domain.firm import entry
    from planner.flow.season.plans import make_plan, plan_heads
    from planner.flow.season.replan import replan

    seconds = min(120.0, max(0.5, entry.number("seconds", visit.typed("seconds") or str(SECONDS))))
    if any(head.published_at for head in plan_heads(visit.location)):
        again = replan(visit.location, visit.now, seconds=seconds)
        said = f"saved as draft {again.plan.number}: {len(again.found)} changes; nothing is published yet"
        return Go("/plan?number=" + str(again.plan.number), said)
    made = make_plan(visit.location, visit.now, seconds=seconds)
    return Go(
        f"/plan?number={made.plan.number}", f"saved as draft {made.plan.number}; nothing is published yet"
    )


def publish(visit: Visit) -> Go:
    """From now on crews and customers go by it."""
    from planner.flow.season.plans import publish as make_public

    typed = visit.typed("number")
    number = int(typed) if typed.isdecimal() else None
    told = make_public(visit.location, number, visit.now, visit.who, even_so=visit.typed("even_so") == "yes")
    return Go("/week", f"plan {told.number} is published")


def season(visit: Visit) -> File:
    """The season as a picture."""
    from planner.flow.season.season import season_line
    from planner.report.season.season_page import season_page

    made = season_page(season_line(visit.location, visit.now))
    policy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'"
    return File(made, "text/html; charset=utf-8", policy=policy)


#: (address, what answers, whether it writes)
PAGES = (
    ("/plan", plan, False),
    ("/plan/make", make, True),
    ("/plan/publish", publish, True),
    ("/season", season, False),
)
