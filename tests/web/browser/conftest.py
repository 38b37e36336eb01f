"""A real Chromium on the page of a library, on a desk and on a phone; skipped without one."""

import os
import shutil
import socket
import threading

import pytest
import uvicorn

from page_made import SECRET
from swatchbath.web.app import make_app

DESK = {"viewport": {"width": 1200, "height": 900}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
_QUIET = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


def _chromium():
    names = ("chromium", "chromium-browser", "google-chrome")
    return next((found for name in names if (found := shutil.which(name))), None)


@pytest.fixture(scope="session")
def chromium():
    """A browser without a window."""
    sentence = "There is no Chromium here: install it (Debian: apt install chromium) to run this."
    program = _chromium()
    if program is None:
        if os.environ.get("SWATCHBATH_REQUIRE") == "1":
            pytest.fail(sentence)
        pytest.skip(sentence)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(_QUIET))
        yield browser
        browser.close()


class Open:
    """The page of a library, served; `window(...)` is a browser's window on it."""

    def __init__(self, folder, chromium):
        self.folder, self.chromium, self.troubles = folder, chromium, []
        self.app = make_app(folder, secret=SECRET)
        sock = socket.socket()
        sock.bind(("127.0.0.1", 0))
        sock.listen(128)
        self.port = sock.getsockname()[1]
        config = uvicorn.Config(self.app, log_config=None, lifespan="off", ws="none")
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, args=([sock],), daemon=True)
        self.thread.start()
        self.contexts = []

    def window(self, *, script=True, **how):
        """A window that is let in. how : as DESK or PHONE, color_scheme and the like."""
        context = self.chromium.new_context(
            base_url=f"http://127.0.0.1:{self.port}", java_script_enabled=script, **how
        )
        cookie = {"name": f"swatchbath-{self.port}", "value": SECRET, "sameSite": "Strict"}
        context.add_cookies([cookie | {"url": f"http://127.0.0.1:{self.port}"}])
        self.contexts.append(context)
        window = context.new_page()
        window.on("pageerror", lambda error: self.troubles.append(str(error)))
        window.on("console", self._heard)
        return window

    def _heard(self, message):
        # What the policy refuses is told there, and a script that fails.
        if message.type == "error" and "status of 4" not in message.text:
            self.troubles.append(message.text)

    def close(self):
        for context in self.contexts:
            context.close()
        self.server.should_exit = True
        self.thread.join(30)
        assert not self.troubles


@pytest.fixture
def served(house, chromium):
    """A copy of the sample house in a browser."""
    found = Open(house.folder, chromium)
    yield found
    found.close()


@pytest.fixture
def served_empty(tmp_path, chromium):
    """No library yet, in a browser."""
    found = Open(tmp_path / "none", chromium)
    yield found
    found.close()


@pytest.fixture(params=["desk", "phone"])
def screen(request):
    """How a window is opened: on a desk, and on a phone by touch."""
    return {"desk": DESK, "phone": PHONE}[request.param]


@pytest.fixture
def look(served_empty):
    """look("phone"): a window on no library yet, with what went wrong in it (`said`) and where the
    library will be (`folder`)."""

    def begin(kind, *, java_script_enabled=True, **more):
        how = {"desk": DESK, "phone": PHONE}[kind] | more
        window = served_empty.window(script=java_script_enabled, **how)
        window.said, window.folder = served_empty.troubles, served_empty.folder
        return window

    return begin
