"""What the service refuses before it looks at a request.

A page from elsewhere, opened in a browser on this machine, can reach loopback as well. Such a
page tells its origin (RFC 6454), or else hides behind a name of its own that leads to this
machine; requests made to an address or to this machine's own name are let in.
"""

import ipaddress
import socket
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Receive, Scope, Send

LARGEST_BODY = 16_384  # bytes; the longest utterance takes less, however it is written

Refusal = tuple[int, str]


class Guard:
    """Refuses foreign pages, foreign names of this machine, and bodies without end."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        refused = None
        if scope["type"] in ("http", "websocket"):
            refused = refusal(Headers(scope=scope))
        if refused is None:
            await self._app(scope, receive, send)
        else:
            status, why = refused
            await PlainTextResponse(f"{why}\n", status)(scope, receive, send)


def refusal(headers: Headers) -> Refusal | None:
    """The HTTP status and the reason when a request is not let in."""
    host = headers.get("host", "")
    if not _own_name(_host_of(f"//{host}")):
        return 400, f"this service is not known as “{host}”; use the machine’s address"
    origin = headers.get("origin")
    own = [f"{scheme}://{host}".lower() for scheme in ("http", "https")]
    if origin is not None and origin.lower() not in own:
        return 403, f"a page from {origin} may not use this service"
    if "transfer-encoding" in headers:
        return 411, "send the length of the body"
    length = headers.get("content-length", "0")
    if not length.isdecimal() or int(length) > LARGEST_BODY:
        return 413, f"send at most {LARGEST_BODY} bytes"
    return None


def _host_of(address: str) -> str:
    try:
        return (urlsplit(address).hostname or "").rstrip(".")
    except ValueError:  # half a pair of brackets, say
        return ""


def _own_name(host: str) -> bool:
    """Whether a name that nobody else can have pointed at this machine."""
    own = socket.gethostname().lower()
    if host in ("localhost", own, f"{own}.local"):
        return bool(host)
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True
