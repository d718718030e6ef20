"""What stands before every page: only this machine, only whoever was given the address, nothing larger than it may be.

The desk listens on loopback alone. Other programs and other sites in the same browser can reach that too, so a request must
name our own host, come from our own pages, and carry the token that the terminal printed, first in the address and from then
on in a cookie that no other site can send.
"""

import hmac
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl, urlencode

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from spectro.desk.instance import cookie_name
from spectro.desk.texts import word

MOST_BYTES = 256 * 1024 * 1024  # of one request: a 33-node profile has 1 to 7 MB, readings of 6000 patches 4 MB
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; frame-src 'self'; frame-ancestors 'none'; base-uri 'none'"
)
FRAMED = (
    "sandbox allow-scripts; default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; "
    "img-src data:; frame-ancestors 'self'; base-uri 'none'; form-action 'none'"
)
"""For reports, which carry their own style and script (and name the script's hash themselves); they can reach nothing."""
_HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


class TooMuch(Exception):
    """More was sent than a request may hold."""


class Guard:
    """ASGI middleware that lets through what may come in."""

    def __init__(self, app: ASGIApp, token: str, hosts: tuple[str, ...]) -> None:
        """Take the desk's token and the hosts, with port, by which it is reached."""
        self._app, self._token, self._hosts = app, token, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope, headers)
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send, framed=False))
            return
        await self._app(scope, _limited(receive), _with_headers(send, framed=scope["path"].endswith("/page")))

    def _refusal(self, scope: Scope, headers: Headers) -> Response | None:
        """Return the answer to a request that may not come in, None for one that may."""
        if headers.get("host", "") not in self._hosts:
            return PlainTextResponse(word("no_address"), 421)
        origin = headers.get("origin")
        if origin is not None and origin not in {f"http://{host}" for host in self._hosts}:
            return PlainTextResponse(word("own_pages_only"), 403)
        if headers.get("sec-fetch-site", "none") not in ("none", "same-origin") and scope["method"] not in ("GET", "HEAD"):
            return PlainTextResponse(word("own_pages_only"), 403)
        query = parse_qsl(scope["query_string"].decode("latin-1"), keep_blank_values=True)
        given = dict(query).get("token")
        if given is not None and hmac.compare_digest(given.encode(), self._token.encode()):
            rest = urlencode([(name, value) for name, value in query if name != "token"])
            answer = RedirectResponse(scope["path"] + (f"?{rest}" if rest else ""), 303)
            answer.set_cookie(_cookie_of(headers["host"]), self._token, httponly=True, samesite="strict", path="/")
            return answer
        held = _cookies(headers).get(_cookie_of(headers["host"]), "")
        if not hmac.compare_digest(held.encode(), self._token.encode()):
            return PlainTextResponse(word("opened_elsewhere"), 403)
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > MOST_BYTES:
            return too_much()
        return None


def _cookie_of(host: str) -> str:
    return cookie_name(host.rpartition(":")[2])


def _cookies(headers: Headers) -> Mapping[str, str]:
    try:
        return {name: morsel.value for name, morsel in SimpleCookie(headers.get("cookie", "")).items()}
    except CookieError:
        return {}


def too_much() -> Response:
    """Return the answer to a request that holds too much."""
    answer = PlainTextResponse(word("too_much", megabytes=MOST_BYTES // 1024**2), 413)
    answer.headers["connection"] = "close"
    return answer


def _limited(receive: Receive) -> Receive:
    """Count what comes in and stop where it is too much, whatever the length said."""
    taken = 0

    async def limited() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            raise TooMuch
        return message

    return limited


def _with_headers(send: Send, *, framed: bool) -> Send:
    """Add the headers that every answer has."""
    headers = _HEADERS | {"content-security-policy": FRAMED if framed else POLICY}
    headers |= {} if framed else {"x-frame-options": "DENY"}

    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {name for name, _ in message["headers"]}
            added = [(name.encode(), value.encode()) for name, value in headers.items() if name.encode() not in own]
            message = {**message, "headers": [*message["headers"], *added]}
        await send(message)

    return sent
