"""Visits: the list, the form of one, and the rule by which it comes again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from planner.domain.firm import entry
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.errors import BadInput, Overtaken
from planner.web.desk import Go, Page, Visit
from planner.web.keeping.forms import Blank, blanks, faults_by_field, overtaken, written
from planner.web.render import in_path

if TYPE_CHECKING:
    from planner.flow.keeping.jobs import JobCard

#: Fields of the form: what the terminal asks for too, in its order.
ASKED = (
    *("code", "visit", "pond", "client", "address", "phone", "latitude_deg", "longitude_deg"),
    *("on_site_h", "hands", "day_part", "promised", "status", "notes", "site_notes"),
)
#: How often a visit comes again -> the rule that says so (RFC 5545, section 3.3.10).
AGAIN = {
    "every year": "FREQ=YEARLY",
    "every half year": "FREQ=MONTHLY;INTERVAL=6",
    "every three months": "FREQ=MONTHLY;INTERVAL=3",
    "every month": "FREQ=MONTHLY",
    "every two weeks": "FREQ=WEEKLY;INTERVAL=2",
    "every week": "FREQ=WEEKLY",
}


def visits(visit: Visit) -> Page:
    """Every visit on record, in the order in which they are promised."""
    from planner.domain.firm.visits import DayPart
    from planner.flow.season.visits import load_visits, visit_rows

    rows = visit.desk.once("visits", lambda: visit_rows(load_visits(visit.location)[0]))
    asked = visit.typed("past") == "yes"
    shown = [job for job in rows if asked or job.status.value not in ("done", "cancelled")]
    view = {
        "rows": [(job, job.release(Phase.VISIT)) for job in shown],
        "any_time": DayPart.ANY,
        "past": asked,
        "hidden_ones": len(rows) - len(shown),
    }
    return Page("season/visits.html", view)


def new_visit(visit: Visit) -> Page:
    """An empty form; ?pond=CODE: at the pond that this job built."""
    from planner.domain.firm.jobs import Status

    return _form(visit, None, Job("", "", pond=visit.typed("pond").strip(), status=Status.SOLD))


def one(visit: Visit) -> Page:
    """The form of one visit."""
    return _form(visit, _card(visit, visit.request.path_params["code"]))


def _card(visit: Visit, code: str) -> JobCard:
    from planner.flow.keeping.jobs import load_job

    card = load_job(visit.location, code)
    if card.job.visit is None:
        raise BadInput("visit", code, "that is an install: see it among the jobs")
    return card


def save(visit: Visit) -> Go | Page:
    """Add or change a visit; a refused form comes back as it was, with the fault at its field."""
    from planner.flow.season.visits import Asked, add_visit, change_visit

    texts, old = visit.texts(), visit.typed("_code")
    card = _card(visit, old) if old else None
    held = _written(card.job, card.units) if card else {"skills": "", "opens": ""}
    skills, opens = (texts.pop(name, held[name]).strip() for name in ("skills", "opens"))
    code = old or texts.pop("code", "").strip()
    try:
        said = {name: text for name, text in texts.items() if text.strip() != held.get(name, "")}
        first = entry.day("opens", opens, visit.today) if opens != held["opens"] else None
        asked = Asked(said, skills if skills != held["skills"] else None, first)
        if card is not None:
            seen = visit.number("_seen")
            saved = change_visit(visit.location, visit.who, code, asked, visit.today, seen)
            told = f"visit {code} is kept" if saved.changed else f"visit {code}: nothing changed"
            return Go(f"/visits/{in_path(code)}", told)
        _named(code, texts)
        add_visit(visit.location, visit.who, code, asked, visit.today)
    except BadInput as refusal:
        typed = visit.texts()
        return _form(visit, card, _typed_job(card), typed, faults_by_field(refusal), status=422)
    except Overtaken as refusal:
        return _overtaken(visit, code, visit.texts(), str(refusal))
    return Go(f"/visits/{in_path(code)}", f"visit {code} is kept; now plan again")


def _named(code: str, texts: Mapping[str, str]) -> None:
    """Refuse a visit without a code, or of which nobody knows where it is."""
    if not code:
        raise BadInput("code", "missing", "give the visit a short code of your own, like V-07")
    if not (texts.get("pond", "").strip() or texts.get("client", "").strip()):
        raise BadInput("client", "missing", "name the job that built the pond, or the client")


def _typed_job(card: JobCard | None) -> Job:
    return card.job if card else Job("", "")


def _overtaken(visit: Visit, code: str, texts: dict[str, str], line: str) -> Page:
    """Somebody saved it first: who changed what, and the form with this person's text."""
    from planner.flow.keeping.jobs import meanwhile

    card = _card(visit, code)
    since = meanwhile(visit.location, code, visit.number("_seen") or 0)
    typed, notes, lines = overtaken(texts, line, since, card.job, lambda job: _written(job, card.units))
    return _form(visit, card, card.job, typed, notes, lines, status=409)


