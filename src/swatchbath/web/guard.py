"""Who comes in: this machine's own browser, by the address that was opened for it, and no other.

Every refusal is a page with a sentence. What is checked, in order: the Host (against names that
another site gives this machine's address), the size, the key or the session's cookie, and for
whatever writes that the request comes from a page of ours. The form's own token is checked where
the form is read (`visit.post`).
"""

from __future__ import annotations

import re
import secrets
from typing import Any
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from .rendering import error_page, opening_page

# Exact names; a port may follow. 127.0.0.1 is where the server listens, and no other place.
_HOST = re.compile(r"(?:127\.0\.0\.1|localhost)(?::(\d{1,5}))?")
# What one request may send, in bytes: some tens of photos, or a few raw files. Our own choice.
MOST_SENT = 600_000_000
POLICY = (
    "default-src 'none'; script-src 'self'; img-src 'self' blob: data:; style-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
_HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    # Not no-referrer: with that, a browser sends forms of ours with the Origin "null".
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Frame-Options": "DENY",
}


class TooMuch(Exception):
    """A request sends more than is taken."""


class Guard:
    """The middleware before every page. door : has `opens(key)`; None: no key opens it."""

    def __init__(self, app: ASGIApp, *, secret: str, door: Any = None) -> None:
        self.app = app
        self.secret = secret
        self.door = door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        answer = self._refusal(scope, headers)
        if answer is not None:
            await answer(scope, receive, _with_headers(send))
            return
        try:
            await self.app(scope, _counted(receive), _with_headers(send))
        except TooMuch:
            await self._too_much()(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope, headers: Headers) -> Any:
        """A page that says why not, or the one that lets her in; None: go on."""
        hosts = headers.getlist("host")
        named = _HOST.fullmatch(hosts[0]) if len(hosts) == 1 else None
        if named is None:
            return error_page(
                400,
                "This page is for this machine alone, under the address that was opened for you.",
                bare=True,
            )
        sent = headers.get("content-length", "0")
        if not sent.isdecimal() or int(sent) > MOST_SENT:
            return self._too_much()
        if scope["path"].startswith("/static/"):
            return None
        # A cookie is for all ports of a machine: two libraries open at once have one each.
        cookie = f"swatchbath-{named[1] or 80}"
        if scope["method"] == "GET" and (key := _key(scope)) is not None:
            if self.door is not None and self.door.opens(key):
                return opening_page(scope["path"], cookie, self.secret)
        cookies = [
            part.strip().partition("=")
            for line in headers.getlist("cookie")
            for part in line.split(";")
        ]
        shown = [value for name, _, value in cookies if name == cookie]
        if not any(secrets.compare_digest(v.encode(), self.secret.encode()) for v in shown):
            return error_page(
                403,
                "This page opens from its icon, or by the command swatchbath page. Open it "
                "again there; nothing that was recorded is lost.",
                bare=True,
            )
        if scope["method"] not in ("GET", "HEAD") and not _from_here(headers, hosts[0]):
            return error_page(
                403, "This form was sent from another site, and nothing was done. Go back."
            )
        return None

    def _too_much(self) -> Any:
        return error_page(
            413,
            f"That is more than {MOST_SENT // 1_000_000} MB at once. Send fewer photos at a time.",
        )


def _key(scope: Scope) -> str | None:
    found = parse_qs(scope["query_string"].decode("latin-1")).get("key")
    return found[0] if found else None


def _from_here(headers: Headers, host: str) -> bool:
    """Whether a request that writes comes from a page of ours, as the browser tells."""
    origin, site = headers.get("origin"), headers.get("sec-fetch-site")
    if origin is not None and origin != f"http://{host}":
        return False
    return site in (None, "same-origin")


def _counted(receive: Receive) -> Receive:
    taken = 0

    async def counting() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_SENT:
            raise TooMuch
        return message

    return counting


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers[name] = value
            if "cache-control" not in headers:
                headers["Cache-Control"] = "no-store"
        await send(message)

    return sending
