"""One job: its form, copied and scaled, what others did to it meanwhile, its next state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from planner.domain.firm import entry
from planner.errors import BadInput, Overtaken
from planner.web.desk import Go, Page, Visit
from planner.web.keeping.forms import Blank, blanks, faults_by_field, overtaken, written

if TYPE_CHECKING:
    from planner.domain.firm.jobs import Job
    from planner.flow.keeping.jobs import JobCard

#: State of a job -> the states that usually follow.
NEXT = {"inquiry": ("sold", "cancelled"), "sold": ("under way", "cancelled"), "under way": ("done",)}


def job(visit: Visit) -> Page:
    """The form of one job."""
    from planner.flow.keeping.jobs import load_job

    return _form(visit, load_job(visit.location, visit.request.path_params["code"]))


def new_job(visit: Visit) -> Page:
    """An empty form; ?like=CODE&size=N: with that job's quantities; ?again=CODE: for the same client."""
    from planner.domain.firm.jobs import Status
    from planner.domain.firm.scaling import scaled_like
    from planner.flow.keeping.jobs import load_job

    like, again = visit.typed("like"), visit.typed("again")
    if like:
        past = load_job(visit.location, like).job
        made = scaled_like(past, "", "", entry.number("size", visit.typed("size") or "1"))
        return _form(visit, None, replace(made, status=Status.INQUIRY, region=past.region))
    if again:
        past = load_job(visit.location, again).job
        notes = f"called back after {past.code}"
        made = replace(past, code="", lines=(), gates=(), pins=(), needs={}, blackouts=(), promised=None)
        return _form(visit, None, replace(made, status=Status.INQUIRY, notes=notes))
    return _form(visit, None)


def save_job(visit: Visit) -> Go | Page:
    """Save what was typed; a refused form comes back as it was, with the fault at its field."""
    from planner.flow.keeping.jobs import add_job, change_job, load_job

    code, texts = visit.typed("_code"), visit.texts()
    items = [(k.removeprefix("item."), v.strip()) for k, v in texts.items() if k.startswith("item.")]
    fields = {k: v for k, v in texts.items() if not k.startswith("item.")}
    card = load_job(visit.location, code) if code else None
    try:
        if card is not None:
            changed = _changed_items(card, items)
            seen = visit.number("_seen")
            saved = change_job(visit.location, visit.who, code, fields, changed, seen, visit.today)
        else:
            given = [item for item in items if item[1]]
            saved = add_job(visit.location, visit.who, fields, given, visit.today)
    except BadInput as refusal:
        return _form(
            visit, card, None, texts, faults_by_field(refusal), str(refusal).splitlines(), status=422
        )
    except Overtaken as refusal:
        return _overtaken(visit, code, texts, str(refusal))
    said = f"job {saved.name} is kept" if saved.changed or not code else f"job {saved.name}: nothing changed"
    return Go(f"/jobs/{saved.name}", "; ".join(t for t in (said, saved.remark, saved.parted) if t))


def move_on(visit: Visit) -> Go:
    """The job's next state."""
    from planner.flow.keeping.jobs import change_job

    code, status = visit.request.path_params["code"], visit.typed("status")
    even_so, fields = visit.typed("even_so") == "yes", {"status": status}
    saved = change_job(visit.location, visit.who, code, fields, today=visit.today, even_so=even_so)
    return Go(f"/jobs/{code}", "; ".join(t for t in (f"{code} is {status}", saved.remark) if t))


def _overtaken(visit: Visit, code: str, texts: dict[str, str], line: str) -> Page:
    """Somebody saved it first: who changed what, and the form with this person's text."""
    from planner.flow.keeping.jobs import load_job, meanwhile

    card = load_job(visit.location, code)
    since = meanwhile(visit.location, code, visit.number("_seen") or 0)
    told = overtaken(texts, line, since, card.job, lambda one: _written(one, card.units))
    return _form(visit, card, None, *told, status=409)


def _written(job: Job, units: str) -> dict[str, str]:
    """Every field of the form as it would be written."""
    from planner.domain.firm.fields import JOB_FIELDS, item_names

    found = written(job, JOB_FIELDS, units)
    amounts = _amounts(job, units)
    return found | {f"item.{name}": amounts.get(key, "") for key, name in item_names(units).items()}


def _amounts(job: Job, units: str) -> dict[str, str]:
    from planner.domain.firm.fields import plain_number
    from planner.domain.firm.jobs import ITEMS
    from planner.units import to_shown

    return {
        line.item: plain_number(to_shown(line.quantity, ITEMS[line.item].unit, units)[0])
        for line in job.lines
    }


def _changed_items(card: JobCard, items: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """The quantities that the form changes; an emptied one is taken away."""
    from planner.domain.firm.fields import item_of

    held = _amounts(card.job, card.units)
    return [(name, text or "0") for name, text in items if text != held.get(item_of(name)[0], "")]


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
    """The form. card: of a stored job; made: what stands in an empty form; typed: what was typed instead."""
    from planner.domain.firm.fields import JOB_FIELDS, fields_of
    from planner.domain.firm.jobs import GateKind, Job
    from planner.domain.firm.phases import Phase
    from planner.flow.keeping.crews import load_crews
    from planner.flow.keeping.firm import load_firm
    from planner.flow.keeping.photos import list_photos
    from planner.flow.stored.locates import load_job_locate

    typed, faults = typed or {}, faults or {}
    units = card.units if card else load_firm(visit.location).units
    held = card.job if card else made or Job(code="", client="")
    fields = [f for f in fields_of(held) if f.attr != "code"] if card else list(JOB_FIELDS)
    view = {
        "card": card,
        "code": held.code,
        "held": held,
        "blanks": blanks(held, fields, units, typed, faults),
        "items": _item_blanks(held, units, typed, faults),
        "lines": lines or [],
        "next": NEXT.get(held.status.value, ()) if card else (),
        "locates": load_job_locate(visit.location, held.code) if card else [],
        "photos": list_photos(visit.location, held.code) if card else [],
        "kinds": [k.value for k in GateKind],
        "phases": list(Phase),
        "blackouts": [(days, 0) for days in held.blackouts],
        "crews": [c.name for c in load_crews(visit.location)] if card else [],
    }
    return Page("keeping/job.html", view, status)


def _item_blanks(
    held: Job, units: str, typed: Mapping[str, str], faults: Mapping[str, str]
) -> dict[str, list[Blank]]:
    """Phase -> the quantities of its work."""
    from planner.domain.firm.fields import item_names, item_words
    from planner.domain.firm.jobs import ITEMS

    amounts = _amounts(held, units)
    found: dict[str, list[Blank]] = {}
    for key, name in item_names(units).items():
        value = typed.get(f"item.{name}", amounts.get(key, ""))
        fault = faults.get(name, "") or faults.get(f"item.{name}", "")
        words = f"{item_words(key, units).capitalize()} [{name.rpartition('_')[2]}]"
        one = Blank(f"item.{name}", words, value, "number", (), fault)
        found.setdefault(ITEMS[key].phase.words, []).append(one)
    return found


#: (address, what answers, whether it writes)
PAGES = (
    ("/jobs/new", new_job, False),
    ("/jobs/save", save_job, True),
    ("/jobs/{code}", job, False),
    ("/jobs/{code}/status", move_on, True),
)
