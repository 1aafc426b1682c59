"""Time that the season loses: enter it, list it, take it back."""

from __future__ import annotations

from datetime import timedelta

from planner.domain.firm import entry
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase
from planner.errors import BadInput
from planner.web.desk import Go, Page, Visit

#: Kind -> how the office says it, and the field that says whom or what it hits ("" for none).
KINDS = {
    LostKind.RAIN: ("rain", "region"),
    LostKind.CREW_OFF: ("a crew does not come", "crew"),
    LostKind.CREW_SHORT: ("a crew comes with fewer hands", "crew"),
    LostKind.MACHINE_DOWN: ("a machine is out of order", "machine"),
    LostKind.DELIVERY: ("a delivery comes later, on the last day", "job"),
    LostKind.INSPECTION: ("an inspection failed; the next is on the last day", "job"),
}


def lost(visit: Visit) -> Page:
    """What is entered, and the form."""
    from planner.flow.hours.lost import list_lost
    from planner.flow.keeping.crews import load_crews
    from planner.flow.keeping.machines import load_machines
    from planner.report.hours.logs import lost_words

    view = {
        "entries": [(e.id, lost_words(e)) for e in reversed(list_lost(visit.location))],
        "kinds": [(kind.value, words) for kind, (words, _) in KINDS.items()],
        "crews": [c.name for c in load_crews(visit.location)],
        "machines": [m.key for m in load_machines(visit.location)[0]],
        "phases": list(Phase),
        "today": visit.today,
    }
    return Page("office/lost.html", view)


def add(visit: Visit) -> Go:
    """Enter lost time; the plan is then stale and says so."""
    from planner.flow.hours.lost import add_lost
    from planner.report.hours.logs import lost_words

    kind = entry.choice("kind", visit.typed("kind"), LostKind)
    first = entry.day("first day", visit.typed("first"))
    last = entry.day("last day", visit.typed("last") or visit.typed("first"))
    if kind in (LostKind.DELIVERY, LostKind.INSPECTION):
        if last <= visit.today:
            raise BadInput("last day", last, "choose the day after today on which it comes, or a later one")
        first, last = visit.today, last - timedelta(days=1)
    if last < first:
        raise BadInput("last day", last, f"choose a day from {first} on")
    counted = kind in (LostKind.CREW_SHORT, LostKind.MACHINE_DOWN)
    new = LostTime(
        kind,
        DayRange(first, last),
        visit.typed(KINDS[kind][1]).strip(),
        entry.whole("how many", visit.typed("people") or "1") if counted else 0,
        visit.typed("phase") if kind in (LostKind.DELIVERY, LostKind.INSPECTION) else "",
        visit.typed("note"),
    )
    kept = add_lost(visit.location, new, who=visit.who)
    return Go("/hours/lost", f"{lost_words(kept)}; now plan again")


def take_back(visit: Visit) -> Go:
    """Take an entry back."""
    from planner.flow.hours.lost import undo_lost
    from planner.report.hours.logs import lost_words

    gone = undo_lost(visit.location, visit.number("id") or 0, who=visit.who)
    return Go("/hours/lost", f"taken back: {lost_words(gone)}")


#: (address, what answers, whether it writes)
PAGES = (
    ("/hours/lost", lost, False),
    ("/hours/lost/add", add, True),
    ("/hours/lost/back", take_back, True),
)
