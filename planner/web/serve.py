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
    tell: Callable[[str], None],
) -> None:
    """Serve until stopped. port: 0 for any free one; tell: prints the start link.

    Raises BadInput when the port is taken.
    """
    import uvicorn

    with socket.socket() as door:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((LOOPBACK, port))
        except OSError as fault:
            raise BadInput(
                "--port", port, f"{(fault.strerror or str(fault)).lower()}: choose another"
            ) from None
        number = door.getsockname()[1]
        keys = Keys()
        hosts = [f"{name}:{number}" for name in (LOOPBACK, "localhost")]
        app = application(Desk(location, now, keys), hosts)
        link = f"http://{LOOPBACK}:{number}/start/{keys.start_link(who)}"
        config = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            timeout_keep_alive=5,
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
