"""`planner replan`: repair the plan after what happened, improve it, show exactly what changes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.cli import edge
from planner.cli.season.plans import Asides, asides, progress

if TYPE_CHECKING:
    from rich.console import Console

    from planner.flow.season.replan import Replanned


Number = Annotated[
    int | None,
    typer.Option("--repair", help="The repair of this number in the list; 1 disturbs least.", min=1),
]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("replan")(replan)


def replan(
    quick: Annotated[
        bool, typer.Option("--quick", help="Only keep the order and move what must move; no search.")
    ] = False,
    fewest_calls: Annotated[
        bool, typer.Option("--fewest-calls", help="The repair that disturbs least, whatever it costs.")
    ] = False,
    number: Number = None,
    seconds: Annotated[float, typer.Option(help="About how long to improve.")] = 8.0,
    seed: Annotated[int, typer.Option(help="Same facts, same seed, same plan.")] = 1,
    slack: Annotated[int, typer.Option(help="Aim so many days before each promise.")] = 0,
    crews: Annotated[
        bool, typer.Option("--crews", help="Show each phase that moves, for the crews.")
    ] = False,
    note: Annotated[str, typer.Option(help="A few words to know this plan by.")] = "",
    even_if: Asides = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """Re-plan after rain, sick hands or a slow job.

    The order is kept first, then the plan is improved; changes of near days cost most.

    Saves a draft and tells job by job what changes and why. Nothing is published.

    --slack keeps days in hand against rain: `planner chance show` says how many.

    Example: planner replan --seconds 5 --slack 3
    """
    from planner.domain.standing.locate_standing import not_clear
    from planner.flow.season.limits import check_search
    from planner.flow.season.replan import replan as make
    from planner.flow.stored.locates import load_locates
    from planner.report.crew_day.locates import locates_block, locates_data
    from planner.report.season.visits import grown_lines

    check_search(seconds, seed, note)
    with progress() as tell:
        made = make(
            edge.location(),
            edge.now(),
            seconds=0.0 if quick else seconds,
            seed=seed,
            note=note,
            slack_days=slack,
            even_if=asides(even_if),
            number=1 if fewest_calls else number,
            on_progress=tell,
        )
    locates = not_clear(load_locates(edge.location(), made.plan))

    def page(console: Console) -> None:
        _page(console, made, crews=crews)
        locates_block(console, locates)

    edge.show("replan", _data(made) | {"locates": locates_data(locates)}, page, as_json=as_json)
    for line in grown_lines(made.grown):
        edge.say(line)
    edge.say(f"Saved as draft {made.plan.number}; nothing is published. Next: planner plan publish.")


def _data(made: Replanned) -> dict[str, Any]:
    from planner.report.season.changes import changes_data, disturbance_data, repairs_data

    return {
        "number": made.plan.number,
        "before": made.before.number,
        "state": made.plan.state.value,
        "total_cents": made.plan.cost.total_cents,
        "repaired_cents": made.repaired_cents,
        "least_disturbing": disturbance_data(made.least) if made.least else None,
        "disturbs": disturbance_data(made.disturbs),
        "repairs": repairs_data((m.words, m.disturbs) for m in made.repairs),
        "repair_taken": made.taken,
        "moved_inside_next_days": list(made.inside),
    } | changes_data(made.found)


def _page(console: Console, made: Replanned, *, crews: bool) -> None:
    from planner.report.season.changes import (
        changes_page,
        crew_changes_page,
        disturbance_words,
        repairs_page,
    )
    from planner.report.terminal import say
    from planner.report.wording import plan_words

    before, plan = made.before, made.plan
    repairs_page(console, [(m.words, m.disturbs) for m in made.repairs], made.taken)
    name = plan_words(before.number, before.published_at is not None)
    changes_page(console, made.found, name.split(":")[0], f"draft {plan.number}")
    days = made.season.firm.weights.freeze_days
    if made.inside:
        words = (
            f"of the next {days} working days only what can't stay as told moves: {', '.join(made.inside)}"
        )
        say(console, words)
    if crews:
        say(console, "")
        crew_changes_page(console, made.found)
    say(console, "")
    name = f"this draft ({plan.state.value})" if made.taken is None else f"this draft (repair {made.taken})"
    say(console, f"{name}: {disturbance_words(made.disturbs)}")