def _written(job: Job, units: str) -> dict[str, str]:
    """Every field of the form as it would be written."""
    from planner.domain.firm.fields import JOB_FIELDS

    fields = [f for f in JOB_FIELDS if f.attr in ASKED]
    return written(job, fields, units) | {"skills": _skills(job), "opens": _opens(job)}


def _skills(job: Job) -> str:
    need = job.needs.get(Phase.VISIT)
    return " ".join(sorted(need.skills)) if need and need.skills else ""


def _opens(job: Job) -> str:
    first = job.release(Phase.VISIT)
    return first.isoformat() if first else ""


def _form(
    visit: Visit,
    card: JobCard | None,
    made: Job | None = None,
    typed: Mapping[str, str] | None = None,
    faults: Mapping[str, str] | None = None,
    lines: list[str] | None = None,
    *,
    status: int = 200,
) -> Page:
    """The form. card: of a stored visit; made: stands in an empty form; typed: what was typed instead."""
    from planner.domain.firm.fields import JOB_FIELDS
    from planner.flow.keeping.firm import load_firm

    typed, faults = typed or {}, faults or {}
    units = card.units if card else load_firm(visit.location).units
    held = card.job if card else made or Job("", "")
    left_out = {"code", "status"} if card else set()
    by_name = {f.attr: f for f in JOB_FIELDS}
    fields = [by_name[name] for name in ASKED if name not in left_out]
    hints = {
        "opens": "Taken away among the gates of its state." if card else "",
        "pond": "Client and site come from it.",
        "on_site_h": "Empty: by the rate book.",
        "phone": "For the office only; no crew paper carries it.",
        "site_notes": "What the crew must know; goes on its sheet.",
    }
    found = blanks(held, fields, units, typed, faults, hints)
    more = [
        ("opens", "Not before", _opens(held), "day"),
        ("skills", "Skills of the crew", _skills(held), "line"),
    ]
    found += [
        Blank(name, words, typed.get(name, value), kind, (), faults.get(name, ""), hints.get(name, ""))
        for name, words, value, kind in more
    ]
    named = {blank.name for blank in found}
    told = [f"{field}: {fix}" for field, fix in faults.items() if field not in named]
    view = {
        "card": card,
        "code": held.code,
        "held": held,
        "blanks": found,
        "lines": [*(lines or []), *told],
        "again": AGAIN,
    }
    return Page("season/visit.html", view, status)


def repeat(visit: Visit) -> Go:
    """Keep a rule, make its further visits up to a day or the season's last; what is there already stays."""
    from planner.flow.season.visits import repeat_visit
    from planner.report.season.visits import repeated_words

    code = visit.request.path_params["code"]
    rule = visit.typed("rule").strip() or AGAIN.get(visit.typed("every"), "")
    last = visit.typed("until").strip()
    until = entry.day("until", last, visit.today) if last else None
    made, there = repeat_visit(visit.location, visit.who, code, rule, until, visit.today)
    return Go("/visits", repeated_words(made, there, rule))


#: (address, what answers, whether it writes)
PAGES = (
    ("/visits", visits, False),
    ("/visits/new", new_visit, False),
    ("/visits/save", save, True),
    ("/visits/{code}", one, False),
    ("/visits/{code}/repeat", repeat, True),
)
