"""The firm's pages: its settings, crews and machines by form; history and undo; copies of the database."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from planner.errors import BadInput, PlannerError
from planner.report.terminal import as_text
from planner.web.desk import Go, Page, Visit
from planner.web.keeping.forms import Blank, blanks, faults_by_field


def firm(visit: Visit) -> Page:
    """Who we are, who works for us, what was changed last."""
    return _firm(visit, {}, {})


def save_firm(visit: Visit) -> Go | Page:
    """Change the firm's settings and money weights."""
    from planner.domain.firm import entry
    from planner.flow.keeping.firm import set_firm

    texts = visit.texts()
    fields = {k: v for k, v in texts.items() if not k.startswith("weight.")}
    try:
        weights = {
            k.removeprefix("weight."): entry.number(k, v) for k, v in texts.items() if k.startswith("weight.")
        }
        saved = set_firm(visit.location, visit.who, fields, weights)
    except BadInput as refusal:
        return _firm(visit, texts, faults_by_field(refusal), str(refusal).splitlines())
    return Go(visit.back("/firm"), "the firm is kept" if saved.changed else "nothing changed")


def _firm(
    visit: Visit, typed: Mapping[str, str], faults: Mapping[str, str], lines: list[str] | None = None
) -> Page:
    from planner.domain.firm.fields import FIRM_FIELDS
    from planner.domain.firm.firm import Firm
    from planner.flow.keeping.crews import load_crews
    from planner.flow.keeping.database import state
    from planner.flow.keeping.firm import load_firm
    from planner.flow.keeping.guide import described
    from planner.flow.keeping.history import load_history
    from planner.flow.keeping.machines import load_machines
    from planner.report.keeping.database import copies_page
    from planner.report.keeping.firm import firm_weights
    from planner.report.keeping.history import history_page

    held = load_firm(visit.location)
    kept = state(visit.location)
    changes = load_history(visit.location, None, None, None, 15)
    view = {
        "blanks": blanks(held, FIRM_FIELDS, held.units, typed, faults, described(Firm)),
        "weights": [_weight(n, v, typed, faults) for n, v in firm_weights(held).items()],
        "crews": load_crews(visit.location),
        "machines": load_machines(visit.location)[0],
        "history": as_text(lambda console: history_page(console, changes)),
        "copies": as_text(lambda console: copies_page(console, kept.copies)),
        "database": kept.name,
        "lines": lines or [],
    }
    return Page("keeping/firm.html", view, 422 if faults else 200)


def _weight(name: str, value: float, typed: Mapping[str, str], faults: Mapping[str, str]) -> Blank:
    """One money weight as a line of the form."""
    from planner.domain.firm.firm import Weights
    from planner.flow.keeping.guide import described

    field = f"weight.{name}"
    label = f"{name.replace('_', ' ').capitalize()} [{'days' if name == 'near_days' else 'dollars'}]"
    fault, hint = faults.get(field, ""), described(Weights).get(name, "")
    return Blank(field, label, typed.get(field, f"{value:g}"), "number", (), fault, hint)


def crew(visit: Visit) -> Page:
    """The form of a crew; an empty one for a new crew."""
    from planner.domain.firm.crews import Crew
    from planner.flow.keeping.crews import load_crews

    name = visit.typed("name")
    held = next((c for c in load_crews(visit.location) if c.name == name), None)
    if name and held is None:
        raise BadInput("crew", name, "no crew has that name")
    return _noun(visit, "crew", name, held or Crew("", ""), {}, {})


def machine(visit: Visit) -> Page:
    """The form of a machine; an empty one for a new machine."""
    from planner.domain.firm.crews import Machine
    from planner.flow.keeping.machines import load_machines

    key = visit.typed("name")
    held = next((m for m in load_machines(visit.location)[0] if m.key == key), None)
    if key and held is None:
        raise BadInput("machine", key, "no machine has that name")
    return _noun(visit, "machine", key, held or Machine("", "", 1), {}, {})


def save_crew(visit: Visit) -> Go | Page:
    """Keep a crew."""
    from planner.domain.firm.crews import Crew
    from planner.flow.keeping.crews import save_crew as keep

    def save(name: str, texts: Mapping[str, str], new: bool) -> None:
        keep(visit.location, visit.who, name, texts, new=new)

    return _save(visit, "crew", "name", Crew("", ""), save)


def save_machine(visit: Visit) -> Go | Page:
    """Keep a machine."""
    from planner.domain.firm.crews import Machine
    from planner.flow.keeping.machines import save_machine as keep

    def save(name: str, texts: Mapping[str, str], new: bool) -> None:
        keep(visit.location, visit.who, name, texts, new=new)

    return _save(visit, "machine", "key", Machine("", "", 1), save)


def _save(
    visit: Visit,
    what: str,
    named_by: str,
    empty: object,
    keep: Callable[[str, Mapping[str, str], bool], None],
) -> Go | Page:
    texts, old = visit.texts(), visit.typed("_name")
    name = old or texts.get(named_by, "").strip()
    if not name:
        return _noun(visit, what, old, empty, texts, {named_by: f"give the {what} a name"})
    try:
        keep(name, {k: v for k, v in texts.items() if k != named_by}, not old)
    except BadInput as refusal:
        return _noun(visit, what, old, empty, texts, faults_by_field(refusal))
    return Go("/firm", f"{what} {name} is kept")


def _noun(
    visit: Visit, what: str, name: str, held: object, typed: Mapping[str, str], faults: Mapping[str, str]
) -> Page:
    from planner.domain.firm.fields import CREW_FIELDS, MACHINE_FIELDS
    from planner.flow.keeping.firm import load_firm

    named_by = ("name", "key") if name else ()
    fields = [f for f in (CREW_FIELDS if what == "crew" else MACHINE_FIELDS) if f.attr not in named_by]
    lines = blanks(held, fields, load_firm(visit.location).units, typed, faults)
    view = {"what": what, "name": name, "blanks": lines, "unplaced": _unplaced(faults, lines)}
    return Page("keeping/noun.html", view, 422 if faults else 200)


def _unplaced(faults: Mapping[str, str], lines: object) -> list[str]:
    named = {blank.name for blank in lines} if isinstance(lines, list) else set()
    return [f"{field}: {fix}" for field, fix in faults.items() if field not in named]


def undo(visit: Visit) -> Go:
    """Take the last action back; refused when somebody did another one meanwhile."""
    from planner.flow.keeping.history import last_action, undo_last

    changes = last_action(visit.location)
    if not changes:
        raise PlannerError("there is nothing to take back: the history is empty")
    seen = visit.typed("action")
    taken = undo_last(visit.location, visit.who, int(seen) if seen.isdecimal() else changes[-1].action)
    return Go(visit.back("/firm"), f"taken back: {taken[-1].noun} {taken[-1].key} {taken[-1].verb}")


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


def back_up(visit: Visit) -> Go:
    """Make a copy of the database now."""
    from planner.flow.keeping.database import back_up as copy

    return Go("/firm", f"copied to {copy(visit.location, None)}")


#: (address, what answers, whether it writes)
PAGES = (
    ("/firm", firm, False),
    ("/firm/save", save_firm, True),
    ("/firm/crew", crew, False),
    ("/firm/crew/save", save_crew, True),
    ("/firm/machine", machine, False),
    ("/firm/machine/save", save_machine, True),
    ("/firm/copy", back_up, True),
    ("/undo", ask_undo, False),
    ("/undo/go", undo, True),
)
