"""The book itself: its state and health, copies made and brought back; its history; the guide."""

from __future__ import annotations

from planner.errors import BadInput, PlannerError
from planner.report.terminal import as_text
from planner.web.desk import Go, Page, Visit
from planner.web.keeping.door import must_be_here

#: Entries of the history on one page.
A_PAGE = 100


def database(visit: Visit) -> Page:
    """Where the book lies, what it holds, its copies; with check=yes its health."""
    from planner.flow.keeping import database as care
    from planner.report.keeping.database import findings_page, state_page

    held = care.state(visit.location)
    parts = (held.name, held.revision, held.newest_revision, held.size_bytes, held.entries, held.copies)
    found = care.check(visit.location, visit.now) if visit.typed("check") == "yes" else None
    view = {
        "state": as_text(lambda console: state_page(console, *parts)),
        "copies": [(copy.path, copy.made_at, copy.why) for copy in held.copies],
        "elsewhere": care.where_copies_lie(visit.location),
        "checked": found is not None,
        "health": as_text(lambda console: findings_page(console, found)) if found is not None else "",
        "grave": any(f.grave for f in found or ()),
    }
    return Page("keeping/database.html", view)


def back_up(visit: Visit) -> Go:
    """Make a copy of the database now, beside it or as a file that is named at the office's own computer."""
    from planner.flow.keeping.database import back_up as copy

    to = visit.typed("to").strip()
    if to:
        must_be_here(visit, "a file is named at the office's own computer only")
    return Go(visit.back("/firm/database"), f"copied to {copy(visit.location, to or None)}")


def restore(visit: Visit) -> Go:
    """Bring a copy back in place of the present book, which is kept beside it."""
    from planner.flow.keeping.database import restore as bring_back

    must_be_here(visit, "a copy is brought back at the office's own computer only")
    copy = visit.typed("other").strip() or visit.typed("copy")
    if not copy:
        raise BadInput("copy", "nothing", "choose one of the copies, or name a file")
    if visit.typed("sure") != "yes":
        raise BadInput(
            "sure", "not ticked", "tick the box: what was entered since the copy is then gone from it"
        )
    kept = bring_back(visit.location, copy)
    visit.desk.memo.forget()
    said = f"; the book as it was before is kept at {kept}" if kept else ""
    return Go("/firm/database?check=yes", f"the copy is brought back{said}")


def history(visit: Visit) -> Page:
    """Who changed what and when, newest first; narrowed by what, which and since."""
    from planner.domain.firm import entry
    from planner.domain.firm.records import NOUNS
    from planner.flow.keeping.history import load_history
    from planner.report.keeping.history import history_page

    noun, key, since = (visit.typed(name).strip() for name in ("noun", "key", "since"))
    if noun and noun not in NOUNS:
        raise BadInput("what", noun, f"use one of: {', '.join(NOUNS)}")
    first = entry.day("since", since, visit.today, back=True) if since else None
    most = A_PAGE * max(1, min(visit.number("page") or 1, 1000))
    changes = load_history(visit.location, noun or None, key or None, first, most)
    view = {
        "text": as_text(lambda console: history_page(console, changes)),
        "more": len(changes) == most,
        "page": most // A_PAGE,
        "nouns": NOUNS,
        "asked": {"noun": noun, "key": key, "since": first or ""},
    }
    return Page("keeping/history.html", view)


def ask_undo(visit: Visit) -> Page:
    """What would be taken back."""
    from planner.flow.keeping.history import last_action
    from planner.report.keeping.history import history_page

    changes = last_action(visit.location)
    text = as_text(lambda console: history_page(console, changes))
    return Page(
        "keeping/undo.html",
        {"changes": changes, "text": text, "action": changes[-1].action if changes else ""},
    )


def undo(visit: Visit) -> Go:
    """Take the last action back; refused when somebody did another one meanwhile."""
    from planner.flow.keeping.history import last_action, undo_last

    changes = last_action(visit.location)
    if not changes:
        raise PlannerError("there is nothing to take back: the history is empty")
    seen = visit.typed("action")
    taken = undo_last(visit.location, visit.who, int(seen) if seen.isdecimal() else changes[-1].action)
    return Go(visit.back("/firm"), f"taken back: {taken[-1].noun} {taken[-1].key} {taken[-1].verb}")


def guide(visit: Visit) -> Page:
    """The reference: its topics, or one of them."""
    from planner.domain.spelling import did_you_mean
    from planner.flow.keeping.guide import TABLES, text_of, topics
    from planner.report.keeping.guide import blocks, filled, marked

    known, topic = topics(), visit.request.path_params.get("topic", "")
    if topic and topic not in known:
        raise BadInput("topic", topic, did_you_mean(topic, known, f"use one of: {', '.join(known)}"))
    tables = {**TABLES, **visit.desk.tables}
    found = list(blocks(filled(text_of(topic), tables))) if topic else []
    return Page("keeping/guide.html", {"topics": known, "topic": topic, "found": found, "marked": marked})


#: (address, what answers, whether it writes)
PAGES = (
    ("/firm/database", database, False),
    ("/firm/database/copy", back_up, True),
    ("/firm/database/restore", restore, True),
    ("/history", history, False),
    ("/undo", ask_undo, False),
    ("/undo/go", undo, True),
    ("/guide", guide, False),
    ("/guide/{topic}", guide, False),
)
