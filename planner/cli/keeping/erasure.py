"""`planner job forget`: a client's name, address and notes leave the records; quantities and hours stay."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli import complete, edge


def forget(
    code: Annotated[str, typer.Argument(help="The job's code.", autocompletion=complete.job_codes)],
    renew_backups: Annotated[
        bool, typer.Option("--renew-backups", help="Forget it in this computer's backups too.")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Do it without asking.")] = False,
) -> None:
    """Forget a job's client: name, address, phone, place and notes are gone for good.

    They leave the job, its history, returned sheets, held places and plan notes, and cannot be taken back.
    Quantities and hours stay for the rates. Of a job that is sold or under way it is refused. The backups
    that still hold the client are named, and you are asked whether they shall forget it too.

    Example: planner job forget P-014 --renew-backups
    """
    from planner.flow.keeping import erasure

    where = edge.location()
    edge.confirm(f"Forget the client of job {edge.plain(code)} for good?", yes=yes)
    done = erasure.forget(where, edge.who(), code, renew=renew_backups)
    edge.say(f"the client of job {code} is forgotten; quantities and hours stay")
    if done.photos:
        edge.say(f"{done.photos} {'photo is' if done.photos == 1 else 'photos are'} gone")
    renewed, left = done.renewed, done.backups
    for name in left:
        edge.say(f"still in the backup {name}")
    if left and not renew_backups:
        if not yes and edge.agrees("Forget it in these backups too?"):
            renewed, left = erasure.renew_backups(where, code)
            for name in left:
                edge.say(f"still in the backup {name}: it could not be renewed; remove it by hand")
        else:
            edge.say(f"to renew them: planner job forget {code} --renew-backups")
    for name in renewed:
        edge.say(f"forgotten in the backup {name} too")
    for name in done.files:
        edge.say(f"still in the file {name}: remove it, or write it anew")
    for other in done.kin:
        edge.say(f"job {other} is of the same client and still knows it")
    edge.say("copies, exports and pages that lie elsewhere still hold it: remove those by hand")
