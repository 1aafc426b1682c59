"""Designs: from a file to phase quantities, materials, the pump line and a drawing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge

if TYPE_CHECKING:
    from planner.domain.firm.phases import Phase

group = typer.Typer(help="Designs: quantities, materials, pump line, drawing.", no_args_is_help=True)

Source = Annotated[str, typer.Argument(help="A design file, or the code of a job whose design is kept.")]
TheJob = Annotated[str, typer.Argument(help="The job's code.", autocompletion=complete.job_codes)]
PhaseText = Annotated[str | None, typer.Option("--phase", help="Only this phase's pull list.")]
Taken = Annotated[
    list[str] | None,
    typer.Option("--take-computed", help="Replace this entered item by the design's value; may repeat."),
]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="design")


@group.command()
def check(source: Source, as_json: edge.JsonFlag = False) -> None:
    """Read a design and show what it comes to: sketch, quantities, cautions. Nothing is saved.

    Example: planner design check seed_demo/designs/ellipse_patio.toml
    """
    from planner.flow.design.design import reckon
    from planner.report.design.data import takeoff_data
    from planner.report.design.design import takeoff_page

    found = reckon(edge.location(), source)
    edge.show(
        "design check",
        takeoff_data(found.takeoff, found.units) | {"parted": found.parted},
        lambda console: takeoff_page(console, found.takeoff, found.units, found.parted),
        as_json=as_json,
    )


@group.command("take-off")
def take_off(
    source: Annotated[str, typer.Argument(help="A design file.")],
    job: TheJob,
    take_computed: Taken = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show what would change, save nothing.")] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Overwrite earlier computed values unasked.")] = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Put a design's quantities into a job. Entered values stay; a second run shows what changes first.

    Example: planner design take-off seed_demo/designs/ellipse_patio.toml P-014
    """
    from planner.flow.design.design import keep, propose
    from planner.report.design.data import changes_data
    from planner.report.design.design import after_words, changes_page, saved_words

    found = propose(edge.location(), source, job, take_computed or ())
    data = {"job": job, **changes_data(found.changes, found.facts), "saved": not dry_run}
    ask = found.asks and not dry_run and not yes
    if ask:
        console = edge.console(stderr=as_json)
        changes_page(console, job, found.changes, found.facts, found.units)
        edge.confirm(f"Overwrite the computed values of {job}?", yes=yes)
    if not dry_run:
        keep(edge.location(), edge.who(), found)
    edge.show(
        "design take-off",
        data,
        lambda console: None if ask else changes_page(console, job, found.changes, found.facts, found.units),
        as_json=as_json,
    )
    edge.say(
        f"{job}: nothing saved" if dry_run else saved_words(job, found.takeoff.design.name, found.changed)
    )
    for text in after_words(job, found.parted, found.changed, found.planned, found.units):
        edge.say(text)


@group.command()
def materials(source: Source, phase: PhaseText = None, as_json: edge.JsonFlag = False) -> None:
    """List what to order, with waste and stock sizes; --phase gives one phase's pull list.

    Example: planner design materials seed_demo/designs/ellipse_patio.toml --phase rock
    """
    from planner.domain.quantities.materials import materials as list_of
    from planner.domain.quantities.materials import pull_list
    from planner.flow.design.design import reckon
    from planner.report.design.data import materials_data
    from planner.report.design.design import materials_page

    wanted = _phase(phase)
    found = reckon(edge.location(), source)
    rows = list_of(found.takeoff, found.units)
    rows = rows if wanted is None else pull_list(rows, wanted)
    name = found.takeoff.design.name
    edge.show(
        "design materials",
        materials_data(rows, found.units, found.leads),
        lambda console: materials_page(console, name, rows, found.units, found.leads, found.parted),
        as_json=as_json,
    )


@group.command()
def pump(source: Source, as_json: edge.JsonFlag = False) -> None:
    """Show the pump line: required flow, pipe size, head, and the curve to hold against a pump's.

    Example: planner design pump seed_demo/designs/kidney_metric.toml
    """
    from planner.flow.design.design import reckon
    from planner.report.design.data import pump_data
    from planner.report.design.design import pump_page

    found = reckon(edge.location(), source)
    edge.show(
        "design pump",
        pump_data(found.takeoff),
        lambda console: pump_page(console, found.takeoff, found.units),
        as_json=as_json,
    )


@group.command()
def draw(
    source: Source,
    out: Annotated[
        Path, typer.Option("--out", "-o", help="The file to write: .svg, or .pdf at its scale.")
    ] = Path("design.svg"),
) -> None:
    """Draw the plan, a section, setting out, levels and falls to scale, for the crew's folder.

    A PDF holds every sheet; SVG takes a file for each: patio.svg, patio-2.svg.

    Example: planner design draw seed_demo/designs/ellipse_patio.toml --out patio.svg
    """
    from planner.cli.pages import write_page
    from planner.flow.design.design import reckon
    from planner.report.design.drawing import drawing_sheets
    from planner.report.design.frame import title_of
    from planner.report.pages import drawing_page

    found = reckon(edge.location(), source)
    sheets = drawing_sheets(found.takeoff, found.units, found.parted, title_of(found.job, edge.today()))
    if out.suffix.lower() == ".pdf":
        write_page(out, drawing_page(sheets, found.units), "--out")
        return
    for number, drawing in enumerate(sheets, 1):
        write_page(out if number == 1 else out.with_stem(f"{out.stem}-{number}"), drawing, "--out")


def _phase(text: str | None) -> Phase | None:
    from planner.domain.firm import entry
    from planner.domain.firm.phases import Phase

    return None if text is None else entry.choice("--phase", text, Phase)
