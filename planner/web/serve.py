"""Serving: a free port, the start link, the browser, Ctrl-C."""

from __future__ import annotations

import socket
import webbrowser
from collections.abc import Callable
from datetime import datetime
from threading import Timer

from planner.errors import BadInput
from planner.web.app import application
from planner.web.desk import Desk
from planner.web.keys import Keys

LOOPBACK = "127.0.0.1"


def serve(
    location: str,
    now: Callable[[], datetime],
    who: str,
    *,
    port: int,
    browser: bool,
    share: bool = False,
    note: str = "",
    tell: Callable[[str], None],
) -> None:
    """Serve until stopped. port: 0 for any free one; tell: prints the start link.

    share: also listen on the office network, where only the crews' links answer; note: stands on every page.

    Raises BadInput when the port is taken.
    """
    import uvicorn

    with socket.socket() as door:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind(("0.0.0.0" if share else LOOPBACK, port))
        except OSError as fault:
            raise BadInput(
                "--port", port, f"{(fault.strerror or str(fault)).lower()}: choose another"
            ) from None
        number = door.getsockname()[1]
        keys = Keys()
        hosts = [f"{name}:{number}" for name in (LOOPBACK, "localhost")]
        base = ""
        if share:
            address = own_address()
            hosts += [f"{address}:{number}", f"{socket.gethostname()}:{number}"]
            base = f"http://{address}:{number}"
        app = application(Desk(location, now, keys, share, base, note), hosts)
        link = f"http://{LOOPBACK}:{number}/start/{keys.start_link(who)}"
        config = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            timeout_keep_alive=5,
            timeout_graceful_shutdown=3,
            server_header=False,
            lifespan="off",
        )
        tell(link)
        if browser:
            Timer(0.6, webbrowser.open, [link]).start()
        door.listen(128)
        server = uvicorn.Server(config)

        def stop() -> None:
            server.should_exit = True

        app.state.stop = stop
        server.run(sockets=[door])


def own_address() -> str:
    """This computer's address on the office network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 (RFC 5737): only the route is asked for
            return str(probe.getsockname()[0])
        except OSError:
            return LOOPBACK
