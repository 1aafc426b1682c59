"""`planner log ...`: hours worked, by crew, day, job and phase."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options

if TYPE_CHECKING:
    from planner.flow.hours.logs import Logged

group = typer.Typer(help="Hours worked: log them, list them, take them back.", no_args_is_help=True)

DayText = Annotated[
    str | None,
    typer.Option(help="Day worked, today when left out.", autocompletion=complete.dates),
]

Share = Annotated[float | None, typer.Option(help="How much of the phase is done by now, 0 to 100 percent.")]
Quantity = Annotated[float | None, typer.Option("--quantity", "-q", help="Or: how much was done that day.")]
Item = Annotated[str | None, typer.Option(help="Of which item, when the phase has several.")]


def register(app: typer.Typer) -> None:
    """Add the group `log`."""
    app.add_typer(group, name="log")


@group.command()
def add(
    job: Annotated[str, typer.Argument(help="The job's code.", autocompletion=complete.job_codes)],
    phase: options.PhaseText,
    crew: Annotated[str, typer.Argument(help="Who worked.", autocompletion=complete.crew_names)],
    hours: Annotated[float, typer.Argument(help="Hours that the whole crew worked.")],
    day: DayText = None,
    share: Share = None,
    done: Annotated[bool, typer.Option("--done", help="The phase is finished.")] = False,
    quantity: Quantity = None,
    item: Item = None,
    lost: Annotated[float, typer.Option(help="Hours that the crew waited or lost.")] = 0.0,
    why: Annotated[str, typer.Option(help="Why they were lost.")] = "",
    people: Annotated[int, typer.Option(help="Hands present, when not as usual.")] = 0,
    note: Annotated[str, typer.Option(help="For the office.")] = "",
    as_json: edge.JsonFlag = False,
) -> None:
    """Log one crew's hours on one phase of one job. Without a share it is reckoned from the hours.

    Example: planner log add P-014 dig Heron 7.5 --share 60 --lost 0.5 --why "truck was late"
    """
    from planner.domain.firm import entry
    from planner.domain.firm.actuals import Log
    from planner.domain.firm.phases import Phase
    from planner.flow.hours.logs import check_said, log_hours

    check_said(share, quantity, item)
    kept = log_hours(
        edge.location(),
        Log(
            day=edge.day(day, "--day", back=True),
            crew=crew,
            job=job,
            phase=entry.choice("phase", phase, Phase),
            crew_h=hours,
            share_done=1.0 if done else None if share is None else share / 100,
            done=done or share == 100,
            lost_h=lost,
            lost_why=why,
            people=people,
            note=note,
        ),
        today=edge.today(),
        who=edge.who(),
        quantity=quantity,
        item=item,
    )
    _show_kept(kept, as_json=as_json)


def _show_kept(kept: Logged, *, as_json: bool) -> None:
    from planner.report.hours.logs import entry_words, so_far_data, so_far_words

    told = entry_words(kept.entry)
    if kept.reckoned and kept.entry.share_done is not None:
        told += " (reckoned from the hours; say --share next time)"
    edge.show(
        "log",
        {
            "entry": kept.entry,
            "so_far": so_far_data(kept.so_far),
            "planned_crew_h": kept.planned_h,
            "share_reckoned": kept.reckoned,
            "job_status": kept.status.value,
        },
        lambda c: c.print(f"logged {kept.entry.id}: {told}\n{so_far_words(kept.so_far, kept.planned_h)}"),
        as_json=as_json,
    )
    edge.say(
        f"{kept.entry.job} is {kept.status.value}. Next: planner replan; planner log undo takes this back."
    )


@group.command("list")
def list_(
    job: Annotated[str | None, typer.Option(help="Only this job.", autocompletion=complete.job_codes)] = None,
    crew: Annotated[
        str | None, typer.Option(help="Only this crew.", autocompletion=complete.crew_names)
    ] = None,
    first: Annotated[str | None, typer.Option(help="From this day on.")] = None,
    last: Annotated[str | None, typer.Option(help="Up to this day.")] = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """List logged hours by day.

    Example: planner log list --crew Heron --first 2027-04-05 --last 2027-04-09
    """
    from planner.flow.hours.logs import list_logs
    from planner.report.hours.logs import logs_data, logs_page

    logs, misses = list_logs(
        edge.location(),
        job=job,
        crew=crew,
        first=edge.day(first, "--first", back=True) if first else None,
        last=edge.day(last, "--last", back=True) if last else None,
    )
    edge.show("log list", logs_data(logs, misses), lambda c: logs_page(c, logs, misses), as_json=as_json)


@group.command()
def undo(number: options.EntryNumber = None) -> None:
    """Take logged hours back: the entry goes, and the job's status follows.

    Example: planner log undo 17
    """
    from planner.flow.hours.logs import undo_log
    from planner.report.hours.logs import entry_words

    entry = undo_log(edge.location(), number, who=edge.who())
    edge.say(f"taken back {entry.id}: {entry_words(entry)}")
