"""`planner office ...`: what the office must ask, order, book and say, and by when."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge
from planner.cli.pages import write_page
from planner.errors import BadInput

if TYPE_CHECKING:
    from planner.domain.office.items import OfficeItem

group = typer.Typer(help="The office's own list: locates, orders, permits, calls.", no_args_is_help=True)

Keys = Annotated[list[str], typer.Argument(help="Keys as the list shows them; a clear beginning will do.")]
Days = Annotated[int, typer.Option(help="Show what is due within so many days.")]
JobOption = Annotated[
    str | None, typer.Option("--job", help="Only this job.", autocompletion=complete.job_codes)
]
Everything = Annotated[bool, typer.Option("--all", help="The whole season, ticked and snoozed items too.")]


def register(app: typer.Typer) -> None:
    """Add the group `office`."""
    app.add_typer(group, name="office")


@group.command("list")
def list_(
    days: Days = 14, job: JobOption = None, everything: Everything = False, as_json: edge.JsonFlag = False
) -> None:
    """What the office must do, by date. An exclamation mark: too late, or against a rule.

    Example: planner office list --days 21
    """
    from planner.flow.stored.roster import plan_and_moved
    from planner.report.office.office import office_data, office_page
    from planner.report.wording import plan_words

    items = _chosen(days, job, everything=everything)
    until = _until(days)
    plan, moved = plan_and_moved(edge.location())
    name = plan_words(plan.number, plan.published_at is not None, moved)
    edge.show(
        "office",
        office_data(items),
        lambda c: office_page(c, items, edge.today(), until, name),
        as_json=as_json,
    )


@group.command()
def tick(keys: Keys) -> None:
    """Tick items off: asked, ordered, booked, called.

    Example: planner office tick locate:P-014 order:P-014:liner
    """
    from planner.flow.office import office

    for item in office.tick(edge.location(), keys, edge.now(), edge.who()):
        edge.say(f"ticked {item.key}")


Job = Annotated[str, typer.Argument(help="The job's code.", autocompletion=complete.job_codes)]
Orders = Annotated[
    list[str] | None, typer.Argument(help="Orders as the list names them (liner, pump); all when left out.")
]


@group.command()
def here(job: Job, orders: Orders = None) -> None:
    """Say that a job's material is here, in the yard or on site: its phases wait for it no longer.

    Example: planner office here P-014 liner boxes
    """
    from planner.flow.office import office

    for order in office.say_orders(edge.location(), job, orders or [], edge.who()):
        edge.say(f"{order.lead.words} for {job}: {order.words}")


@group.command()
def arrives(
    job: Job,
    orders: Orders = None,
    on: Annotated[str, typer.Option(help="The day of delivery.", autocompletion=complete.dates)] = "",
) -> None:
    """Say for which day the supplier has confirmed an order: the work that uses it is planned from then.

    Example: planner office arrives P-014 stone --on 2027-04-14
    """
    from planner.flow.office import office

    day = edge.day(on, "--on")
    for order in office.say_orders(edge.location(), job, orders or [], edge.who(), arrives=day):
        edge.say(f"{order.lead.words} for {job}: {order.words}")


@group.command()
def snooze(
    keys: Keys,
    until: Annotated[
        str, typer.Option(help="The day on which it comes back.", autocompletion=complete.dates)
    ],
) -> None:
    """Put items away until a day.

    Example: planner office snooze order:P-014:stone --until 2027-05-10
    """
    from planner.domain.dates import day_words
    from planner.flow.office import office

    day = edge.day(until, "--until")
    for item in office.snooze(edge.location(), keys, day, edge.now(), edge.who()):
        edge.say(f"snoozed {item.key} until {day_words(day)}")


@group.command()
def settle(
    key: Annotated[str, typer.Argument(help="Key of the missed check; a clear beginning will do.")],
    word: Annotated[str, typer.Argument(help="What was done about it.")],
) -> None:
    """Settle a check that was missed on site: it stands first on every page until then.

    The word, who gave it and when stay in the history; planner office untick opens it again.

    Example: planner office settle missed:P-014:dig "marks walked with the foreman, photos filed"
    """
    from planner.flow.office import office

    miss = office.settle(edge.location(), key, word, edge.who())
    edge.say(f"settled {miss.key}: {miss.settled}")


@group.command()
def untick(
    keys: Annotated[list[str], typer.Argument(help="Whole keys of ticked, snoozed or settled items.")],
) -> None:
    """Take a tick, a snooze or a settled check back.

    Example: planner office untick locate:P-014
    """
    from planner.flow.office import office

    for key in office.untick(edge.location(), keys, edge.who()):
        edge.say(f"open again: {key}")


@group.command()
def export(
    file: Annotated[Path, typer.Argument(help="CSV file to write.")],
    days: Days = 14,
    job: JobOption = None,
    everything: Everything = False,
) -> None:
    """Write the list as CSV: due, kind, job, what, pressing, state, until, key.

    Example: planner office export office.csv --days 30
    """
    from planner.report.office.office import office_csv

    write_page(file, office_csv(_chosen(days, job, everything=everything)), "file")


@group.command()
def locate(
    state: Annotated[
        str | None, typer.Argument(help="Two letters; the firm's own when left out.", show_default=False)
    ] = None,
    asked: Annotated[
        str | None, typer.Option(help="Reckon a request made then, like 5/18/2027 10:00.")
    ] = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """The utility locate rule of a state, and the dates that follow from a request.

    Example: planner office locate OH --asked 2027-05-18T10:00
    """
    from planner.flow.office.office import rule_in_force
    from planner.report.crew_day.locates import request_data, rule_page

    rule = rule_in_force(edge.location(), state)
    moment = edge.moment(asked, "--asked") if asked else None
    edge.show("locate", request_data(rule, moment), lambda c: rule_page(c, rule, moment), as_json=as_json)


def _until(days: int) -> date:
    if not 0 <= days <= 400:
        raise BadInput("--days", days, "choose from 0 to 400")
    return edge.today() + timedelta(days=days)


def _chosen(days: int, job: str | None, *, everything: bool) -> list[OfficeItem]:
    from planner.domain.office.list import to_do
    from planner.flow.office.office import office_items

    until = _until(days)
    items = office_items(edge.location(), edge.now())
    if not everything:
        items = to_do(items, until)
    return [item for item in items if job in {None, item.job}]
