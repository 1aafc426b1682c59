"""The first day: who the firm is, where its depot stands, when its people work."""

from __future__ import annotations

from planner.errors import BadInput
from planner.web.desk import Go, Page, Visit
from planner.web.keeping.forms import Blank, blanks, faults_by_field

#: What a first day needs, in the order in which a person is asked.
ASKED = (
    "name",
    "state",
    "shift_start",
    "paid_h_day",
    "weekdays",
    "season_first",
    "season_last",
    "depot_latitude_deg",
    "depot_longitude_deg",
)


def first(visit: Visit) -> Page:
    """What an empty book asks; the shipped defaults stand in the fields."""
    return _form(visit, {}, {}, [])


def save_first(visit: Visit) -> Go | Page:
    """Keep the firm and go on to its first crew."""
    from planner.flow.keeping.firm import set_firm

    texts = visit.texts()
    if not texts.get("name", "").strip():
        return _form(visit, texts, {"name": "give the firm a name"}, ["name: give the firm a name"])
    try:
        set_firm(visit.location, visit.who, texts, {})
    except BadInput as refusal:
        return _form(visit, texts, faults_by_field(refusal), str(refusal).splitlines())
    return Go("/firm/crew", "the firm is kept; now its first crew")


def _form(visit: Visit, typed: dict[str, str], faults: dict[str, str], lines: list[str]) -> Page:
    from dataclasses import replace

    from planner.domain.firm.fields import FIRM_FIELDS
    from planner.domain.firm.firm import Firm
    from planner.flow.keeping.firm import load_firm
    from planner.flow.keeping.guide import described

    held = load_firm(visit.location)
    held = replace(held, name="") if held.name == Firm().name else held
    known = {f.attr: f for f in FIRM_FIELDS}
    fields = [known[attr] for attr in ASKED]
    found: list[Blank] = blanks(held, fields, held.units, typed, faults, described(Firm))
    return Page("keeping/first.html", {"blanks": found, "lines": lines}, 422 if faults else 200)


#: (address, what answers, whether it writes)
PAGES = (
    ("/first", first, False),
    ("/first/save", save_first, True),
)
