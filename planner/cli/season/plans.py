"""`planner plan ...`: make the season's plan, look at those made before, publish one, go back."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import edge, options

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.season.plan import Plan
    from planner.domain.standing.even_if import EvenIf
    from planner.flow.season.plans import Progress

group = typer.Typer(
    help="Make the season's plan, look at those made before, publish one.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Number = Annotated[
    int | None, typer.Argument(help="Plan number; the published one when left out.", show_default=False)
]
Newest = Annotated[
    int | None, typer.Argument(help="Plan number; the newest when left out.", show_default=False)
]
Draft = Annotated[bool, typer.Option("--draft", help="The newest plan, published or not.")]
EvenSo = Annotated[
    bool, typer.Option("--even-so", help="Also a stale plan; every page then says what changed.")
]


Asides = Annotated[
    list[str] | None,
    typer.Option(
        "--even-if", help="Plan although this lacks: locate, material, deposit, permit, rental, told."
    ),
]


def asides(typed: list[str] | None) -> list[EvenIf]:
    """What `--even-if` leaves aside; BadInput for a word that names nothing."""
    from planner.domain.firm import entry
    from planner.domain.standing.even_if import EvenIf

    return [entry.choice("--even-if", word, EvenIf) for word in typed or []]


def register(app: typer.Typer) -> None:
    """Add the group `plan`."""
    app.add_typer(group, name="plan")


@group.command()
def make(
    seconds: Annotated[float, typer.Option(help="How long to search; 0: the plain rule's plan.")] = 10.0,
    steps: Annotated[
        int | None,
        typer.Option(help="Steps instead of seconds: the same plan again.", show_default=False),
    ] = None,
    cores: Annotated[int, typer.Option(help="Searches side by side, one a core.")] = 1,
    seed: Annotated[int, typer.Option(help="Same facts, seed and steps, same plan.")] = 1,
    note: Annotated[str, typer.Option(help="A few words to know this plan by.")] = "",
    slack: Annotated[int, typer.Option(help="Aim so many days before each promise.")] = 0,
    promises_first: Annotated[
        bool, typer.Option("--promises-first", help="Lateness before money: cheapest of the least late.")
    ] = False,
    on_paper: Annotated[
        bool, typer.Option("--on-paper", help="Best price if all goes as planned, not the best expected.")
    ] = False,
    even_if: Asides = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """Plan every unfinished phase of every sold job and save it as a new draft.

    Of the plan best on paper and two that allow for bad luck the one with the least expected price is kept:
    the season is played with rain, sick people, broken machines and late deliveries (planner chance show).

    Ctrl-C keeps the best plan found so far.

    Example: planner plan make --seconds 20 --note "after the rain"
    """
    from planner.flow.season.limits import check_search, check_steps

    check_search(seconds, seed, note, least=0)
    check_steps(steps, cores)
    from planner.flow.season.plans import make_plan
    from planner.report.season.expected import expected_data, expected_lines
    from planner.report.season.plans import search_data, search_words
    from planner.report.season.visits import grown_lines

    with progress() as tell:
        made = make_plan(
            edge.location(),
            edge.now(),
            seconds=seconds,
            steps=steps,
            cores=cores,
            seed=seed,
            note=note,
            slack_days=slack,
            promises_first=promises_first,
            expected=True,
            on_paper=on_paper,
            even_if=asides(even_if),
            on_progress=tell,
        )
    more = {"search": search_data(made.plan), "expected": expected_data(made.aimed)}
    _show(made.plan.number, as_json=as_json, more=more)
    for line in (*grown_lines(made.grown), search_words(made.plan), *expected_lines(made.aimed)):
        edge.say(line)
    edge.say(f"Saved as draft {made.plan.number}. Next: planner board, then planner plan publish.")


@group.command(name="list")
def list_versions(as_json: edge.JsonFlag = False) -> None:
    """List all plans, newest first.

    Example: planner plan list
    """
    from planner.flow.season.plans import plan_heads
    from planner.report.season.plans import versions_page

    heads = plan_heads(edge.location())
    edge.show("plan list", heads, lambda console: versions_page(console, heads), as_json=as_json)


@group.command()
def thin(
    keep: Annotated[int, typer.Option(min=1, max=10_000, help="So many of the newest drafts stay.")] = 20,
    days: Annotated[int, typer.Option(min=0, max=36_500, help="Drafts younger than this stay [days].")] = 30,
    yes: options.Yes = False,
) -> None:
    """Remove old drafts for good: the newest stay, young ones stay, and every plan that was ever published.

    Example: planner plan thin --keep 20 --yes
    """
    from planner.flow.season.plans import thin_plans
    from planner.report.season.plans import thinned_words

    edge.confirm("Remove old drafts for good?", yes=yes)
    gone = thin_plans(edge.location(), edge.now(), edge.who(), keep=keep, days=days)
    edge.say(f"{thinned_words(gone)}; next: planner plan list")


@group.command()
def show(number: Number = None, draft: Draft = False, as_json: edge.JsonFlag = False) -> None:
    """Show one plan: promises kept, cost by name, each job's days. The published one, unless you say.

    Example: planner plan show 3
    """
    _show(number, draft=draft, as_json=as_json)


@group.command()
def diff(
    old: Annotated[
        int | None, typer.Argument(help="Plan number; the published one when left out.", show_default=False)
    ] = None,
    new: Annotated[
        int | None, typer.Argument(help="Plan number; the newest when left out.", show_default=False)
    ] = None,
    crews: Annotated[
        bool, typer.Option("--crews", help="Show each phase that moves, for the crews.")
    ] = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Show what changes between two plans, job by job, why, and how many customers must be called.

    Example: planner plan diff 3 4
    """
    from planner.flow.season.replan import compare
    from planner.report.season.changes import changes_data, changes_page, crew_changes_page
    from planner.report.wording import plan_words

    def name(plan: Plan) -> str:
        return plan_words(plan.number, plan.published_at is not None).split(":")[0]

    def page(console: Console) -> None:
        changes_page(console, both.found, name(both.old), name(both.new))
        if crews:
            crew_changes_page(console, both.found)

    both = compare(edge.location(), edge.now(), old, new)
    data = {"old": both.old.number, "new": both.new.number} | changes_data(both.found)
    edge.show("plan diff", data, page, as_json=as_json)


