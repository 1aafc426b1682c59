"""Jobs: add, list, show, change, cancel; their quantities, gates, blackout days, pins and own needs."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options
from planner.cli.keeping.erasure import forget
from planner.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.firm.jobs import Job
    from planner.domain.firm.phases import Phase

group = typer.Typer(help="Jobs: clients, sites, dates and quantities.", no_args_is_help=True)

Text = str | None
Quantities = Annotated[
    list[str] | None,
    typer.Option("--quantity", "-q", help="ITEM=NUMBER, like dig_machine_cy=18 or dig_machine_m3=14."),
]
Client = Annotated[Text, typer.Option(help="The client's name.")]
Address = Annotated[Text, typer.Option(help="The site's address.")]
Phone = Annotated[Text, typer.Option(help="For the office only; no crew paper carries it.")]
Latitude = Annotated[Text, typer.Option(help="Degrees north; with --longitude.")]
Longitude = Annotated[Text, typer.Option(help="Degrees east (west is negative).")]
Region = Annotated[Text, typer.Option(help="For weather and travel, your own word.")]
StatusText = Annotated[Text, typer.Option("--status", help="inquiry, sold, under way, done, cancelled.")]
Promised = Annotated[Text, typer.Option(help="Promised finish, like 5/14/2027; none takes it away.")]
Importance = Annotated[Text, typer.Option(help="Multiplies the price of lateness; 1 is usual.")]
AccessText = Annotated[Text, typer.Option("--access", help="machine, narrow gate, hand only.")]
SoilText = Annotated[Text, typer.Option("--soil", help="sand, loam, clay, stony clay, rock.")]
Carry = Annotated[Text, typer.Option(help="Carried from truck to hole, in your units or like 15m, 50ft.")]
Depth = Annotated[Text, typer.Option(help="Depth of the pond, in your units or like 24in, 600mm.")]
Shelves = Annotated[Text, typer.Option(help="Number of shelves.")]
Waterfall = Annotated[bool | None, typer.Option(help="With a waterfall.")]
Occupied = Annotated[bool | None, typer.Option(help="People live round the work.")]
Wet = Annotated[bool | None, typer.Option("--wet/--dry", help="Standing water or a high water table.")]
Notes = Annotated[Text, typer.Option(help="For the office only.")]
SiteNotes = Annotated[Text, typer.Option(help="What the crew must know of the site; goes on its sheet.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="job")
    group.command()(forget)


@group.command()
def add(
    code: Annotated[str, typer.Argument(help="A short code of your own, like P-014.")],
    client: Annotated[str, typer.Argument(help="The client's name.")],
    address: Address = None,
    phone: Phone = None,
    latitude: Latitude = None,
    longitude: Longitude = None,
    region: Region = None,
    status: StatusText = None,
    promised: Promised = None,
    importance: Importance = None,
    access: AccessText = None,
    soil: SoilText = None,
    carry: Carry = None,
    depth: Depth = None,
    shelves: Shelves = None,
    waterfall: Waterfall = None,
    occupied: Occupied = None,
    wet: Wet = None,
    notes: Notes = None,
    site_notes: SiteNotes = None,
    quantities: Quantities = None,
) -> None:
    """Add a job.

    Example: planner job add P-014 "Ada Marsh" --promised 2027-05-20 -q dig_machine_cy=18 -q liner_ft2=600
    """
    from planner.flow.keeping.jobs import add_job

    texts = {"code": code, "client": client} | _texts(
        address=address,
        phone=phone,
        latitude=latitude,
        longitude=longitude,
        region=region,
        status=status,
        promised=promised,
        importance=importance,
        access=access,
        soil=soil,
        carry=carry,
        depth=depth,
        shelves=shelves,
        waterfall=waterfall,
        occupied=occupied,
        wet=wet,
        notes=notes,
        site_notes=site_notes,
    )
    saved = add_job(edge.location(), edge.who(), texts, _pairs(quantities), edge.today())
    if saved.remark:
        edge.say(f"note: {saved.remark}")
    edge.say(f"added job {saved.name}; next: planner job show {saved.name}, planner estimate {saved.name}")


@group.command()
def like(
    past: Annotated[str, typer.Argument(help="The past job's code.", autocompletion=complete.job_codes)],
    code: Annotated[str, typer.Argument(help="The new job's code.")],
    client: Annotated[str, typer.Argument(help="The client's name.")],
    size: Annotated[float, typer.Option(help="Times that job's water surface; the depth stays.")] = 1.0,
    as_json: edge.JsonFlag = False,
) -> None:
    """Copy a past job to a new inquiry at another size, each quantity by its own geometry.

    Example: planner job like P-014 P-091 "Ivo Reed" --size 1.5
    """
    from planner.flow.keeping.jobs import add_like
    from planner.report.keeping.jobs import scaled_data, scaled_page

    scaled, units = add_like(edge.location(), edge.who(), past, code.strip(), client, size)
    edge.show(
        "job like", scaled_data(scaled, units), lambda c: scaled_page(c, scaled, units), as_json=as_json
    )
    edge.say(f"added {code}; look its quantities through, then: planner estimate {code}")


@group.command()
def change(
    code: options.JobCode,
    client: Client = None,
    address: Address = None,
    phone: Phone = None,
    latitude: Latitude = None,
    longitude: Longitude = None,
    region: Region = None,
    status: StatusText = None,
    promised: Promised = None,
    importance: Importance = None,
    access: AccessText = None,
    soil: SoilText = None,
    carry: Carry = None,
    depth: Depth = None,
    shelves: Shelves = None,
    waterfall: Waterfall = None,
    occupied: Occupied = None,
    wet: Wet = None,
    notes: Notes = None,
    site_notes: SiteNotes = None,
    quantities: Quantities = None,
    seen: Annotated[
        int | None, typer.Option(help="The revision you read: refuse when somebody changed it since.")
    ] = None,
    even_so: options.BookedEvenSo = False,
) -> None:
    """Change a job; what is not named stays. A quantity of 0 takes the item away.

    Example: planner job change P-014 --promised 2027-05-27 -q boulder_large_ton=4 --seen 3
    """
    from planner.flow.keeping.jobs import change_job

    texts = _texts(
        client=client,
        address=address,
        phone=phone,
        latitude=latitude,
        longitude=longitude,
        region=region,
        status=status,
        promised=promised,
        importance=importance,
        access=access,
        soil=soil,
        carry=carry,
        depth=depth,
        shelves=shelves,
        waterfall=waterfall,
        occupied=occupied,
        wet=wet,
        notes=notes,
        site_notes=site_notes,
    )
    where, who, pairs = edge.location(), edge.who(), _pairs(quantities)
    saved = change_job(where, who, code, texts, pairs, seen, edge.today(), even_so=even_so)
    _tell(saved.name, saved.changed, saved.remark, saved.parted)


@group.command("list")
def list_jobs(
    status: Annotated[
        str | None, typer.Option(help="Only inquiry, sold, under way, done or cancelled jobs.")
    ] = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """List jobs with their dates and main quantities.

    Example: planner job list --status sold
    """
    from planner.domain.firm import entry
    from planner.domain.firm.jobs import Status
    from planner.domain.plain import to_plain
    from planner.flow.keeping.jobs import load_jobs
    from planner.report.keeping.jobs import jobs_page

    chosen = entry.choice("--status", status, Status) if status is not None else None
    jobs, units = load_jobs(edge.location(), chosen)
    edge.show("jobs", lambda: to_plain(jobs), lambda c: jobs_page(c, jobs, units), as_json=as_json)


@group.command()
def show(code: options.JobCode, as_json: edge.JsonFlag = False) -> None:
    """Show one job with everything on record.

    Example: planner job show P-014
    """
    from planner.domain.plain import to_plain
    from planner.flow.keeping.jobs import load_job
    from planner.flow.stored.locates import load_job_locate
    from planner.report.crew_day.locates import locate_line, locates_data
    from planner.report.keeping.jobs import job_page
    from planner.report.terminal import say

    card = load_job(edge.location(), code)
    more = (card.revision, card.rate_edition, card.has_design, card.hours_crew_h, card.units, card.parted)
    locates = load_job_locate(edge.location(), code)
    data = to_plain(card.job) | {"revision": card.revision, "rate_edition": card.rate_edition}
    data |= {"parted": card.parted, "locate": next(iter(locates_data(locates)), None)}

    def page(console: Console) -> None:
        job_page(console, card.job, *more)
        for standing in locates:
            say(console, f"{'!' if standing.grave else ' '} {locate_line(standing)}", hang=4)

    edge.show("job", data, page, as_json=as_json)


@group.command()
def cancel(code: options.JobCode, even_so: options.BookedEvenSo = False) -> None:
    """Cancel a job: it stays on record, but is planned no more. Refused while the published plan books it.

    Example: planner job cancel P-014 --even-so
    """
    from planner.flow.keeping.jobs import change_job

    where, who, now = edge.location(), edge.who(), edge.today()
    saved = change_job(where, who, code, {"status": "cancelled"}, today=now, even_so=even_so)
    edge.say(
        f"cancelled job {code}; next: planner plan make"
        if saved.changed
        else f"job {code} was cancelled before"
    )


@group.command()
def remove(
    code: options.JobCode,
    yes: options.Yes = False,
) -> None:
    """Remove a job that was entered by mistake; refused when hours or plans refer to it.

    Example: planner job remove P-014 --yes
    """
    from planner.flow.keeping.jobs import load_job, remove_job

    card = load_job(edge.location(), code)
    edge.confirm(f"Remove job {code} of {card.job.client[:60]} with its quantities and design?", yes=yes)
    remove_job(edge.location(), edge.who(), code)
    edge.say(f"removed job {code}; planner history undo brings it back")


@group.command()
def gate(
    code: options.JobCode,
    kind: Annotated[
        str,
        typer.Argument(
            help="earliest start, deposit, permit, utility locate, material arrival; or who comes: "
            "electrician, hauler, utility crew, concrete, crane, inspector."
        ),
    ],
    opens: Annotated[
        str | None,
        typer.Argument(
            help="The first day on which work may begin, or on which somebody comes.",
            autocompletion=complete.dates,
        ),
    ] = None,
    phase: Annotated[
        str | None, typer.Option(help="The first phase that waits for it; the dig, or what he comes for.")
    ] = None,
    met: Annotated[
        bool, typer.Option("--met/--open", help="Paid, granted, marked, delivered; he was here.")
    ] = False,
    day_part: Annotated[
        str, typer.Option("--day-part", help="When he comes: morning, afternoon or any time.")
    ] = "any time",
    note: Annotated[str, typer.Option(help="A short note.")] = "",
    drop: Annotated[bool, typer.Option("--drop", help="Take the gate away.")] = False,
) -> None:
    """Set a dated gate: the phase and all later ones wait until that day.

    Example: planner job gate P-014 "material arrival" 2027-04-20 --phase rock --note "12 ton of boulder"
    """
    from planner.domain.firm import amend, entry
    from planner.domain.firm.jobs import Gate, GateKind, waits_first
    from planner.domain.firm.visits import DayPart

    what = entry.choice("gate", kind, GateKind)
    if drop:
        _edit(code, lambda job, _: amend.without_gate(job, what))
        return
    if opens is None:
        raise BadInput("opens", "missing", "give the first day on which work may begin")
    waits = _phase(phase) if phase else waits_first(what)
    part = entry.choice("--day-part", day_part, DayPart)
    new = Gate(what, edge.day(opens, "opens"), waits, met, note, part)
    _edit(code, lambda job, _: amend.with_gate(job, new))


@group.command()
def blackout(
    code: options.JobCode,
    first: options.FirstDay,
    last: options.LastDay = None,
    why: options.Why = "",
    drop: options.DropDays = False,
) -> None:
    """Keep crews away from the site on days the customer asks for.

    Example: planner job blackout P-014 2027-05-08 2027-05-09 --why "garden party"
    """
    from dataclasses import replace

    from planner.domain.firm import amend

    days = options.days("blackout", first, last, why)

    def edit(job: Job, _: str) -> Job:
        return replace(job, blackouts=amend.days_changed(job.blackouts, days, drop=drop))

    _edit(code, edit)


@group.command()
def pin(
    code: options.JobCode,
    phase: options.PhaseText,
    crew: Annotated[
        str | None, typer.Option(help="The crew that shall do it.", autocompletion=complete.crew_names)
    ] = None,
    start: Annotated[str | None, typer.Option(help="When it shall begin, like 5/4/2027 7:00.")] = None,
    drop: Annotated[bool, typer.Option("--drop", help="Take the pin away.")] = False,
) -> None:
    """Pin a phase to a crew, to a start, or both: the plan keeps to it.

    Example: planner job pin P-014 rock --crew North
    """
    from planner.domain.firm import amend

    if not (crew or start or drop):
        raise BadInput("pin", "nothing", "name a --crew, a --start, or --drop")
    what = _phase(phase)
    begins = edge.moment(start, "--start") if start and not drop else None
    _edit(code, lambda job, _: amend.with_pin(job, what, None if drop else crew, begins))


@group.command()
def need(
    code: options.JobCode,
    phase: options.PhaseText,
    skills: Annotated[str | None, typer.Option(help="Skills of the crew, like excavator,stonework.")] = None,
    machines: Annotated[
        str | None, typer.Option(help="Machines, like excavator=1,barrow=2; empty for none.")
    ] = None,
    default: Annotated[bool, typer.Option("--default", help="Back to the phase's usual needs.")] = False,
) -> None:
    """Say what a phase of this job needs, where it differs from the phase's usual needs.

    Example: planner job need P-014 dig --machines "" --skills ""
    """
    from planner.domain.firm import amend, entry
    from planner.domain.firm.jobs import Need

    if skills is None and machines is None and not default:
        raise BadInput("need", "nothing", "give --skills, --machines, or --default")
    what = _phase(phase)
    own = Need(
        None if skills is None else entry.words(skills), None if machines is None else entry.units(machines)
    )
    _edit(code, lambda job, _: amend.with_need(job, what, None if default else own))


def _edit(code: str, edit: Callable[[Job, str], Job]) -> None:
    from planner.flow.keeping.jobs import edit_job

    saved = edit_job(edge.location(), edge.who(), code, edit)
    _tell(saved.name, saved.changed, saved.remark, saved.parted)


def _tell(code: str, changed: bool, remark: str, parted: str = "") -> None:
    edge.say(f"changed job {code}; next: planner job show {code}" if changed else f"job {code} is so already")
    if remark:
        edge.say(f"note: {remark}")
    if parted:
        edge.say(f"Take care: {parted}")


def _texts(**given: str | bool | None) -> dict[str, str]:
    words = {True: "yes", False: "no"}
    return {k: words[v] if isinstance(v, bool) else v for k, v in given.items() if v is not None}


def _pairs(quantities: list[str] | None) -> list[tuple[str, str]]:
    found = []
    for text in quantities or []:
        name, equals, value = text.partition("=")
        if not equals:
            raise BadInput("--quantity", text, "write ITEM=NUMBER, like dig_machine_cy=18")
        found.append((name, value))
    return found


def _phase(text: str) -> Phase:
    from planner.domain.firm import entry
    from planner.domain.firm.phases import Phase

    return entry.choice("phase", text, Phase)
