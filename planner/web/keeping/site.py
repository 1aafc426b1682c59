"""What hangs on a job besides its form: gates, pins, needs, days without crews, photos; its client gone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from starlette.datastructures import UploadFile

from planner.domain.firm import amend, entry
from planner.domain.firm.jobs import Gate, GateKind, Need, waits_first
from planner.domain.firm.phases import Phase
from planner.domain.firm.visits import DayPart
from planner.errors import BadInput
from planner.web.desk import File, Go, Visit
from planner.web.keeping.forms import typed_days

if TYPE_CHECKING:
    from collections.abc import Callable

    from planner.domain.firm.jobs import Job


def gate(visit: Visit) -> Go:
    """Set a dated gate, tick it met, or take it away."""
    kind = entry.choice("gate", visit.typed("kind"), GateKind)
    if visit.typed("drop") == "yes":
        return _edit(visit, lambda job: amend.without_gate(job, kind), f"{kind.value} is taken away")
    phase = visit.typed("phase")
    new = Gate(
        kind,
        entry.day("opens", visit.typed("opens")),
        entry.choice("phase", phase, Phase) if phase else waits_first(kind),
        visit.typed("met") == "yes",
        visit.typed("note"),
        entry.choice("day_part", visit.typed("day_part") or DayPart.ANY.value, DayPart),
    )
    return _edit(visit, lambda job: amend.with_gate(job, new), f"{kind.value} is kept")


def blackout(visit: Visit) -> Go:
    """Days on which the client wants nobody there."""
    days, drop = typed_days(visit, "blackout"), visit.typed("drop") == "yes"

    def edit(job: Job) -> Job:
        return replace(job, blackouts=amend.days_changed(job.blackouts, days, drop=drop))

    return _edit(visit, edit, "days are free again" if drop else "nobody comes on those days")


def pin(visit: Visit) -> Go:
    """Pin a phase to a crew, to a start, or both; or let it go."""
    phase = entry.choice("phase", visit.typed("phase"), Phase)
    crew, start = visit.typed("crew").strip(), visit.typed("start").strip()
    drop = visit.typed("drop") == "yes"
    if not (crew or start or drop):
        raise BadInput("pin", "nothing", "name a crew, a start, or both")
    begins = entry.moment("start", start, visit.today) if start and not drop else None
    said = f"{phase.words} is no longer pinned" if drop else f"{phase.words} is pinned"
    return _edit(visit, lambda job: amend.with_pin(job, phase, None if drop else crew or None, begins), said)


def need(visit: Visit) -> Go:
    """What a phase of this job needs where it differs from the phase's usual needs; or back to those."""
    phase = entry.choice("phase", visit.typed("phase"), Phase)
    if visit.typed("drop") == "yes":
        return _edit(visit, lambda job: amend.with_need(job, phase, None), f"{phase.words} needs the usual")
    own = Need(
        entry.words(visit.typed("skills")) if visit.typed("own_skills") == "yes" else None,
        entry.units(visit.typed("machines")) if visit.typed("own_machines") == "yes" else None,
    )
    if own == Need(None, None):
        raise BadInput("need", "nothing", "tick skills, machines, or both")
    return _edit(visit, lambda job: amend.with_need(job, phase, own), f"{phase.words} has its own needs")


def _edit(visit: Visit, edit: Callable[[Job], Job], said: str) -> Go:
    from planner.flow.keeping.jobs import edit_job

    code = visit.request.path_params["code"]
    saved = edit_job(visit.location, visit.who, code, lambda job, _: edit(job))
    return Go(f"/jobs/{code}", "; ".join(t for t in (f"{code}: {said}", saved.remark, saved.parted) if t))


def add_photo(visit: Visit) -> Go:
    """Keep a photo of the job."""
    from planner.flow.keeping.photos import MOST_BYTES
    from planner.flow.keeping.photos import add_photo as keep

    code, found = visit.request.path_params["code"], visit.form.get("photo")
    if not isinstance(found, UploadFile) or not found.size:
        raise BadInput("photo", "nothing", "choose a picture first")
    keep(visit.location, code, found.file.read(MOST_BYTES + 1), visit.now)
    return Go(f"/jobs/{code}", "the photo is kept, without its place and time of taking")


def photo(visit: Visit) -> File:
    """One photo."""
    from planner.flow.keeping.photos import read_photo

    path = visit.request.path_params
    return File(read_photo(visit.location, path["code"], path["name"]), "image/jpeg")


def drop_photo(visit: Visit) -> Go:
    """Take a photo away."""
    from planner.flow.keeping.photos import drop_photo as drop

    code = visit.request.path_params["code"]
    drop(visit.location, code, visit.typed("name"))
    return Go(f"/jobs/{code}", "the photo is taken away")


def forget(visit: Visit) -> Go:
    """Forget the job's client for good."""
    from planner.flow.keeping.erasure import forget as forget_client

    code = visit.request.path_params["code"]
    if visit.typed("sure") != "yes":
        raise BadInput("sure", "not ticked", "tick the box: it cannot be taken back")
    done = forget_client(visit.location, visit.who, code, renew=True)
    still = [f"still in {name}" for name in (*done.backups, *done.files)]
    return Go(f"/jobs/{code}", "; ".join([f"the client of job {code} is forgotten, backups too", *still]))


def remove(visit: Visit) -> Go:
    """Take a job off the records that was entered by mistake."""
    from planner.flow.keeping.jobs import remove_job

    code = visit.request.path_params["code"]
    remove_job(visit.location, visit.who, code)
    return Go("/jobs", f"job {code} is taken off the records; Take the last change back brings it back")


#: (address, what answers, whether it writes)
PAGES = (
    ("/jobs/{code}/gate", gate, True),
    ("/jobs/{code}/blackout", blackout, True),
    ("/jobs/{code}/pin", pin, True),
    ("/jobs/{code}/need", need, True),
    ("/jobs/{code}/photo", add_photo, True),
    ("/jobs/{code}/photo/drop", drop_photo, True),
    ("/jobs/{code}/photo/{name}", photo, False),
    ("/jobs/{code}/forget", forget, True),
    ("/jobs/{code}/remove", remove, True),
)
