"""Photos sent by a phone over her own network: for ten minutes, one way, and nothing else.

An app of its own on one address of this machine, with three files to send by and one place to send
to. Nothing of the library can be read here, whoever asks. The key stands in the part of the
address after #, which no browser sends and no log keeps; the page's script sends it as a header,
and it goes with the first device that uses it. What it sends is plain http: anybody on that
network could read or change it on its way, which is said before it is opened.
"""

from __future__ import annotations

import secrets
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from ipaddress import ip_address
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Route

from .. import desk
from ..errors import BadValue, SwatchbathError

# How long it is open, s; bytes of a photo, and photos in that time. Our own choice.
OPEN_S, LARGEST, MOST = 600.0, 100_000_000, 200
_HERE = Path(__file__).parent / "static"
_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "connect-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}


def addresses() -> list[str]:
    """The addresses of this machine on private networks. Nothing is sent to find them."""
    found = set()
    try:
        for *_, where in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET):
            found.add(str(where[0]))
    except OSError:
        pass  # a machine whose own name is not known; the route below may tell
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            # To connect such a socket sends nothing. An address kept for examples (RFC 5737).
            probe.connect(("192.0.2.1", 9))
            found.add(str(probe.getsockname()[0]))
    except OSError:
        pass  # no network at all
    own = [ip_address(one) for one in found]
    return sorted(str(a) for a in own if a.is_private and not (a.is_loopback or a.is_link_local))


@dataclass
class Upload:
    """The page for the phone while it is open. folder : where photos go. port : of the address it
    listens on; key : what lets a device send; device : the one that used it first."""

    folder: Path
    address: str
    seconds: float = OPEN_S
    key: str = field(default_factory=lambda: secrets.token_urlsafe(16))
    port: int = 0
    device: str = ""
    taken: int = 0
    refused: list[str] = field(default_factory=list)
    ends: float = 0.0
    _stop: Callable[[], None] = lambda: None

    @property
    def is_open(self) -> bool:
        """Whether photos are taken still."""
        return self.port != 0 and time.monotonic() < self.ends

    @property
    def where(self) -> str:
        """The address to open on the phone, with the key."""
        return f"http://{self.address}:{self.port}/#{self.key}"

    def begin(self) -> None:
        """Serve it until its time is over. Raises BadValue where the address cannot be used."""
        import uvicorn

        sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            sock.bind((self.address, 0))
        except OSError as error:
            sock.close()
            raise BadValue(
                f"{self.address} is no address of this computer just now. Look whether it is on "
                "the network, and try again."
            ) from error
        self.port, self.ends = sock.getsockname()[1], time.monotonic() + self.seconds
        config = uvicorn.Config(
            self.app(), log_level="error", access_log=False, server_header=False,
            date_header=False, proxy_headers=False, ws="none", lifespan="off",
            limit_concurrency=20,
        )  # fmt: skip
        server = uvicorn.Server(config)
        sock.listen(20)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        timer = threading.Timer(self.seconds, self.end)
        timer.daemon = True
        timer.start()

        def stop() -> None:
            timer.cancel()
            server.should_exit = True  # it closes the socket
            thread.join(timeout=5)

        self._stop = stop

    def end(self) -> None:
        """No more photos."""
        self.ends = 0.0
        self._stop()

    def app(self) -> Starlette:
        """What is served: three files, and the place to send to."""
        files = {"/": "upload.html", "/upload.js": "upload.js", "/upload.css": "upload.css"}

        def shown(name: str) -> Callable[[Request], Response]:
            def show(request: Request) -> Response:
                return self._refusal(request) or FileResponse(_HERE / name, headers=_HEADERS)

            return show

        routes = [Route(path, shown(name), methods=["GET"]) for path, name in files.items()]
        routes.append(Route("/photo", self._photo, methods=["POST"]))
        return Starlette(routes=routes)

    def _refusal(self, request: Request) -> Response | None:
        if request.headers.getlist("host") != [f"{self.address}:{self.port}"]:
            return _said(400, "This page is open under the address on the computer's screen.")
        if not self.is_open:
            return _said(410, "The ten minutes are over. Open it again on the computer.")
        return None

    async def _photo(self, request: Request) -> Response:
        refused = self._refusal(request)
        if refused is not None:
            return refused
        if request.headers.get("origin") != f"http://{self.address}:{self.port}":
            return _said(403, "This photo was sent from another site.")
        key = request.headers.get("x-key", "")
        if not secrets.compare_digest(key.encode(), self.key.encode()):
            return _said(403, "Photograph the code on the computer's screen again.")
        device = request.client.host if request.client else ""
        if self.device not in ("", device):
            return _said(403, "Another phone sends already. Open it again on the computer.")
        self.device = device
        if self.taken >= MOST:
            return _said(429, f"{MOST} photos are enough at once. Open it again on the computer.")
        data = bytearray()
        try:
            async for part in request.stream():
                data += part
                if len(data) > LARGEST:
                    return _said(413, f"It is larger than {LARGEST // 1_000_000} MB.")
        except ClientDisconnect:
            return _said(400, "It did not arrive whole.")
        name = unquote(request.headers.get("x-name", ""))[:200] or "photo.jpg"
        try:
            await run_in_threadpool(desk.new_draft, self.folder, name, bytes(data))
        except SwatchbathError as error:
            self.refused.append(str(error))
            return _said(422, str(error))
        self.taken += 1
        return _said(200, "taken")


def _said(status: int, words: str) -> Response:
    return PlainTextResponse(words, status, headers=_HEADERS)


def qr_path(text: str) -> dict[str, Any]:
    """A code to photograph, as the path of an SVG of `side` units."""
    from ..paper.qr import modules_of

    dark = modules_of(text)
    rows, columns = dark.nonzero()
    path = "".join(f"M{x + 4} {y + 4}h1v1h-1z" for y, x in zip(rows, columns, strict=True))
    return {"path": path, "side": len(dark) + 8}
