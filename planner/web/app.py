"""The application: addresses to pages, sessions to people, refusals to the same line as in the terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import (
    HTMLResponse,
    PlainTextResponse,
    RedirectResponse,
    Response,
    StreamingResponse,
)
from starlette.routing import Route

from planner.errors import BadInput, PlannerError
from planner.web.crew_day.lead import lead_sheet, take_back, take_photo
from planner.web.desk import Desk, File, Go, Page, Visit
from planner.web.guard import READING, Guard, from_here
from planner.web.keys import COOKIE, Session, Tries
from planner.web.render import asset, render

Answer = Page | Go | File
Does = Callable[[Visit], Answer]
R = TypeVar("R", bound=Response)
#: A returned text is at most so long [bytes].
LONGEST_TEXT = 1_000_000
#: Name of a style or script -> where it lies.
STYLES = {"web.css": "frame/web.css", "web.js": "frame/web.js", "season.css": "season/season.css"}
MEDIA = {"css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8"}


def application(desk: Desk, hosts: Iterable[str]) -> Starlette:
    """The whole office as an ASGI application that answers only under `hosts`, and those it is shared by."""
    desk.sharing.hosts.update(host.lower() for host in hosts)
    routes = [
        Route("/start/{token}", _start),
        Route("/look/{name}", _look),
        Route("/enter", _enter, methods=["GET", "POST"]),
        Route("/work/events", _events),
        Route("/c/{word}", _lead),
        Route("/c/{word}/tomorrow", _lead),
        Route("/c/{word}/back", _lead_back, methods=["POST"]),
        Route("/c/{word}/photo", _lead_photo, methods=["POST"]),
        *(
            Route(path, _page(does, write=write), methods=["POST" if write else "GET"])
            for path, does, write in _pages()
        ),
    ]
    app = Starlette(routes=routes, middleware=[Middleware(Guard, sharing=desk.sharing)])
    app.state.desk = desk
    app.state.stop = lambda: None
    app.state.tries = Tries(most=20)
    app.state.passwords = Tries(most=10)
    return app


def _pages() -> Iterator[tuple[str, Does, bool]]:
    """Every page of every room: its address, what answers, whether it writes."""
    from planner.web.crew_day import lead, moving, papers
    from planner.web.crew_day import pages as crew_day
    from planner.web.design import pages as design
    from planner.web.estimate import price, rates
    from planner.web.keeping import care, door, firm, first, job, nouns, site, tables
    from planner.web.keeping import pages as keeping
    from planner.web.office import deliveries, hours, lost, prices
    from planner.web.office import pages as office
    from planner.web.office import papers as office_papers
    from planner.web.season import asking, chances, making, promises, visits, weather, working
    from planner.web.season import pages as season

    rooms: list[tuple[tuple[str, Does, bool], ...]] = [
        *(office.PAGES, hours.PAGES, lost.PAGES, deliveries.PAGES, prices.PAGES, office_papers.PAGES),
        *(crew_day.PAGES, moving.PAGES, papers.PAGES, lead.PAGES),
        *(
            design.PAGES,
            price.PAGES,
            rates.PAGES,
            keeping.PAGES,
            job.PAGES,
            site.PAGES,
            firm.PAGES,
            nouns.PAGES,
        ),
        *(tables.PAGES, care.PAGES, first.PAGES, door.PAGES),
        *(season.PAGES, making.PAGES, asking.PAGES, chances.PAGES, promises.PAGES),
        *(visits.PAGES, working.PAGES, weather.PAGES),
    ]
    for room in rooms:
        yield from room


async def _start(request: Request) -> Response:
    """The link that `planner open` printed: works once and leaves a cookie."""
    desk: Desk = request.app.state.desk
    value = desk.keys.redeem(request.path_params["token"]) if from_here(request.scope) else None
    if value is None:
        return PlainTextResponse(
            "planner: this start link was used already or is not of this run: start `planner open` again\n",
            403,
        )
    answer = HTMLResponse(
        '<!doctype html><html lang="en"><title>planner</title><meta http-equiv="refresh" content="0; url=/">'
        '<p><a href="/">Go on to the office</a></p></html>'
    )
    return _with_key(request, answer, value)


def _with_key(request: Request, answer: R, value: str) -> R:
    """The answer with the session's cookie; over TLS the browser never sends it without."""
    tls = request.url.scheme == "https"
    answer.set_cookie(COOKIE, value, httponly=True, samesite="strict", path="/", secure=tls)
    return answer


async def _enter(request: Request) -> Response:
    """Name and password open a session; past some wrong tries the next must wait."""
    desk: Desk = request.app.state.desk
    form = await request.form(max_files=0, max_fields=10) if request.method == "POST" else FormData()
    visit = Visit(desk, Session("", ""), request, form)
    return await run_in_threadpool(_entered, visit, request.app.state.passwords)


def _entered(visit: Visit, tries: Tries) -> Response:
    from planner.flow.keeping.password import kept_digest
    from planner.web.keys import is_it

    whence = _whence(visit.request)
    if visit.request.method in READING:
        return HTMLResponse(render(visit, Page("frame/enter.html", {"wrong": "", "name": ""})))
    name, password = visit.typed("name").strip()[:40], visit.typed("password")
    wrong = "there were too many wrong tries: wait a minute"
    if not tries.too_many(whence):
        digest = kept_digest(visit.location)
        if digest and name and name.isprintable() and is_it(digest, password):
            key = visit.desk.keys.open(name, outside=True)
            return _with_key(visit.request, RedirectResponse("/", 303), key)
        tries.wrong(whence)
        wrong = "the name or the password is not right" if digest else "no password is set: ask the owner"
    return HTMLResponse(render(visit, Page("frame/enter.html", {"wrong": wrong, "name": name})), 403)


