"""Hours: what came back, by hand or pasted from a message; what is missing; what the rates would learn."""

from __future__ import annotations

from datetime import timedelta

from planner.domain.wording import counted
from planner.errors import BadInput, PlannerError
from planner.report.terminal import as_text
from planner.web.desk import Go, Page, Visit, told
from planner.web.seen import morning

#: So many days back the page lists entries.
DAYS_BACK = 14
#: So many days back planned is held against worked.
LOOK_BACK = 60
#: A time clock's file is at most this long here [bytes]: it goes through the form once more.
CLOCK_BYTES = 200_000


def hours(visit: Visit) -> Page:
    """The entries of the last two weeks, or those asked for, who has not reported, and the forms."""
    from planner.domain.firm import entry
    from planner.domain.firm.fields import item_words
    from planner.domain.firm.jobs import ITEMS
    from planner.domain.firm.phases import Phase
    from planner.flow.hours.clock import kept_words
    from planner.flow.hours.logs import list_logs
    from planner.flow.keeping.crews import load_crews
    from planner.flow.keeping.firm import load_firm
    from planner.report.hours.logs import entry_words

    asked = {name: visit.typed(name).strip() for name in ("of_job", "of_crew", "first", "last")}
    days = [entry.day(n, asked[n], visit.today, back=True) if asked[n] else None for n in ("first", "last")]
    first = days[0] if any(asked.values()) else visit.today - timedelta(days=DAYS_BACK)
    logs, misses = list_logs(
        visit.location,
        job=asked["of_job"] or None,
        crew=asked["of_crew"] or None,
        first=first,
        last=days[1],
    )
    units = load_firm(visit.location).units
    view = {
        "entries": list(reversed(logs)),
        "entry_words": entry_words,
        "missed": [m.words for m in misses if not m.settled],
        "unlogged": morning(visit).unlogged,
        "crews": [c.name for c in load_crews(visit.location)],
        "phases": list(Phase),
        "today": visit.today,
        "clock_known": bool(kept_words(visit.location).columns),
        "typed": {k: visit.typed(k) for k in ("job", "crew", "phase")},
        "asked": asked,
        "items": [(key, item_words(key, units)) for key in ITEMS],
    }
    return Page("office/hours.html", view)


def log(visit: Visit) -> Go:
    """Log one crew's hours by hand."""
    from planner.domain.firm import entry
    from planner.domain.firm.actuals import Log
    from planner.domain.firm.phases import Phase
    from planner.flow.hours.logs import check_said, log_hours
    from planner.report.hours.logs import entry_words, so_far_words

    given = {name: visit.typed(name).strip() for name in ("share", "quantity", "lost", "people")}
    percent = entry.number("share", given["share"]) if given["share"] else None
    quantity = entry.number("quantity", given["quantity"]) if given["quantity"] else None
    item = visit.typed("item") or None
    check_said(percent, quantity, item, dash="")
    done = visit.typed("done") == "yes"
    kept = log_hours(
        visit.location,
        Log(
            day=entry.day("day", visit.typed("day"), visit.today),
            crew=visit.typed("crew"),
            job=visit.typed("job").strip(),
            phase=entry.choice("phase", visit.typed("phase"), Phase),
            crew_h=entry.number("hours", visit.typed("hours")),
            share_done=1.0 if done else None if percent is None else percent / 100,
            done=done or percent == 100,
            lost_h=entry.number("lost", given["lost"]) if given["lost"] else 0.0,
            lost_why=visit.typed("lost_why").strip(),
            people=entry.whole("people", given["people"]) if given["people"] else 0,
            note=visit.typed("note"),
        ),
        today=visit.today,
        who=visit.who,
        quantity=quantity,
        item=item,
    )
    said = f"logged: {entry_words(kept.entry)}; {so_far_words(kept.so_far, kept.planned_h)}"
    return Go("/hours", said)


def read(visit: Visit) -> Page:
    """A returned text pasted from a message, read against its sheet; nothing is logged yet."""
    from planner.flow.hours.returns import open_returns
    from planner.report.hours.returns import print_reading

    text = visit.typed("text")
    if not text.strip():
        raise BadInput("text", "", "paste the text that the crew sent")
    arrivals = open_returns(visit.location, text, visit.today)
    shown = "\n".join(
        as_text(lambda console, a=arrival: print_reading(a.reading, a.open_before, a.again, console))  # type: ignore[misc]
        for arrival in arrivals
    )
    asked = sorted({q for a in arrivals if not a.again for q in a.reading.questions})
    fresh = any(not a.again for a in arrivals)
    return Page("office/returned.html", {"shown": shown, "text": text, "asked": asked, "fresh": fresh})


