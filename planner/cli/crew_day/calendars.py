"""`planner calendar`: the plan as an .ics file for phones and office calendars."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import edge
from planner.cli.pages import write_page
from planner.errors import BadInput

if TYPE_CHECKING:
    from planner.flow.crew_day.calendars import Sent


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("calendar")(write_calendar)


def write_calendar(
    crew: Annotated[str | None, typer.Option("--crew", help="A crew's calendar.")] = None,
    machine: Annotated[
        str | None, typer.Option("--machine", help="A machine kind's, like excavator.")
    ] = None,
    job: Annotated[str | None, typer.Option("--job", help="A job's, to share with the client.")] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="The file to write. Default: to standard output.")
    ] = None,
    all_day: Annotated[
        bool | None,
        typer.Option(
            "--all-day/--timed", help="Whole days, or hours. Default: hours for crews and machines."
        ),
    ] = None,
    draft: Annotated[bool, typer.Option("--draft", help="From the newest plan, published or not.")] = False,
    readable: edge.ReadableFlag = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Calendar file (.ics): a crew, machine, job or the firm.

    Without an option it is the whole firm's.

    The same event keeps its identity when plans change, so that importing or subscribing again moves it
    instead of doubling it. Private notes and phone numbers stay out.

    Example: planner calendar --crew North --out north.ics
    """
    from planner.domain.office.events import Whose
    from planner.flow.crew_day.calendars import send_calendar
    from planner.report.crew_day.calendars import calendar_data, calendar_file
    from planner.report.wording import plan_words

    chosen = [
        (w, n) for w, n in ((Whose.CREW, crew), (Whose.MACHINE, machine), (Whose.JOB, job)) if n is not None
    ]
    if len(chosen) > 1:
        raise BadInput("--crew, --machine, --job", "several", "choose one of them")
    whose, name = chosen[0] if chosen else (Whose.FIRM, "")

    def deliver(sent: Sent) -> None:
        if as_json:
            edge.show("calendar", calendar_data(sent.events), lambda _: None, as_json=True)
            return
        content = calendar_file(sent.title, sent.events, sent.time_zone, edge.now())
        if out is not None:
            write_page(out, content, "--out", readable=readable)
        else:
            typer.echo(content, nl=False)

    where, who, today = edge.location(), edge.who(), edge.today()
    sent = send_calendar(where, who, whose, name, today, all_day=all_day, draft=draft, deliver=deliver)
    edge.say(f"from {plan_words(sent.plan_number, sent.published, sent.moved)}")
