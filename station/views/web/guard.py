"""What stands before every page: host, origin, size of the body, headers, and no trace of the inside.

The threats it answers are listed in the docs; each line there has its test.
"""

from __future__ import annotations

import ipaddress
import logging
import secrets
from collections.abc import Callable

from itsdangerous import Signer
from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from station.views.web import wording

#: Largest body of an ordinary form, bytes: 14 rows of cards and all settings stay far below.
BODY_LIMIT = 256 * 1024
#: Largest body where a folder of files is brought in: a year of a probe at one value in 30 s is about 40 MB.
IMPORT_LIMIT = 96 * 1024 * 1024
COOKIE = "station"

#: Scripts, styles, pictures and streams come from this server alone, nothing inline; nobody frames a page.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
    "cache-control": "no-store",
}

HostCheck = Callable[[str, Scope], bool]
_log = logging.getLogger(__name__)


def loopback_host(host: str, _scope: Scope) -> bool:
    """Tell whether a Host header names this machine to itself, so that no other name reaches the pages."""
    return _name(host) in ("127.0.0.1", "localhost", "[::1]")


def own_address(host: str, scope: Scope) -> bool:
    """Tell whether a Host header is the very address at which the request arrived."""
    server = scope.get("server")
    try:
        return server is not None and ipaddress.ip_address(_name(host).strip("[]")) == ipaddress.ip_address(
            server[0]
        )
    except ValueError:
        return False


def _name(host: str) -> str:
    name, colon, port = host.rpartition(":")
    return (name if colon and port.isdigit() else host).lower()


class Guard:
    """Refuses strange hosts, foreign origins and large bodies, and puts the headers on every answer."""

    def __init__(self, app: ASGIApp, host_ok: HostCheck, large: tuple[str, ...] = ()) -> None:
        self.app, self.host_ok, self.large = app, host_ok, large

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        limit = IMPORT_LIMIT if scope["path"] in self.large else BODY_LIMIT

        async def headed(message: Message) -> None:
            if message["type"] == "http.response.start":
                out = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    if name != "cache-control" or name not in out:
                        out[name] = value
            await send(message)

        refusal = self._refusal(scope, headers, limit)
        if refusal is not None:
            await refusal(scope, receive, headed)
            return
        await self.app(scope, _limited(receive, limit), headed)

    def _refusal(self, scope: Scope, headers: Headers, limit: int) -> PlainTextResponse | None:
        host = headers.get("host", "")
        if not self.host_ok(host, scope):
            return PlainTextResponse(wording.GUARD_HOST, 400)
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return PlainTextResponse(wording.GUARD_METHOD, 405)
        if scope["method"] == "POST":
            origin = headers.get("origin")
            if origin not in (None, f"http://{host}") or headers.get("sec-fetch-site", "same-origin") not in (
                "same-origin",
                "none",
            ):
                return PlainTextResponse(wording.GUARD_ORIGIN, 403)
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > limit:
            return PlainTextResponse(wording.GUARD_BODY, 413)
        return None


def _limited(receive: Receive, limit: int) -> Receive:
    """Return ``receive`` that stops a body which is longer than it said, or said nothing."""
    seen = 0

    async def counted() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > limit:
            raise HTTPException(413, wording.GUARD_BODY)
        return message

    return counted


class Tokens:
    """Says that a form came from a page of ours: a signed cookie and the same secret in the form.

    A page of another site can send a form to this machine, but reads neither cookie nor form.
    """

    def __init__(self, secret: str) -> None:
        self._signer = Signer(secret, salt="form")

    def of(self, request: Request) -> str:
        """Return the token of this browser: the one in its cookie, or a new one for this request."""
        cookie = request.cookies.get(COOKIE, "")
        if self._known(cookie):
            return cookie
        made: str = request.scope.setdefault("station.token", self._made())
        return made

    def check(self, request: Request, token: str) -> None:
        """Refuse a form that does not carry the token of its browser."""
        cookie = request.cookies.get(COOKIE, "")
        if not self._known(cookie) or not secrets.compare_digest(cookie.encode(), token.encode()):
            raise HTTPException(403, wording.GUARD_TOKEN)

    def put(self, request: Request, response: Response) -> None:
        """Set the cookie where the browser has none; it ends with the browser."""
        if "station.token" in request.scope:
            response.set_cookie(COOKIE, request.scope["station.token"], httponly=True, samesite="strict")

    def _made(self) -> str:
        return self._signer.sign(secrets.token_urlsafe(16)).decode()

    def _known(self, cookie: str) -> bool:
        return self._signer.validate(cookie)


async def plainly(request: Request, situation: Exception) -> PlainTextResponse:
    """Answer a situation nobody foresaw with one sentence; the details go to the log, never to the page."""
    _log.error("%s %s", request.method, request.url.path, exc_info=situation)
    return PlainTextResponse(wording.GUARD_TROUBLE, 500)
