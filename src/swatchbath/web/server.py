"""The page served on this machine alone, and the browser opened for it."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from ..errors import BadValue, LibraryError, SwatchbathError

LOOPBACK = "127.0.0.1"
# Seconds for what is going on when the page is closed. Our own choice.
_GRACE = 5


@dataclass
class Door:
    """A key in a file that only she can read: whoever can, opens the page with it, once.

    The file also tells at which port the page of this library is served, so that a second click
    on the icon opens the page that is there already.
    """

    file: Path

    @classmethod
    def of(cls, folder: Path) -> Door:
        """The door of the library in a folder."""
        from platformdirs import user_state_path

        name = hashlib.sha256(os.fsencode(folder.resolve())).hexdigest()[:16]
        return cls(user_state_path("swatchbath", appauthor=False) / f"page-{name}.json")

    def new_key(self, port: int) -> str:
        """Put a new key under the door; returns it. Raises LibraryError where it cannot."""
        key = secrets.token_urlsafe(24)
        part = self.file.with_suffix(f".{os.getpid()}.part")
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True)
            part.unlink(missing_ok=True)
            with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as out:
                json.dump({"port": port, "key": key}, out)
            part.replace(self.file)
        except OSError as error:
            raise LibraryError(
                f"The page cannot keep its key in {self.file.parent}: {error.strerror}."
            ) from error
        return key

    def opens(self, key: str) -> bool:
        """Whether this is the key; it opens once."""
        kept = self._read()
        expected = kept.get("key")
        if not isinstance(expected, str) or not key:
            return False
        if not secrets.compare_digest(key.encode(), expected.encode()):
            return False
        self.file.unlink(missing_ok=True)
        self._write_port(kept)
        return True

    def port(self) -> int | None:
        """Where the page of this library was served last, or None."""
        port = self._read().get("port")
        return port if isinstance(port, int) and 0 < port < 65536 else None

    def _read(self) -> dict[str, object]:
        try:
            found = json.loads(self.file.read_text("utf-8"))
        except (OSError, ValueError):
            return {}
        return found if isinstance(found, dict) else {}

    def _write_port(self, kept: dict[str, object]) -> None:
        with open(os.open(self.file, os.O_WRONLY | os.O_CREAT, 0o600), "w") as out:
            json.dump({"port": kept.get("port")}, out)


def bound(port: int | None, *, before: int | None = None) -> socket.socket:
    """A socket on this machine alone. port : None, that of `before` or any that is free. before :
    where the page was the last time: there, a browser still has its pictures. Raises BadValue."""
    if port is None and before is not None:
        try:
            return bound(before)
        except BadValue:
            pass  # another program has it now
    sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":  # elsewhere it would let two programs share a port
            sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        sock.bind((LOOPBACK, port or 0))
    except (OSError, OverflowError) as error:
        sock.close()
        raise BadValue(
            f"Port {port} cannot be used: another program may have it. Leave --port out, and any "
            "that is free is taken."
        ) from error
    return sock


def there_already(door: Door) -> str | None:
    """The address of a page of this library that is served already, with a new key; or None."""
    port = door.port()
    if port is None or not _answers(port):
        return None
    return address(port, door.new_key(port))


def _answers(port: int) -> bool:
    """Whether a page of swatchbath is served at a port of this machine."""
    import http.client

    asked = http.client.HTTPConnection(LOOPBACK, port, timeout=2)
    try:
        asked.request("GET", "/static/hello.txt")
        answer = asked.getresponse()
        return answer.status == 200 and answer.read(64).strip() == b"swatchbath"
    except (OSError, http.client.HTTPException):
        return False
    finally:
        asked.close()


def address(port: int, key: str) -> str:
    """The address that opens the page."""
    return f"http://{LOOPBACK}:{port}/?key={key}"


def serve(
    folder: Path,
    sock: socket.socket,
    *,
    door: Door,
    watched: Path | None = None,
    ready: Callable[[], None] = lambda: None,
) -> None:
    """Serve the page of the library in a folder until it is stopped (Ctrl-C). watched : a folder
    into which photos come. ready : called once requests are answered."""
    import uvicorn

    from .app import make_app

    app = make_app(folder, secret=secrets.token_urlsafe(32), door=door, watched=watched)
    config = uvicorn.Config(
        app, log_config=None, access_log=False, server_header=False, date_header=False,
        proxy_headers=False, ws="none", lifespan="off", timeout_graceful_shutdown=_GRACE,
    )  # fmt: skip
    server = uvicorn.Server(config)

    def stop() -> None:
        server.should_exit = True

    app.state.shared.stop = stop
    threading.Thread(target=_warm, args=(folder,), daemon=True).start()
    sock.listen(256)
    ready()  # what arrives from now on waits in the socket until it is answered
    with suppress(KeyboardInterrupt):  # uvicorn has stopped by then, and hands it on
        server.run(sockets=[sock])


def _warm(folder: Path) -> None:
    """Load what the first page needs while the browser comes up."""
    from .. import desk

    try:
        with desk.open_library(folder, read_only=True) as library:
            desk.start(library)
    except SwatchbathError:
        pass  # there is none yet, or the first page says what is wrong with it
