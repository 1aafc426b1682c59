"""Pages as one self-contained HTML file: the day sheet for phone and paper, the week's board.

Everything from people goes through Jinja's escaping. A content security policy, with the hash of the one
script, keeps any other script and every request out.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Sequence
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from planner import __version__
from planner.domain import dates
from planner.domain.crew_day.board import Board, Promise, Risk
from planner.domain.crew_day.daysheet import DaySheet
from planner.domain.firm.jobs import Job
from planner.domain.quantities.takeoff import take_off
from planner.domain.wording import counted
from planner.report import wording
from planner.report.crew_day import sheet as daysheet
from planner.report.crew_day.board import gap_lines, room_words, worked_words
from planner.report.crew_day.locates import locate_lines
from planner.report.crew_day.paper import on_paper
from planner.report.crew_day.weather import week_lines
from planner.report.design.drawing import drawing_sheets
from planner.report.design.frame import title_of

if TYPE_CHECKING:
    from jinja2 import Environment

#: Width and height of a drawing's paper, by the firm's units.
PAPER = {"us": ("11in", "8.5in"), "metric": ("297mm", "210mm")}
#: The sheet's script by its parts, in order.
SHEET_SCRIPTS = ("sheet_text.js", "sheet_code.js", "sheet.js")
#: What the crew's own page can besides: send a photo.
SERVED_SCRIPTS = (*SHEET_SCRIPTS, "sheet_photo.js")


def sheet_page(sheets: Sequence[DaySheet], *, send: str = "", link: str = "") -> str:
    """One HTML file with the sheet of each day; at least one sheet.

    send: the address on its own server that takes the day's text, "" for a file that needs no network; link:
    where the crew's own page is shared, "" when it is not: paper carries it as a scan code.
    """
    code = scan_code(link) if link else ""
    view = _sheet_view(sheets) | {"link": link, "link_code": code, "drawings": _drawings(sheets)}
    view["paper_of"] = PAPER[sheets[0].units]
    return page(
        "sheet.html", style="sheet.css", script=SERVED_SCRIPTS if send else SHEET_SCRIPTS, send=send, **view
    )


def scan_code(text: str) -> str:
    """A QR code (ISO/IEC 18004) of the text as an SVG data address."""
    import segno

    return str(segno.make(text, error="m").svg_data_uri(scale=4, border=4))


def board_page(board: Board, *, wall: bool = False) -> str:
    """One HTML file with the week's board; wall: for a sheet of 17 by 11 in (or A3), read from afar."""
    view: dict[str, Any] = {"board": board, "stands": _stands, "locate_lines": locate_lines}
    view["weather_lines"] = week_lines(board.weather, board.units)
    view["gap_lines"] = gap_lines
    return page("board.html", style="board.css", wall=wall, **view)


def text_page(title: str, texts: Sequence[str]) -> str:
    """One HTML file of texts as the terminal prints them, each on paper of its own."""
    return page("text.html", style="text.css", title=title, texts=list(texts))


def drawing_page(sheets: Sequence[str], units: str) -> str:
    """One HTML file that prints a drawing alone and at its scale; sheets: each the text of an SVG file."""
    drawn = [picture_address(one) for one in sheets]
    return page("drawing.html", style="drawing.css", drawings=drawn, paper=PAPER[units])


def _drawings(sheets: Sequence[DaySheet]) -> dict[str, tuple[int, str, list[str]]]:
    """Job -> (place of the first sheet that goes there, a name, its drawing's sheets), for each kept design.

    A page carries a job's drawing once.
    """
    found: dict[str, tuple[int, str, list[str]]] = {}
    for n, sheet in enumerate(sheets):
        for task in sheet.tasks:
            job, design = task.job, task.design
            if design is not None and job.code not in found:
                takeoff = take_off(design, job.soil, job.access)
                title = title_of(job, sheet.day, sheet.crew)
                drawn = drawing_sheets(takeoff, sheet.units, task.parted, title)
                found[job.code] = n, f"draw{len(found) + 1}", [picture_address(one) for one in drawn]
    return found


def picture_address(drawing: str) -> str:
    """An SVG file as a data address, so that its style stays its own."""
    return "data:image/svg+xml;base64," + base64.b64encode(drawing.encode()).decode()


