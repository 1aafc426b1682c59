"""What hangs on a job besides its form: gates, days without crews, photos; forgetting its client."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from starlette.datastructures import UploadFile

from planner.domain.firm import amend, entry
from planner.domain.firm.jobs import DayRange, Gate, GateKind
from planner.domain.firm.phases import Phase
from planner.errors import BadInput
from planner.web.desk import File, Go, Visit

if TYPE_CHECKING:
    from collections.abc import Callable

    from planner.domain.firm.jobs import Job


def gate(visit: Visit) -> Go:
    """Set a dated gate, tick it met, or take it away."""
    kind = entry.choice("gate", visit.typed("kind"), GateKind)
    if visit.typed("drop") == "yes":
        return _edit(visit, lambda job: amend.without_gate(job, kind), f"{kind.value} is taken away")
    new = Gate(
        kind,
        entry.day("opens", visit.typed("opens")),
        entry.choice("phase", visit.typed("phase"), Phase),
        visit.typed("met") == "yes",
        visit.typed("note"),
    )
    return _edit(visit, lambda job: amend.with_gate(job, new), f"{kind.value} is kept")


def blackout(visit: Visit) -> Go:
    """Days on which the client wants nobody there."""
    first = entry.day("first day", visit.typed("first"))
    last = entry.day("last day", visit.typed("last") or visit.typed("first"))
    if last < first:
        raise BadInput("last day", last, f"choose a day from {first} on")
    days, drop = DayRange(first, last, visit.typed("why")), visit.typed("drop") == "yes"

    def edit(job: Job) -> Job:
        return replace(job, blackouts=amend.days_changed(job.blackouts, days, drop=drop))

    return _edit(visit, edit, "days are free again" if drop else "nobody comes on those days")


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
    ("/jobs/{code}/photo", add_photo, True),
    ("/jobs/{code}/photo/drop", drop_photo, True),
    ("/jobs/{code}/photo/{name}", photo, False),
    ("/jobs/{code}/forget", forget, True),
    ("/jobs/{code}/remove", remove, True),
)
