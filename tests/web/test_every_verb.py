"""Every command of the terminal has its page: named here, served, and reached from the first page."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from urllib.parse import urldefrag

from starlette.routing import Match, Route

from planner.cli.keeping.guide import every_command
from planner.flow.keeping.photos import add_photo
from tests.web.conftest import MORNING, Browser, picture

#: Command -> the addresses that do it, as `web.app` declares them.
PAGES = {
    "today": "/",
    "board": "/week /week/wall /week/board.csv",
    "sheet": "/sheets /sheets/paper /sheet/{crew:path}",
    "return": "/hours/read /hours/keep",
    "replan": "/plan/make /plan/repairs",
    "what-if": "/plan/what-if /plan/what-if/try",
    "season": "/season /season/jobs.csv /season/paper",
    "hours": "/hours/owner /hours/week",
    "calendar": "/calendars /calendars/file",
    "estimate": "/price /jobs/{code}/price",
    "price": "/jobs/{code}/asked",
    "proposal": "/jobs/{code}/proposal",
    "import": "/firm/tables/look /firm/tables/read /firm/tables/firm /firm/tables/{kind}-empty.csv",
    "export": "/firm/tables /firm/tables/{kind}.csv /firm/tables/{kind}.json",
    "guide": "/guide /guide/{topic}",
    "truck list": "/firm",
    "truck add": "/firm/truck /firm/truck/save",
    "truck change": "/firm/truck /firm/truck/save",
    "truck shop": "/firm/truck/away",
    "truck remove": "/firm/truck/remove",
    "deliveries list": "/office/deliveries",
    "deliveries on-hand": "/office/deliveries/on-hand",
    "log add": "/hours/log",
    "log list": "/hours",
    "log undo": "/hours/log/back",
    "log clock": "/hours/clock/read /hours/clock/keep",
    "office list": "/office",
    "office tick": "/office/tick",
    "office here": "/jobs/{code}/orders /jobs/{code}/orders/say",
    "office arrives": "/jobs/{code}/orders /jobs/{code}/orders/say /office/arrives",
    "office snooze": "/office/snooze",
    "office settle": "/office/settle",
    "office untick": "/office/untick",
    "office export": "/office/list.csv",
    "office locate": "/office/locate",
    "lost rain": "/hours/lost/add /week/lost",
    "lost sick": "/hours/lost/add",
    "lost short": "/hours/lost/add",
    "lost machine": "/hours/lost/add",
    "lost delivery": "/hours/lost/add",
    "lost inspection": "/hours/lost/add",
    "lost list": "/hours/lost",
    "lost undo": "/hours/lost/back",
    "plan make": "/plan/make",
    "plan list": "/plan",
    "plan thin": "/plan/thin",
    "plan show": "/plan",
    "plan diff": "/plan/differ",
    "plan why": "/plan/why",
    "plan publish": "/plan/publish",
    "plan back": "/plan/back",
    "promise ask": "/promises/ask /jobs/{code}/promise",
    "promise hold": "/jobs/{code}/promise/hold",
    "promise list": "/promises",
    "promise drop": "/jobs/{code}/promise/drop",
    "visit add": "/visits/new /visits/save",
    "visit change": "/visits/{code} /visits/save",
    "visit repeat": "/visits/{code}/repeat",
    "visit list": "/visits",
    "chance show": "/plan/chance /plan/chances",
    "chance station": "/plan/chances /plan/chances/station",
    "weather take": "/weather/take",
    "weather show": "/weather",
    "weather drop": "/weather/drop",
    "design check": "/jobs/{code}/design /jobs/{code}/design/look",
    "design take-off": "/jobs/{code}/design/keep",
    "design materials": "/jobs/{code}/materials",
    "design pump": "/jobs/{code}/pump",
    "design draw": "/jobs/{code}/drawing.svg",
    "rates list": "/rates",
    "rates show": "/rates",
    "rates refit": "/hours/learn /hours/learn/accept",
    "rates adopt": "/rates/adopt",
    "rates export": "/rates/table.csv",
    "rates import": "/rates/look /rates/read",
    "job add": "/jobs/new /jobs/save",
    "job like": "/jobs/new /jobs/save",
    "job change": "/jobs/{code} /jobs/save /jobs/{code}/status",
    "job list": "/jobs",
    "job show": "/jobs/{code}",
    "job cancel": "/jobs/{code}/status",
    "job remove": "/jobs/{code}/remove",
    "job gate": "/jobs/{code}/gate",
    "job blackout": "/jobs/{code}/blackout",
    "job pin": "/jobs/{code}/pin /week/move /week/move/look /week/move/keep /week/pin/free",
    "job need": "/jobs/{code}/need",
    "job forget": "/jobs/{code}/forget",
    "crew add": "/firm/crew /firm/crew/save",
    "crew change": "/firm/crew /firm/crew/save",
    "crew list": "/firm",
    "crew away": "/firm/crew/away",
    "crew remove": "/firm/crew/remove",
    "people add": "/firm/person/save",
    "people change": "/firm/person/save",
    "people list": "/firm/crew",
    "people away": "/firm/person/away",
    "people lend": "/firm/person/away",
    "people remove": "/firm/person/remove",
    "machine add": "/firm/machine /firm/machine/save",
    "machine change": "/firm/machine /firm/machine/save",
    "machine list": "/firm",
    "machine out": "/firm/machine/away",
    "machine remove": "/firm/machine/remove",
    "firm show": "/firm",
    "firm set": "/firm/save /first/save",
    "firm closed": "/firm/closed",
    "firm worked": "/firm/worked",
    "firm half-day": "/firm/half-day",
    "history list": "/history",
    "history undo": "/undo /undo/go",
    "db state": "/firm/database",
    "db backup": "/firm/database/copy",
    "db restore": "/firm/database/restore",
    "db check": "/firm/database",
}
#: Command -> why no page does it.
WITHOUT = {
    "open": "it is what opens the pages",
    "db create": "`planner open` makes the database where there is none",
    "db upgrade": "`planner open` brings an older database up to date after a copy, before the first page",
}
#: Addresses that stand on a page only in a state to which the walk does not come -> that state, and the test
#: that goes there. Each must stand in a shipped page all the same.
LATER = {
    "/first": "an empty book leads there: test_pages",
    "/first/save": "the first page of an empty book: test_pages",
    "/firm/tables/read": "the answer to a sheet that was looked at: test_records",
    "/rates/read": "the answer to a table that was looked at: test_estimate",
    "/hours/keep": "the answer to a pasted text: test_lead",
    "/hours/clock/keep": "the answer to a time clock's file: test_clock",
    "/hours/learn/accept": "when the hours teach something: test_office",
    "/week/move/keep": "the answer to a move that was looked at: test_pages",
    "/office/untick": "behind the box of what is ticked and put away: test_office",
    "/office/settle": "while a check is missed: test_office",
    "/work": "while a plan is made: test_season",
    "/work/stop": "while a plan is made: test_season",
    "/share": "where the server has a door to open: test_door",
    "/share/end": "while it is open: test_door",
}
#: Those of them to which an answer leads by itself, without a link.
LED_TO = ("/first", "/work")


def test_every_command_is_named_with_its_page_or_with_a_reason() -> None:
    commands = {words for words, _ in every_command()}
    assert {*PAGES, *WITHOUT} == commands
    assert not PAGES.keys() & WITHOUT.keys()


def test_every_page_that_is_named_is_served(browser: Browser) -> None:
    served = {route.path for route in _routes(browser)}
    named = {address for addresses in PAGES.values() for address in addresses.split()}
    assert named - served == set()


def test_every_page_is_reached_by_links_and_buttons_from_the_first(browser: Browser) -> None:
    """A walk from the first page: at most six addresses of each kind are looked at."""
    _a_lively_day(browser)
    routes, seen, waiting = _routes(browser), dict[str, int](), ["/"]
    done = set[str]()
    while waiting:
        address = urldefrag(waiting.pop(0))[0]
        if address in done or not address.startswith("/") or address.startswith("/plan/chance?"):
            continue
        done.add(address)
        path = _path_of(routes, address)
        assert path, f"{address} leads nowhere"
        seen[path] = seen.get(path, 0) + 1
        if seen[path] > 6 or path in ("/plan/chance", "/work"):
            continue
        page = browser.look(address)
        assert page.status_code in (200, 409, 422), f"{address}: {page.text[:300]}"
        if "text/html" not in page.headers["content-type"]:
            continue
        text = html.unescape(page.text)
        waiting += re.findall(r'(?:href|src)="(/[^"]*)"', text)
        for method, action in _forms(text):
            if method == "get":
                waiting.append(action)
            elif pressed := _path_of(routes, action, "POST"):
                seen[pressed] = 1
    every = {route.path for route in routes if route.path not in ("/start/{token}", "/work/events", "/enter")}
    every = {path for path in every if not path.startswith("/c/{word}")}
    assert sorted(every - seen.keys() - LATER.keys()) == []
    assert [path for path in LATER if path not in LED_TO and f'action="{path}"' not in _templates()] == []


def _templates() -> str:
    """Every shipped page as it is written."""
    folder = files("planner") / "data" / "web"
    return "".join(page.read_text("utf-8") for page in Path(str(folder)).rglob("*.html"))


def _a_lively_day(browser: Browser) -> None:
    """A pin, a truck, lost time, a visit, a forecast, a photo, a design, a second plan published."""
    browser.post("/firm/truck/save", key="dump1", words="dump truck", tows_lb="12000", tows_day="1")
    browser.post("/firm/person/save", crew="North", _new="yes", name="Cy", may="stonework")
    browser.post("/jobs/P-2/pin", phase="rock", crew="South")
    browser.post("/hours/lost/add", kind="rain", first="2027-04-07", last="2027-04-07")
    browser.post("/visits/save", code="V-1", visit="clean-out", pond="P-1")
    rows = "date,rain_chance,rain_in,low_f,high_f,wind_mph\n2027-04-06,80,0.5,40,60,5\n"
    browser.post("/weather/take", rows=rows, place="Columbus, OH", made="2027-04-05")
    begun = browser.post(
        "/jobs/P-1/design/begin", shape="ellipse", length="16 ft", width="11 ft", depth="24 in", shelves="2"
    )
    text = re.findall(r"<textarea[^>]*>(.*?)</textarea>", begun.text, re.DOTALL)[0]
    browser.post("/jobs/P-1/design/keep", text=html.unescape(text), agreed="yes")
    add_photo(str(browser.db), "P-1", picture(), MORNING)
    browser.post("/plan/publish", number=browser.planned(how="order"), even_so="yes")
    browser.post("/links/renew", crew="North")
    held = browser.post("/jobs/P-3/promise/hold", until="2027-04-12")
    assert held.status_code == 303, held.text


def _routes(browser: Browser) -> list[Route]:
    app = browser.client.app
    return [route for route in app.routes if isinstance(route, Route)]


def _forms(text: str) -> Iterator[tuple[str, str]]:
    """How and where each form of a page goes, and each button that sends it elsewhere."""
    for tag in re.findall(r"<form[^>]*>", text):
        method, action = re.search(r'method="(\w+)"', tag), re.search(r'action="([^"]*)"', tag)
        if method and action:
            yield method[1], action[1]
    yield from (("post", action) for action in re.findall(r'formaction="([^"]*)"', text))


def _path_of(routes: list[Route], address: str, method: str = "GET") -> str:
    """The declared path that answers at an address, "" for none."""
    scope = {"type": "http", "method": method, "path": address.partition("?")[0]}
    return next((route.path for route in routes if route.matches(scope)[0] is Match.FULL), "")