def page(template: str, *, style: str = "", script: Sequence[str] = (), send: str = "", **view: Any) -> str:
    """The template with the firm's look, its own style and scripts, and the policy that guards them."""
    from markupsafe import Markup

    code = "\n".join(map(read_part, script))
    digest = base64.b64encode(hashlib.sha256(code.encode()).digest()).decode()
    return (
        _environment()
        .get_template(template)
        .render(
            look=Markup(read_part("look.css")),
            own_style=Markup(read_part(style) if style else ""),
            script=Markup(code),
            script_hash=Markup(f"'sha256-{digest}'" if code else "'none'"),
            version=__version__,
            send=send,
            **view,
        )
    )


@lru_cache(maxsize=16)
def read_part(name: str) -> str:
    """The text of a shipped template, style or script."""
    return (files("planner") / "data" / "templates" / name).read_text("utf-8")


@lru_cache(maxsize=1)
def _environment() -> Environment:
    made = environment(read_part)
    made.filters["risk_sign"] = wording.RISK_SIGN.__getitem__
    return made


def environment(read: Callable[[str], str]) -> Environment:
    """Templates that escape everything and refuse unknown names, with the words that every page shares.

    read: the text of a template by its name.
    """
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    made = Environment(
        loader=FunctionLoader(read),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    for name in ("day_words", "long_day", "moment_words", "clock"):
        made.filters[name] = getattr(dates, name)
    for name in ("hours", "hours_words", "one_line", "phase_words"):
        made.filters[name] = getattr(wording, name)
    made.filters |= {"place": place_link, "place_words": place_words, "point": point}
    made.filters |= {"worked": worked_words, "tel": call_link}
    made.globals["plan_words"] = wording.plan_words
    return made


def _sheet_view(sheets: Sequence[DaySheet]) -> dict[str, Any]:
    return {
        "sheets": list(sheets),
        "several_crews": len({s.crew for s in sheets}) > 1,
        "papers": [on_paper(s) for s in sheets],
        "defer": daysheet.DEFER,
        "daylight_words": daysheet.daylight_words,
        "quantity_words": daysheet.quantity_words,
        "beside_words": daysheet.beside_words,
        "site_facts": daysheet.site_facts,
        "tomorrow_words": daysheet.tomorrow_words,
        "evening_words": daysheet.evening_words,
        "planned_words": daysheet.planned_words,
        "no_work_words": daysheet.no_work_words,
        "only_if": daysheet.only_if,
        "day_words_of": daysheet.day_words_of,
        "lead_plan_words": wording.lead_plan_words,
        "changed_words": wording.changed_words,
        "counted": counted,
        "short_head": wording.short_head,
        "trip_words": wording.trip_words,
    }


def place_link(job: Job) -> str:
    """A link to the site on the open street map, which any phone's browser opens without an app, an account
    or a key; "" without place and address. The page's script puts the phone's own map in its stead.
    """
    if job.latitude_deg is not None and job.longitude_deg is not None:
        here = f"{job.latitude_deg:.6f}", f"{job.longitude_deg:.6f}"
        return f"https://www.openstreetmap.org/?mlat={here[0]}&mlon={here[1]}#map=17/{here[0]}/{here[1]}"
    return f"https://www.openstreetmap.org/search?query={place_words(job)}" if place_words(job) else ""


def call_link(office: str) -> str:
    """A link that calls the phone at the end of "Our firm, 614-555-0100"; of RFC 3966 figures and + alone."""
    phone = office.rpartition(", ")[2]
    return "tel:" + "".join(c for c in phone if c in "+0123456789")


def place_words(job: Job) -> str:
    """What a map is asked for, ready for an address: the site's address, else its point."""
    return quote(wording.one_line(job.address) or point(job), safe=",")


def point(job: Job) -> str:
    """ "39.960000,-83.000000", "" where the place is not known."""
    if job.latitude_deg is None or job.longitude_deg is None:
        return ""
    return f"{job.latitude_deg:.6f},{job.longitude_deg:.6f}"


def _stands(promise: Promise) -> str:
    if promise.finish is None:
        return promise.risk.value
    return ("tight, " if promise.risk is Risk.TIGHT else "") + room_words(promise)
