"""The firm's page: its settings and money weights, its closed, worked and half days; who works for us."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from planner.domain.dates import day_words
from planner.domain.firm import entry
from planner.errors import BadInput, Overtaken
from planner.web.desk import Go, Page, Visit
from planner.web.keeping.forms import (
    Blank,
    blanks,
    faults_by_field,
    overtaken,
    typed_days,
    written,
)

if TYPE_CHECKING:
    from datetime import date

    from planner.domain.firm.firm import Firm


def firm(visit: Visit) -> Page:
    """Who we are, who works for us, what was changed last."""
    return _firm(visit, {}, {})


def save_firm(visit: Visit) -> Go | Page:
    """Change the firm's settings and money weights."""
    from planner.flow.keeping.firm import set_firm

    texts = visit.texts()
    fields = {k: v for k, v in texts.items() if not k.startswith("weight.")}
    try:
        weights = {
            k.removeprefix("weight."): entry.number(k, v) for k, v in texts.items() if k.startswith("weight.")
        }
        saved = set_firm(visit.location, visit.who, fields, weights, visit.number("_seen"))
    except BadInput as refusal:
        return _firm(visit, texts, faults_by_field(refusal), str(refusal).splitlines())
    except Overtaken as refusal:
        return _overtaken(visit, texts, str(refusal))
    return Go(visit.back("/firm"), "the firm is kept" if saved.changed else "nothing changed")


def _overtaken(visit: Visit, texts: dict[str, str], line: str) -> Page:
    """Somebody saved the settings first: who changed what, and the form with this person's text."""
    from planner.domain.firm.firm import Firm
    from planner.flow.keeping.firm import load_firm
    from planner.flow.keeping.history import meanwhile

    since = meanwhile(visit.location, "firm", "firm", Firm, visit.number("_seen") or 0)
    now = load_firm(visit.location)
    return _firm(visit, *overtaken(texts, line, since, now, _written), status=409)


def _written(held: Firm) -> dict[str, str]:
    """Every field of the page's form as it would be written."""
    from planner.domain.firm.fields import FIRM_FIELDS
    from planner.report.keeping.firm import firm_weights

    weights = {f"weight.{name}": f"{value:g}" for name, value in firm_weights(held).items()}
    return written(held, FIRM_FIELDS, held.units) | weights


def _firm(
    visit: Visit,
    typed: Mapping[str, str],
    faults: Mapping[str, str],
    lines: list[str] | None = None,
    status: int = 0,
) -> Page:
    from planner.domain.firm.fields import FIRM_FIELDS
    from planner.domain.firm.firm import Firm
    from planner.flow.keeping.crews import load_crews
    from planner.flow.keeping.firm import load_firm
    from planner.flow.keeping.guide import described
    from planner.flow.keeping.history import newest_mark
    from planner.flow.keeping.machines import load_machines, load_trucks
    from planner.report.keeping.firm import firm_weights

    seen = newest_mark(visit.location, "firm", "firm")
    held = load_firm(visit.location)
    view = {
        "seen": seen,
        "held": held,
        "closed": [(days, 0) for days in held.days_off],
        "blanks": blanks(held, FIRM_FIELDS, held.units, typed, faults, described(Firm)),
        "weights": [_weight(n, v, typed, faults) for n, v in firm_weights(held).items()],
        "crews": load_crews(visit.location),
        "machines": load_machines(visit.location)[0],
        "trucks": load_trucks(visit.location)[0],
        "lines": lines or [],
    }
    return Page("keeping/firm.html", view, status or (422 if faults else 200))


def _weight(name: str, value: float, typed: Mapping[str, str], faults: Mapping[str, str]) -> Blank:
    """One money weight as a line of the form."""
    from planner.domain.firm.firm import Weights
    from planner.flow.keeping.guide import described

    field = f"weight.{name}"
    label = f"{name.replace('_', ' ').capitalize()} [{'days' if name == 'near_days' else 'dollars'}]"
    fault, hint = faults.get(field, ""), described(Weights).get(name, "")
    return Blank(field, label, typed.get(field, f"{value:g}"), "number", (), fault, hint)


def closed(visit: Visit) -> Go:
    """Close the firm on some days, besides public holidays; or open it on them after all."""
    from planner.domain.firm import amend

    days, drop = typed_days(visit, "closed"), visit.typed("drop") == "yes"
    said = "the firm works on those days after all" if drop else "the firm is closed on those days"
    return _edit(visit, lambda f: replace(f, days_off=amend.days_changed(f.days_off, days, drop=drop)), said)


def worked(visit: Visit) -> Go:
    """Work on a Saturday or a public holiday; or not after all."""
    from planner.domain.firm import amend

    day, drop = _day(visit), visit.typed("drop") == "yes"
    said = f"{day_words(day)} is {'not worked after all' if drop else 'worked'}"
    return _edit(visit, lambda f: replace(f, work_days=amend.day_changed(f.work_days, day, drop=drop)), said)


def half_day(visit: Visit) -> Go:
    """Work only until the meal break on a day; or the whole day after all."""
    from planner.domain.firm import amend

    day, drop = _day(visit), visit.typed("drop") == "yes"
    said = f"{day_words(day)} is a {'whole' if drop else 'half'} day"
    return _edit(visit, lambda f: replace(f, half_days=amend.day_changed(f.half_days, day, drop=drop)), said)


def _day(visit: Visit) -> date:
    return entry.day("day", visit.typed("day"), visit.today)


def _edit(visit: Visit, edit: Callable[[Firm], Firm], said: str) -> Go:
    from planner.flow.keeping.firm import edit_firm

    saved = edit_firm(visit.location, visit.who, edit)
    return Go("/firm", said if saved.changed else "the settings are like that already")


#: (address, what answers, whether it writes)
PAGES = (
    ("/firm", firm, False),
    ("/firm/save", save_firm, True),
    ("/firm/closed", closed, True),
    ("/firm/worked", worked, True),
    ("/firm/half-day", half_day, True),
)
