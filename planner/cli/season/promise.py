"""`planner promise ...`: which date to promise an inquiry, what earlier costs whom, holding a place."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli import complete, edge
from planner.errors import BadInput

group = typer.Typer(help="Promise: a date for an inquiry, and a place held for it.", no_args_is_help=True)

Code = Annotated[str, typer.Argument(help="The inquiry's code.", autocompletion=complete.job_codes)]


def register(app: typer.Typer) -> None:
    """Add the group `promise`."""
    app.add_typer(group, name="promise")


@group.command()
def ask(
    code: Code,
    like: Annotated[
        str | None, typer.Option(help="Take the quantities of this job.", autocompletion=complete.job_codes)
    ] = None,
    size: Annotated[
        float, typer.Option(help="So many times that job's water surface; the depth stays.")
    ] = 1.0,
    sure: Annotated[
        float | None,
        typer.Option(help="Kept with so many percent; by luck.toml: 90.", show_default=False),
    ] = None,
    seed: Annotated[int, typer.Option(help="Same seed, same safe day.")] = 1,
    as_json: edge.JsonFlag = False,
) -> None:
    """The earliest date that hurts no promise, the safe one, and what an earlier one costs whom.

    With --like the code may be new: nothing is stored.

    Example: planner promise ask P-090 --like P-014 --size 1.5
    """
    from planner.flow.season.promise import offer
    from planner.report.season.promise import promise_data, promise_page

    if like is None and size != 1.0:
        raise BadInput("--size", f"{size:g}", "say which job it is compared with: --like P-014")
    if not 0 <= seed <= 2**31 - 1:
        raise BadInput("--seed", seed, "choose a whole number from 0 to 2147483647")
    found = offer(edge.location(), edge.now(), code, seed=seed, like=like, size=size, sure=sure)
    edge.show("promise", promise_data(found), lambda c: promise_page(c, found), as_json=as_json)
    first = f"planner job add {code} CLIENT --status inquiry ..., then " if like is not None else ""
    edge.say(f"Nothing is stored. Next: {first}planner promise hold {code} --until DAY.")


@group.command()
def hold(
    code: Code,
    until: Annotated[str, typer.Option(help="The day until it is held.", autocompletion=complete.dates)],
    note: Annotated[str, typer.Option(help="For the office.")] = "",
) -> None:
    """Hold the place for an inquiry until a day: others are promised dates after it.

    Example: planner promise hold P-090 --until 2027-05-14
    """
    from planner.flow.season import promise as promising
    from planner.report.season.promise import held_words

    kept = promising.hold(edge.location(), edge.now(), code, edge.day(until, "--until"), edge.who(), note)
    edge.say(held_words(kept))


@group.command("list")
def list_(as_json: edge.JsonFlag = False) -> None:
    """The places that are held.

    Example: planner promise list
    """
    from planner.flow.season.promise import holds
    from planner.report.season.promise import holds_page

    found = holds(edge.location())
    edge.show("promise list", found, lambda c: holds_page(c, found), as_json=as_json)


@group.command()
def drop(code: Code) -> None:
    """Give a held place up.

    Example: planner promise drop P-090
    """
    from planner.flow.season.promise import release

    release(edge.location(), code, edge.who())
    edge.say(f"the place of {code} is free again")
