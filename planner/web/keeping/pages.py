"""Records: the jobs and the form of one; the firm's first day."""

from __future__ import annotations

from planner.web.desk import Go, Page, Visit
from planner.web.keeping.forms import blanks, faults_by_field


def jobs(visit: Visit) -> Page:
    """Every job, or those that hold what was searched for."""
    from planner.domain.firm import entry
    from planner.domain.firm.jobs import Status
    from planner.flow.keeping.jobs import load_jobs

    asked = visit.typed("status")
    found, units = load_jobs(visit.location, entry.choice("status", asked, Status) if asked else None)
    words = visit.typed("words").lower()
    if words:
        found = [j for j in found if words in f"{j.code} {j.client} {j.address} {j.region}".lower()]
    view = {
        "jobs": found,
        "units": units,
        "asked": asked,
        "words": words,
        "statuses": [s.value for s in Status],
    }
    return Page("keeping/jobs.html", view)


def job(visit: Visit) -> Page:
    """The form of one job."""
    from planner.flow.keeping.jobs import load_job

    card = load_job(visit.location, visit.request.path_params["code"])
    return _form(visit, card, {}, {})


def new_job(visit: Visit) -> Page:
    """An empty form."""
    return _form(visit, None, {}, {})


def save_job(visit: Visit) -> Go | Page:
    """Save what was typed; a refused form comes back as it was, with the fault at its field."""
    from planner.errors import BadInput
    from planner.flow.keeping.jobs import add_job, change_job, load_job

    code = visit.typed("_code")
    texts = visit.texts()
    items = [(k.removeprefix("item."), v.strip()) for k, v in texts.items() if k.startswith("item.")]
    fields = {k: v for k, v in texts.items() if not k.startswith("item.")}
    try:
        if code:
            card = load_job(visit.location, code)
            held = {line.item: line.quantity for line in card.job.lines}
            changed = _changed_items(card.units, held, items)
            seen = visit.typed("_seen")
            saved = change_job(
                visit.location,
                visit.who,
                code,
                fields,
                changed,
                int(seen) if seen.isdecimal() else None,
                visit.today,
            )
        else:
            saved = add_job(visit.location, visit.who, fields, [i for i in items if i[1]], visit.today)
    except BadInput as refusal:
        card_now = load_job(visit.location, code) if code else None
        return _form(visit, card_now, texts, faults_by_field(refusal), str(refusal).splitlines())
    said = f"job {saved.name} is kept" if saved.changed or not code else f"job {saved.name}: nothing changed"
    return Go(f"/jobs/{saved.name}", "; ".join(t for t in (said, saved.remark, saved.parted) if t))


def _changed_items(units: str, held: dict[str, float], items: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """The quantities that the form changes; an emptied one is taken away."""
    from planner.domain.firm.fields import item_of, plain_number
    from planner.domain.firm.jobs import ITEMS
    from planner.units import to_shown

    found = []
    for name, text in items:
        key = item_of(name)[0]
        now = plain_number(to_shown(held[key], ITEMS[key].unit, units)[0]) if key in held else ""
        if text != now:
            found.append((name, text or "0"))
    return found


def _form(
    visit: Visit, card: object, typed: dict[str, str], faults: dict[str, str], lines: list[str] | None = None
) -> Page:
    from planner.domain.firm.fields import JOB_FIELDS, item_names, item_words, plain_number
    from planner.domain.firm.jobs import ITEMS, Job
    from planner.flow.keeping.firm import load_firm
    from planner.flow.keeping.jobs import JobCard
    from planner.units import to_shown

    units = card.units if isinstance(card, JobCard) else load_firm(visit.location).units
    held = card.job if isinstance(card, JobCard) else Job(code="", client="")
    fields = [f for f in JOB_FIELDS if not (isinstance(card, JobCard) and f.attr == "code")]
    amounts = {
        line.item: plain_number(to_shown(line.quantity, ITEMS[line.item].unit, units)[0])
        for line in held.lines
    }
    rows = []
    for key, name in item_names(units).items():
        value = typed.get(f"item.{name}", amounts.get(key, ""))
        rows.append((ITEMS[key].phase.value, name, item_words(key, units), value, faults.get(name, "")))
    view = {
        "card": card,
        "code": held.code,
        "blanks": blanks(held, fields, units, typed, faults),
        "items": rows,
        "lines": lines or [],
    }
    return Page("keeping/job.html", view, 422 if faults else 200)


#: (address, what answers, whether it writes)
PAGES = (
    ("/jobs", jobs, False),
    ("/jobs/new", new_job, False),
    ("/jobs/save", save_job, True),
    ("/jobs/{code}", job, False),
)
