"""Moving a piece on the week: the form, what would follow, keep or throw away."""

from __future__ import annotations

from planner.domain.firm import entry
from planner.domain.firm.phases import Phase
from planner.flow.season.moving import Move, keep, let_go, propose
from planner.web.desk import Go, Page, Visit


def ask(visit: Visit) -> Page:
    """The form for one piece: to which crew, on which day."""
    from planner.flow.keeping.crews import load_crews

    crews = [crew.name for crew in load_crews(visit.location)]
    view = {
        "job": visit.typed("job"),
        "phase": visit.typed("phase"),
        "crew": visit.typed("crew"),
        "day": visit.typed("day"),
        "crews": crews,
        "phases": [phase.value for phase in Phase],
    }
    return Page("crew_day/move.html", view)


def look(visit: Visit) -> Page:
    """What the move would come to; nothing is kept."""
    from planner.report.season.changes import calls_words
    from planner.report.season.plans import money

    seen = propose(visit.location, visit.now, _move(visit))
    view = {
        "move": seen.move,
        "found": seen.found,
        "calls": calls_words(seen.found),
        "dearer": money(abs(seen.dearer_cents)),
        "dearer_cents": seen.dearer_cents,
    }
    return Page("crew_day/moved.html", view)


def hold(visit: Visit) -> Go:
    """Keep it: the pin, and the plan as a draft."""
    plan = keep(visit.location, visit.now, visit.who, _move(visit))
    return Go(
        f"/plan?number={plan.number}", f"kept as draft {plan.number}; publish it when the calls are made"
    )


def free(visit: Visit) -> Go:
    """Let a pinned piece go."""
    phase = entry.choice("phase", visit.typed("phase"), Phase)
    let_go(visit.location, visit.who, visit.typed("job"), phase)
    return Go("/week", f"{visit.typed('job')} {phase.value} is no longer pinned; plan again to use the room")


def _move(visit: Visit) -> Move:
    day, crew = visit.typed("day").strip(), visit.typed("crew").strip()
    return Move(
        job=visit.typed("job").strip(),
        phase=entry.choice("phase", visit.typed("phase"), Phase),
        crew=crew or None,
        day=entry.day("day", day, visit.today) if day else None,
    )


#: (address, what answers, whether it writes)
PAGES = (
    ("/week/move", ask, False),
    ("/week/move/look", look, True),
    ("/week/move/keep", hold, True),
    ("/week/pin/free", free, True),
)
