"""Templates of the browser's pages: Jinja with escaping, the terminal's own words as filters."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING
from urllib.parse import quote

from planner import __version__
from planner.report import wording
from planner.report.crew_day.board import gap_lines, promise_words, room_words
from planner.report.crew_day.locates import locate_lines
from planner.report.office.today import weather_lines
from planner.report.pages import environment, read_part
from planner.web.desk import Page, Visit

if TYPE_CHECKING:
    from jinja2 import Environment

#: Word on the tab, its address.
TABS = (
    ("Today", "/"),
    ("Week", "/week"),
    ("Jobs", "/jobs"),
    ("Season", "/season"),
    ("Calls and dates", "/office"),
    ("Hours", "/hours"),
    ("Plan", "/plan"),
    ("Firm", "/firm"),
)


#: The command of a next step, as far as it is told -> the page that does the same.
_PAGE_OF_STEP = (
    ("planner firm", "/firm"),
    ("planner crew", "/firm"),
    ("planner import jobs", "/jobs/new"),
    ("planner plan", "/plan"),
    ("planner replan", "/plan"),
    ("planner lost", "/hours/lost"),
    ("planner log", "/hours"),
    ("planner sheet", "/week"),
    ("planner office", "/office"),
)


def step_link(command: str) -> str:
    """The page on which a step that the terminal names by a command is done.

    >>> step_link("planner plan make")
    '/plan'
    """
    return next((page for begins, page in _PAGE_OF_STEP if command.startswith(begins)), "/")


def in_path(text: str) -> str:
    """Text as one part of an address: a slash or a dot in a code leads nowhere else.

    >>> in_path("A/1 b")
    'A%2F1%20b'
    """
    return quote(text, safe="")


def render(visit: Visit, page: Page) -> str:
    """The whole page as HTML."""
    from markupsafe import Markup

    token, here = visit.desk.keys.form_token(visit.session), visit.request.url.path
    line = '<input type="hidden" name="{}" value="{}">'

    def hidden(back: str = here) -> str:
        """What every form carries: its session's token, and the page to come back to."""
        return Markup(line).format("_token", token) + Markup(line).format("_from", back)

    return (
        _environment()
        .get_template(page.template)
        .render(
            tabs=TABS,
            here=here,
            notes=visit.session.take_notes(),
            hidden=hidden,
            version=__version__,
            note=visit.desk.note,
            who=visit.session.who,
            outside=visit.session.outside,
            **page.view,
        )
    )


def without_plan(visit: Visit) -> Page | None:
    """The page that says what comes before a plan, while there is none."""
    from planner.flow.season.plans import plan_heads

    return None if plan_heads(visit.location) else Page("frame/no_plan.html", {})


def asset(name: str) -> bytes:
    """A shipped style or script."""
    if name in SHARED:
        return read_part(name).encode()
    return (files("planner") / "data" / "web" / name).read_bytes()


#: Parts of pages that the terminal writes as files too, and styles that come with them.
SHARED = ("season/season_body.html", "season/season.css")


@lru_cache(maxsize=64)
def _read(name: str) -> str:
    if name in SHARED:
        return read_part(name)
    return (files("planner") / "data" / "web" / name).read_text("utf-8")


@lru_cache(maxsize=1)
def _environment() -> Environment:
    made = environment(_read)
    made.filters["path"] = in_path
    made.filters["room"] = room_words
    made.filters["promise"] = promise_words
    made.globals.update(
        step_link=step_link,
        locate_lines=locate_lines,
        gap_lines=gap_lines,
        weather_lines=weather_lines,
        risk_sign=wording.RISK_SIGN,
    )
    return made
