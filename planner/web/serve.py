"""Serving: a free port, the start link, the browser, Ctrl-C; the door to the office network."""

from __future__ import annotations

import socket
import webbrowser
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from threading import Thread, Timer
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from planner.errors import BadInput, PlannerError
from planner.web.app import application
from planner.web.desk import Desk, Sharing
from planner.web.keys import Keys

if TYPE_CHECKING:
    import uvicorn
    from starlette.types import ASGIApp

LOOPBACK = "127.0.0.1"


def serve(
    location: str,
    now: Callable[[], datetime],
    who: str,
    *,
    port: int,
    browser: bool,
    share: bool = False,
    at: str = "",
    note: str = "",
    tables: Mapping[str, Callable[[], Sequence[tuple[str, ...]]]],
    tell: Callable[[str], None],
) -> None:
    """Serve until stopped. port: 0 for any free one; tell: prints the start link; note: stands on every page;
    tables: of the guide, as far as only the terminal knows them.

    share: also listen on the office network; at: how others call this server through a proxy, like
    https://office.example. Either needs the office's password.

    Raises BadInput when the port is taken, or `at` is no such address.
    """
    keys, sharing = Keys(), Sharing(base=_base(at))
    sharing.hosts |= {urlsplit(sharing.base).netloc.lower()} if at else set()
    with _door(LOOPBACK, port) as door:
        number = door.getsockname()[1]
        here = [f"{name}:{number}" for name in (LOOPBACK, "localhost")]
        app = application(Desk(location, now, keys, note, sharing, tables=tables), here)
        network = Network(app, number, sharing)
        sharing.begin, sharing.end = network.open, network.close
        if share:
            network.open()
        link = f"http://{LOOPBACK}:{number}/start/{keys.start_link(who)}"
        door.listen(128)
        tell(link)
        if browser:
            Timer(0.6, webbrowser.open, [link]).start()
        server = _server(app)

        def stop() -> None:
            server.should_exit = True

        app.state.stop = stop
        server.run(sockets=[door])
        network.close()


def _server(app: ASGIApp) -> uvicorn.Server:
    import uvicorn

    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        timeout_keep_alive=5,
        timeout_graceful_shutdown=3,
        server_header=False,
        lifespan="off",
    )
    return uvicorn.Server(config)


def _door(address: str, port: int) -> socket.socket:
    """A socket bound there; BadInput when it is taken."""
    door = socket.socket()
    door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        door.bind((address, port))
    except OSError as fault:
        door.close()
        why = (fault.strerror or str(fault)).lower()
        raise BadInput("--port", port, f"{why}: choose another") from None
    return door


def _base(at: str) -> str:
    """The address that others use, without a slash at its end."""
    if not at:
        return ""
    seen = urlsplit(at)
    if seen.scheme not in {"http", "https"} or not seen.hostname or seen.path.strip("/") or seen.query:
        raise BadInput("--at", at, "write the address that others use, like https://office.example")
    return f"{seen.scheme}://{seen.netloc}"


class Network:
    """The door to the office network: a second server of the same pages, opened and closed at will."""

    def __init__(self, app: ASGIApp, port: int, sharing: Sharing) -> None:
        """port: the same as on this computer."""
        self._app, self._port, self._sharing = app, port, sharing
        self._server: uvicorn.Server | None = None
        self._names: set[str] = set()
        self._outer = sharing.base

    def open(self) -> None:
        """Listen on this computer's own address. PlannerError when it is on no network."""
        if self._server is not None:
            return
        address = own_address()
        if address == LOOPBACK:
            raise PlannerError("this computer is on no network: connect it first")
        door = _door(address, self._port)
        door.listen(128)
        self._names = {f"{name.lower()}:{self._port}" for name in (address, socket.gethostname())}
        self._sharing.hosts |= self._names
        self._sharing.base = self._outer or f"http://{address}:{self._port}"
        self._server = _server(self._app)
        Thread(target=self._server.run, args=([door],), name="planner-network", daemon=True).start()

    def close(self) -> None:
        """Listen no more."""
        if self._server is not None:
            self._server.should_exit = True
            self._server = None
            self._sharing.hosts -= self._names
            self._sharing.base = self._outer


def own_address() -> str:
    """This computer's address on the office network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 (RFC 5737): only the route is asked for
            return str(probe.getsockname()[0])
        except OSError:
            return LOOPBACK
