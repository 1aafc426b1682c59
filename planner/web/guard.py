"""The guard at the door: which host names are ours, who may post, how large and how slow a request may be.

Checked before any page: the Host header names this server (else another site's name could be pointed at it),
a request that writes comes from a page of ours (Sec-Fetch-Site, else Origin), the body is no larger than
`MOST_BYTES` and arrives within `PATIENCE_S`. Every answer carries the policy that keeps foreign code out.
"""

from __future__ import annotations

import asyncio
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from planner.web.desk import Sharing

#: Largest body of a request: a photo and a form [bytes].
MOST_BYTES = 12_000_000
#: A body that takes longer is given up [s].
PATIENCE_S = 30.0
POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
#: Addresses of this very computer.
LOOPBACK = {"127.0.0.1", "::1"}
OWN_NAMES = {*LOOPBACK, "localhost"}
READING = {"GET", "HEAD", "OPTIONS"}


class TooMuch(Exception):
    """A body over the bound, or one that never comes to its end."""


class Guard:
    """Lets a request in, or answers it with one plain line."""

    def __init__(self, app: ASGIApp, sharing: Sharing) -> None:
        """sharing: under which names this server may be called, and whether from beyond this computer."""
        self.app = app
        self.sharing = sharing

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        why = self._why_not(scope)
        if why:
            status, text = why
            await PlainTextResponse(f"planner: {text}\n", status)(scope, receive, _sealed(send))
            return
        try:
            await self.app(scope, _bounded(receive), _sealed(send))
        except TooMuch as fault:
            await PlainTextResponse(f"planner: {fault}\n", 413)(scope, receive, _sealed(send))

    def _why_not(self, scope: Scope) -> tuple[int, str] | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "").lower()
        if host not in self.sharing.hosts:
            return 421, "this address is not one of this planner's: open the link that `planner open` printed"
        if not from_here(scope) and not self.sharing.base:
            return 403, "the office's pages open on the office's own computer only"
        length = headers.get("content-length") or "0"
        if not length.isdecimal() or int(length) > MOST_BYTES:
            return 413, f"the request is over {MOST_BYTES // 1_000_000} MB: send a smaller file"
        if scope["method"] in READING:
            return None
        site = headers.get("sec-fetch-site")
        origin = headers.get("origin")
        ours = site == "same-origin" if site else bool(origin) and urlsplit(origin or "").netloc == host
        if not ours or (origin and urlsplit(origin).netloc != host):
            return 403, "the form came from another site: nothing was changed"
        return None


def from_here(scope: Scope) -> bool:
    """Whether the request comes from this very computer, called by its own name: a proxy's does not."""
    client = scope.get("client")
    near = client is None or client[0] in LOOPBACK or client[0] == "testclient"
    return near and urlsplit(f"//{Headers(scope=scope).get('host', '')}").hostname in OWN_NAMES


def _bounded(receive: Receive) -> Receive:
    so_far, whole = 0, False

    async def bounded() -> Message:
        nonlocal so_far, whole
        if whole:  # the body is here: what comes now is only that the other side has gone
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), PATIENCE_S)
        except TimeoutError:
            raise TooMuch("the request never came to its end: send it again") from None
        so_far += len(message.get("body", b""))
        whole = not message.get("more_body", False)
        if so_far > MOST_BYTES:
            raise TooMuch(f"the request is over {MOST_BYTES // 1_000_000} MB: send a smaller file")
        return message

    return bounded


def _sealed(send: Send) -> Send:
    async def sealed(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            headers.setdefault("content-security-policy", POLICY)
            headers["x-content-type-options"] = "nosniff"
            headers["referrer-policy"] = "same-origin"  # with none, a form of ours would come from "null"
            headers["cross-origin-opener-policy"] = "same-origin"
            headers.setdefault("cache-control", "no-store")
        await send(message)

    return sealed