def _whence(request: Request) -> str:
    """The address that asks."""
    return request.client.host if request.client else ""


async def _look(request: Request) -> Response:
    """Styles and the one script."""
    name = request.path_params["name"]
    kind = name.rpartition(".")[2]
    if name not in STYLES:
        return PlainTextResponse("planner: no such file\n", 404)
    return Response(asset(STYLES[name]), media_type=MEDIA[kind], headers={"cache-control": "max-age=300"})


async def _events(request: Request) -> Response:
    """How far the work under way has come, told while it goes on."""
    from planner.web.season.working import events

    desk: Desk = request.app.state.desk
    if desk.keys.session(request.cookies.get(COOKIE)) is None:
        return _no_session(request)
    return StreamingResponse(events(desk.work), media_type="text/event-stream")


async def _lead(request: Request) -> Response:
    """A crew's own link: its sheet of today or tomorrow."""
    crew = await run_in_threadpool(_crew, request)
    if crew is None:
        return PlainTextResponse("planner: this link does not work (any more): ask the office\n", 404)
    ahead = 1 if request.url.path.endswith("/tomorrow") else 0
    try:
        found = await run_in_threadpool(
            lead_sheet, request.app.state.desk, crew, request.path_params["word"], ahead
        )
    except PlannerError as refusal:
        return PlainTextResponse(f"planner: {refusal}\n", 409)
    return Response(found.content, media_type=found.media, headers={"content-security-policy": found.policy})


async def _lead_back(request: Request) -> Response:
    """The day's text from the crew's page."""
    crew = await run_in_threadpool(_crew, request)
    if crew is None:
        return PlainTextResponse("planner: this link does not work (any more): ask the office\n", 404)
    text = (await request.body())[:LONGEST_TEXT].decode("utf-8", errors="replace")
    try:
        said = await run_in_threadpool(take_back, request.app.state.desk, crew, text)
    except PlannerError as refusal:
        return PlainTextResponse(f"{refusal}\n", 409)
    return PlainTextResponse(f"{said}\n")


async def _lead_photo(request: Request) -> Response:
    """A photo from the crew's page; the guard bounds its size."""
    crew = await run_in_threadpool(_crew, request)
    if crew is None:
        return PlainTextResponse("planner: this link does not work (any more): ask the office\n", 404)
    content, job = await request.body(), request.query_params.get("job", "")
    try:
        said = await run_in_threadpool(take_photo, request.app.state.desk, crew, job, content)
    except PlannerError as refusal:
        return PlainTextResponse(f"{refusal}\n", 422 if isinstance(refusal, BadInput) else 409)
    return PlainTextResponse(f"{said}\n")


def _crew(request: Request) -> str | None:
    """The crew whose link this is; None too when there were too many wrong tries."""
    from planner.flow.crew_day.links import crew_of

    tries: Tries = request.app.state.tries
    if tries.too_many(_whence(request)):
        return None
    found = crew_of(request.app.state.desk.location, request.path_params["word"])
    if found is None:
        tries.wrong(_whence(request))
    return found


def _page(does: Does, *, write: bool) -> Callable[[Request], object]:
    async def answer(request: Request) -> Response:
        desk: Desk = request.app.state.desk
        session = desk.keys.session(request.cookies.get(COOKIE))
        if session is None:
            return _no_session(request)
        form = await request.form(max_files=4, max_fields=400) if write else FormData()
        visit = Visit(desk, session, request, form)
        if write and not desk.keys.fits(session, visit.typed("_token")):
            return PlainTextResponse("planner: the form is not of this session: load the page again\n", 403)
        try:
            return await run_in_threadpool(_answered, visit, does)
        finally:
            await form.close()

    return answer


def _no_session(request: Request) -> Response:
    """Here the start link is the way in; from elsewhere the password."""
    if not from_here(request.scope):
        return RedirectResponse("/enter", 303)
    way = "run `planner open`, or go to /enter if the office has a password"
    return PlainTextResponse(f"planner: open the start link first: {way}\n", 403)


def _answered(visit: Visit, does: Does) -> Response:
    """The page's answer, or the refusal as a page."""
    try:
        found = does(visit)
    except PlannerError as refusal:
        status = 422 if isinstance(refusal, BadInput) else 409
        found = Page("frame/refused.html", {"lines": str(refusal).splitlines(), "back": _back(visit)}, status)
    if isinstance(found, Go):
        visit.session.say(found.said)
        return RedirectResponse(found.to, 303)
    if isinstance(found, File):
        headers = {"content-disposition": f'attachment; filename="{found.name}"'} if found.name else {}
        if found.policy:
            headers["content-security-policy"] = found.policy
        return Response(found.content, media_type=found.media, headers=headers)
    return HTMLResponse(render(visit, found), found.status)


def _back(visit: Visit) -> str:
    """The page that the form came from."""
    if visit.request.method in READING:
        return "/"
    return visit.back("/")