def keep(visit: Visit) -> Go:
    """Log what was read; where something looks wrong only when the office says so."""
    from planner.flow.hours.returns import log_returns, open_returns
    from planner.report.hours.returns import after_words

    fresh = [a for a in open_returns(visit.location, visit.typed("text"), visit.today) if not a.again]
    asked = sorted({q for a in fresh for q in a.reading.questions})
    if asked and visit.typed("accept") != "yes":
        raise PlannerError(f"not logged ({'; '.join(asked)}): tick the box to log it all the same")
    written = log_returns(visit.location, visit.who, fresh)
    said = f"logged {written} {'entry' if written == 1 else 'entries'}"
    return Go("/hours", "; ".join([said, *after_words(a.reading for a in fresh)]))


def read_clock(visit: Visit) -> Page:
    """A time clock's file, read and judged; nothing is logged yet. What was said of its words is kept."""
    from planner.domain.hours.clock_words import told_lines
    from planner.flow.hours.clock import read_clock as judged
    from planner.flow.hours.clock import remember
    from planner.report.hours.clock import day_line
    from planner.report.wording import hours as hours_words

    name, raw = visit.upload(CLOCK_BYTES, "choose the CSV file of the time clock", "split it by weeks")
    words = remember(visit.location, lambda known: told_lines(known, visit.typed("words").splitlines()))
    reading = judged(visit.location, name, raw, words, visit.today)
    view = {
        "lines": [day_line(day) for day in reading.days],
        "left_out": hours_words(reading.left_out_h) if reading.left_out_h else "",
        "asked": reading.questions,
        "fresh": bool(reading.to_log),
        "text": raw.decode("utf-8-sig", errors="replace"),
        "name": name,
    }
    return Page("office/clocked.html", view)


def keep_clock(visit: Visit) -> Go:
    """Log what the clock's file says; where something looks odd only when the office says so."""
    from planner.flow.hours.clock import kept_words, log_clock

    raw = visit.typed("text").encode()
    words, accept = kept_words(visit.location), visit.typed("accept") == "yes"
    name = visit.typed("name") or "clock.csv"
    kept = log_clock(
        visit.location, visit.who, name, raw, words, visit.today, accept=accept, how="tick the box"
    )
    return Go("/hours", f"logged {counted(len(kept), 'entry', 'entries')} of the time clock")


def take_back(visit: Visit) -> Go:
    """Take one entry back."""
    from planner.flow.hours.logs import undo_log
    from planner.report.hours.logs import entry_words

    gone = undo_log(visit.location, visit.number("id"), who=visit.who)
    return Go("/hours", f"taken back: {entry_words(gone)}")


def week(visit: Visit) -> Page:
    """This week planned against worked, who is silent, idle hours in dollars."""
    from planner.flow.hours.ledger import read_week
    from planner.report.hours.week import week_page

    seen = visit.desk.once("hours week", lambda: read_week(visit.location, visit.today))
    text = as_text(lambda console: week_page(console, seen), 100)
    return told("This week's hours", text, "/hours")


def against(visit: Visit) -> Page:
    """Planned against worked, and what the rates would learn from it."""
    from planner.flow.hours.against import planned_against_worked

    return Page(
        "office/against.html", {"rows": planned_against_worked(visit.location, visit.today, LOOK_BACK)}
    )


def owner(visit: Visit) -> Page:
    """Sold, now, worked, left and at the end; what goes wrong; pictures of what came back."""
    from planner.flow.hours.ledger import read_budget, read_ledger, read_pictures
    from planner.report.hours.ledger_page import ledger_view

    found = read_ledger(visit.location, visit.today)
    view = ledger_view(found, read_pictures(visit.location), read_budget(visit.location, found, visit.today))
    return Page("office/owner.html", view)


def learn(visit: Visit) -> Page:
    """What a refit proposes; nothing is kept."""
    from planner.flow.estimate.estimates import refit_rates
    from planner.report.estimate.rates import refit_page

    done = refit_rates(visit.location, visit.today)
    text = as_text(
        lambda console: refit_page(console, done.result, done.tested, done.changes, accepted=False)
    )
    edition = done.result.book.edition if done.result.book is not None else ""
    return Page("office/learn.html", {"text": text, "edition": edition})


def accept(visit: Visit) -> Go:
    """Use the proposed edition; refused when the hours propose another one by now."""
    from planner.flow.estimate.estimates import refit_rates

    again = refit_rates(visit.location, visit.today)
    if again.result.book is None or again.result.book.edition != visit.typed("edition"):
        raise PlannerError("the hours propose something else by now: look at it again")
    done = refit_rates(visit.location, visit.today, accept=True, who=visit.who)
    name = done.result.book.edition if done.result.book else ""
    return Go("/hours/learn", f"rate book {name} is kept: new jobs are told by it, others keep theirs")


#: (address, what answers, whether it writes)
PAGES = (
    ("/hours", hours, False),
    ("/hours/log", log, True),
    ("/hours/log/back", take_back, True),
    ("/hours/read", read, True),
    ("/hours/clock/read", read_clock, True),
    ("/hours/clock/keep", keep_clock, True),
    ("/hours/keep", keep, True),
    ("/hours/week", week, False),
    ("/hours/against", against, False),
    ("/hours/owner", owner, False),
    ("/hours/learn", learn, False),
    ("/hours/learn/accept", accept, True),
)
