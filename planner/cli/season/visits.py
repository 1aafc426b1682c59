"""Visits: call-backs, leak searches, clean-outs, spring openings, winter closings, maintenance."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options
from planner.errors import BadInput

if TYPE_CHECKING:
    from planner.flow.season.visits import Asked

group = typer.Typer(help="Visits: short calls at a pond, planned into the crews' days.", no_args_is_help=True)

Text = str | None
Kind = Annotated[
    str,
    typer.Argument(help="call-back, leak search, clean-out, spring opening, winter closing or maintenance."),
]
KindOption = Annotated[Text, typer.Option("--kind", help="Another kind of visit.")]
Pond = Annotated[
    Text,
    typer.Option(
        help="The job that built the pond: client and site come from it.", autocompletion=complete.job_codes
    ),
]
Client = Annotated[Text, typer.Option(help="The client's name, where no job of yours built the pond.")]
Address = Annotated[Text, typer.Option(help="The site's address.")]
Phone = Annotated[Text, typer.Option(help="For the office only; no crew paper carries it.")]
Latitude = Annotated[Text, typer.Option(help="Degrees north; with --longitude.")]
Longitude = Annotated[Text, typer.Option(help="Degrees east (west is negative).")]
Hours = Annotated[Text, typer.Option(help="Hours on site, 0.5 to 8; by the rate book when left out.")]
Hands = Annotated[Text, typer.Option(help="Hands that it asks for, 1 or 2.")]
DayPart = Annotated[Text, typer.Option("--day-part", help="Promised: morning, afternoon or any time.")]
Opens = Annotated[Text, typer.Option("--from", help="Not before this day.", autocompletion=complete.dates)]
Promised = Annotated[Text, typer.Option(help="Promised by this day; none takes it away.")]
Skills = Annotated[Text, typer.Option(help="Skills of the crew, like plumbing.")]
StatusText = Annotated[Text, typer.Option("--status", help="inquiry, sold, under way, done, cancelled.")]
Notes = Annotated[Text, typer.Option(help="For the office only.")]
SiteNotes = Annotated[Text, typer.Option(help="What the crew must know; goes on its sheet.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="visit")


@group.command()
def add(
    code: Annotated[str, typer.Argument(help="A short code of your own, like V-07.")],
    kind: Kind,
    pond: Pond = None,
    client: Client = None,
    address: Address = None,
    phone: Phone = None,
    latitude: Latitude = None,
    longitude: Longitude = None,
    hours: Hours = None,
    hands: Hands = None,
    day_part: DayPart = None,
    opens: Opens = None,
    promised: Promised = None,
    skills: Skills = None,
    status: StatusText = None,
    notes: Notes = None,
    site_notes: SiteNotes = None,
) -> None:
    """Add a visit: the plan places it into one day of a crew that has its hands and skills.

    Example: planner visit add V-07 "leak search" --pond P-014 --hours 3 --day-part morning
    """
    from planner.flow.season.visits import add_visit

    if not (pond or client):
        raise BadInput("client", "missing", "name the --pond it is at, or its --client")
    asked = _asked(
        skills,
        opens,
        visit=kind,
        pond=pond,
        client=client,
        address=address,
        phone=phone,
        latitude=latitude,
        longitude=longitude,
        on_site_h=hours,
        hands=hands,
        day_part=day_part,
        promised=_day(promised),
        status=status,
        notes=notes,
        site_notes=site_notes,
    )
    add_visit(edge.location(), edge.who(), code.strip(), asked, edge.today())
    edge.say(f"added visit {code.strip()}; next: planner plan make, or planner replan")


@group.command()
def change(
    code: options.JobCode,
    kind: KindOption = None,
    pond: Pond = None,
    client: Client = None,
    address: Address = None,
    phone: Phone = None,
    latitude: Latitude = None,
    longitude: Longitude = None,
    hours: Hours = None,
    hands: Hands = None,
    day_part: DayPart = None,
    opens: Opens = None,
    promised: Promised = None,
    skills: Skills = None,
    notes: Notes = None,
    site_notes: SiteNotes = None,
) -> None:
    """Change a visit; what is not named stays. Cancel it like a job: planner job cancel.

    Example: planner visit change V-07 --hours 4 --day-part "any time"
    """
    from planner.flow.season.visits import change_visit

    asked = _asked(
        skills,
        opens,
        visit=kind,
        pond=pond,
        client=client,
        address=address,
        phone=phone,
        latitude=latitude,
        longitude=longitude,
        on_site_h=hours,
        hands=hands,
        day_part=day_part,
        promised=_day(promised),
        notes=notes,
        site_notes=site_notes,
    )
    saved = change_visit(edge.location(), edge.who(), code, asked, edge.today())
    edge.say(
        f"changed visit {code}; next: planner replan" if saved.changed else f"visit {code} is so already"
    )


@group.command()
def repeat(
    code: options.JobCode,
    rule: Annotated[str, typer.Argument(help="As RFC 5545 writes it, like FREQ=YEARLY.")],
    until: Annotated[
        str | None,
        typer.Option(
            help="Make them up to this day; the season's last when left out.", autocompletion=complete.dates
        ),
    ] = None,
) -> None:
    """Repeat a visit by a rule: each further day becomes a visit of its own.

    The first day is the one before which the visit may not begin, else its promise. The rule is kept:
    planning a later season makes its visits. Again, with a later day: only what lacks is made; one that you
    cancelled stays cancelled. "none" ends the rule; visits that are there stay.

    Example: planner visit repeat V-07 FREQ=YEARLY --until 2030-12-31
    """
    from planner.flow.season.visits import repeat_visit
    from planner.report.season.visits import repeated_words

    last = edge.day(until, "--until") if until else None
    made, there = repeat_visit(edge.location(), edge.who(), code, rule, last, edge.today())
    edge.say(f"{repeated_words(made, there, rule)}; next: planner visit list")


@group.command("list")
def list_visits(as_json: edge.JsonFlag = False) -> None:
    """List the visits: what, where, how long, when promised.

    Example: planner visit list
    """
    from planner.domain.plain import to_plain
    from planner.flow.season.visits import load_visits, visit_rows
    from planner.report.season.visits import visits_page

    visits, units = load_visits(edge.location())
    rows = visit_rows(visits)
    edge.show("visits", lambda: to_plain(rows), lambda c: visits_page(c, rows, units), as_json=as_json)


def _day(text: str | None) -> str | None:
    return text if text is None or text.strip().lower() == "none" else edge.day(text, "promised").isoformat()


def _asked(skills: str | None, opens: str | None, **texts: str | None) -> Asked:
    """What a person says of a visit; what is not said stands nowhere."""
    from planner.flow.season.visits import Asked

    said = {name: text for name, text in texts.items() if text is not None}
    return Asked(said, skills, edge.day(opens, "--from") if opens else None)
