"""Hours and short names as the pages write them."""

from __future__ import annotations

from collections.abc import Sequence

from planner.domain.crew_day.board import Risk
from planner.domain.crew_day.daysheet import DaySheet
from planner.domain.dates import day_words
from planner.domain.firm.records import Moved
from planner.domain.standing.stale import stale_words
from planner.domain.standing.stints import MachineTrip, Stint
from planner.domain.wording import number

#: Sign before the job code, so that a risk shows without color.
RISK_SIGN = {Risk.SAFE: "", Risk.TIGHT: "~", Risk.LATE: "!", Risk.UNPLANNED: "?", Risk.HINDERED: "#"}


def spare_words(days: int | None) -> str:
    """ "3 working days to spare", "2 working days late", or "no promise"."""
    if days is None:
        return "no promise"
    unit = "working day" if abs(days) == 1 else "working days"
    return f"{-days} {unit} late" if days < 0 else f"{days} {unit} to spare"


#: What screens call the hours or the day that so many cases of 100 do not exceed.
_SURE = {50: "likely", 80: "safe", 90: "9 in 10"}
#: What those words mean, said once on each page that has them.
SURE_MEANS = "likely: half of such jobs take less; safe: 8 of 10 do (80 %); 9 in 10: 90 %"


def sure_words(percentile: float) -> str:
    """ "likely", "safe" or "9 in 10"; of another percentile its share: "70 %"."""
    return _SURE.get(round(percentile), f"{percentile:g} %")


def hours(crew_h: float) -> str:
    """ "7.5 h"."""
    return f"{number(round(crew_h, 2))} h"


def one_line(text: str) -> str:
    """Text from people on one line, without control characters."""
    return " ".join("".join(c if c.isprintable() or c in "\n\t" else " " for c in text).split())


def short_head(short: str) -> str:
    """What stands before why a crew's day is not as usual: some hands elsewhere make no day short."""
    return "Short day" if ", until " in short else "People"


def phase_words(stint: Stint) -> str:
    """The phase, of its second part what that is: "fill, startup"."""
    return stint.key.work_words


def plan_words(number_: int, published: bool, moved: Sequence[Moved] = ()) -> str:
    """Which plan a page shows, and what changed since: "plan 4, published; stale: since it was made ..."."""
    name = f"plan {number_}, published" if published else f"plan {number_}, draft: not told to anyone yet"
    return "; ".join(filter(None, (name, one_line(stale_words(moved)))))


def lead_plan_words(sheet: DaySheet) -> str:
    """Which plan a crew's day comes from, for its lead: "plan 4, published, other things changed since"."""
    name = plan_words(sheet.plan_number, sheet.published)
    return f"{name}, other things changed since" if sheet.moved and not changed_words(sheet) else name


def changed_words(sheet: DaySheet) -> str:
    """What changed that touches the day and what its lead does; "" when nothing did or all is off."""
    if not sheet.changed or sheet.taken:
        return ""
    what = "; ".join(one_line(m.words) for m in sheet.changed)
    return (
        f"Some things changed since this plan was made: {what}. Ask the office whether this day still stands."
    )


def hours_words(stint: Stint) -> str:
    """The hours of a stint: "8 h", or "0 of 8 h" where fewer can be worked than planned."""
    if stint.crew_h < stint.planned_crew_h:
        return f"{hours(stint.crew_h).removesuffix(' h')} of {hours(stint.planned_crew_h)}"
    return hours(stint.crew_h)


def trip_words(trip: MachineTrip) -> str:
    """Who brings a machine and who gets it next, in one line."""
    words = trip.words
    if trip.comes_from == "yard":
        words += ": bring it from the yard"
    elif trip.comes_from:
        words += f": fetch it from {trip.comes_from}" + (f" (crew {trip.by} had it)" if trip.by else "")
    else:
        words += ": on site"
    if trip.truck:
        words += f", behind the {trip.truck} ({trip.towing})"
    if trip.goes_to == "yard":
        words += "; back to the yard tonight"
    elif trip.goes_to:
        when = f" on {day_words(trip.next_start.date())}" if trip.next_start else ""
        words += f"; {trip.next_crew} needs it at {trip.goes_to}{when}"
    return words


def progress_words(stint: Stint) -> str:
    """Where the day stands in the booking: "day 2 of 3; 67 % done tonight by the plan"."""
    if stint.finishes and stint.share_after < 0.999:
        missing = hours(stint.total_crew_h - stint.before_crew_h - stint.crew_h)
        return f"the plan ends here, but {missing} of it cannot be worked: the office plans them anew"
    if stint.finishes:
        last = "" if stint.day_count == 1 else f"day {stint.day_number} of {stint.day_count}; "
        return f"{last}finished tonight by the plan"
    share = f"{stint.share_after:.0%}".replace("%", " %")
    return f"day {stint.day_number} of {stint.day_count}; {share} done tonight by the plan"