@group.command()
def why(
    jobs: Annotated[
        list[str] | None, typer.Argument(help="Job codes; all of the plan when left out.", show_default=False)
    ] = None,
    relief: Annotated[
        bool, typer.Option("--relief", help="Also say what would help most; takes a while.")
    ] = False,
    number: Annotated[
        int | None, typer.Option("--plan", help="Plan number; the published one when left out.")
    ] = None,
    draft: Draft = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Say what holds each job's start, back to a cause to act on, and its float to the promise.

    Of the published plan, unless you say; a stale plan is refused.

    Example: planner plan why Q22 --relief
    """
    from planner.domain.standing.locate_standing import not_clear
    from planner.flow.season import plans as planning
    from planner.flow.stored.locates import load_locates
    from planner.report.crew_day.locates import locates_block, locates_data
    from planner.report.season.reasons import why_data, why_page

    seen = planning.why(edge.location(), jobs or [], relief=relief, number=number, draft=draft)
    plan, found = seen.plan, seen.found
    all_locates = load_locates(edge.location(), plan)
    locates = not_clear({r.job: all_locates[r.job] for r in found if r.job in all_locates})

    def page(console: Console) -> None:
        why_page(console, plan, found, seen.eased, seen.gaps, seen.comes)
        locates_block(console, locates)

    data = why_data(plan, found, seen.eased, seen.gaps, seen.comes) | {"locates": locates_data(locates)}
    edge.show("plan why", data, page, as_json=as_json)


@group.command()
def publish(number: Newest = None, even_so: EvenSo = False) -> None:
    """Publish a plan: from now on crews and customers go by it. A stale plan is refused.

    Example: planner plan publish
    """
    from planner.flow.season import plans as planning

    plan = planning.publish(edge.location(), number, edge.now(), edge.who(), even_so=even_so)
    edge.say(f"Plan {plan.number} is published. Next: planner sheet CREW, planner calendar.")
    say_locates(plan)


@group.command()
def back(even_so: EvenSo = False) -> None:
    """Go back to the plan that was published before the present one; again: forth. A stale plan is refused.

    Example: planner plan back
    """
    from planner.flow.season import plans as planning

    plan = planning.go_back(edge.location(), edge.now(), edge.who(), even_so=even_so)
    edge.say(f"Plan {plan.number} is published again.")
    say_locates(plan)


def say_locates(plan: Plan) -> None:
    """Warn on stderr of every dig of `plan` that its locate stops, and of the next ones to ask for."""
    from planner.domain.standing.locate_standing import not_clear
    from planner.flow.stored.locates import load_locates
    from planner.report.crew_day.locates import locates_block

    locates_block(edge.console(stderr=True), not_clear(load_locates(edge.location(), plan)))


def _show(
    number: int | None, *, draft: bool = False, as_json: bool, more: Mapping[str, object] | None = None
) -> None:
    from planner.domain.standing.locate_standing import not_clear
    from planner.domain.standing.standing import plan_standing
    from planner.flow.season.plans import plan_and_roster, plan_before
    from planner.flow.stored.locates import load_locates
    from planner.report.crew_day.locates import locates_block, locates_data
    from planner.report.season.plans import plan_data, plan_page

    plan, roster = plan_and_roster(edge.location(), edge.today(), number, draft=draft)
    standing = plan_standing(plan, roster)
    locates = not_clear(load_locates(edge.location(), plan))

    before = plan_before(edge.location(), plan)

    def page(console: Console) -> None:
        plan_page(console, plan, standing, roster.firm, before)
        locates_block(console, locates)

    data = plan_data(plan, standing, before) | {"locates": locates_data(locates)} | dict(more or {})
    edge.show("plan", data, page, as_json=as_json)


@contextmanager
def progress() -> Iterator[Callable[[Progress], None] | None]:
    """A live line on stderr when it is a terminal; nothing in a pipe."""
    console = edge.console(stderr=True)
    if not console.is_terminal:
        yield None
        return
    from rich.live import Live
    from rich.text import Text

    from planner.report.season.plans import gap_words, progress_line

    with Live(Text("reading the season ..."), console=console, refresh_per_second=8, transient=True) as live:

        def tell(now: Progress) -> None:
            words = progress_line(now.stage, now.best_cents, now.late_jobs, now.improvement, now.elapsed_s)
            live.update(Text(words + gap_words(now.best_cents, now.bound_cents)))

        yield tell
