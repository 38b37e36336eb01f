"""A page that is served, and a browser that looks at it, on a desk or on a phone."""

import os
import shutil
import threading
from contextlib import contextmanager

import pytest

from page_made import SECRET
from swatchbath.web.app import make_app
from swatchbath.web.server import bound

ARGUMENTS = [
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
SIZES = {"desk": {"width": 1200, "height": 900}, "phone": {"width": 390, "height": 844}}


def _without(sentence):
    if os.environ.get("SWATCHBATH_REQUIRE") == "1":
        pytest.fail(sentence)
    pytest.skip(sentence)


@pytest.fixture(scope="session")
def chromium():
    """The system's own Chromium."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        _without("There is no Chromium here: install it to look at the page as a browser does.")
    sync = pytest.importorskip("playwright.sync_api")
    with sync.sync_playwright() as play:
        browser = play.chromium.launch(executable_path=found, args=ARGUMENTS)
        yield browser
        browser.close()


@contextmanager
def served(folder):
    """The page of a folder, at its address."""
    import uvicorn

    with bound(None) as sock:
        app = make_app(folder, secret=SECRET)
        config = uvicorn.Config(app, log_level="error", lifespan="off", ws="none")
        server = uvicorn.Server(config)
        sock.listen(64)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        try:
            yield sock.getsockname()[1]
        finally:
            server.should_exit = True
            thread.join(timeout=20)


@pytest.fixture
def look(chromium, tmp_path):
    """look("phone"): a page of an empty house in such a window, with what the console said."""
    with served(tmp_path / "house") as port:
        made = []

        def begin(kind, **more):
            context = chromium.new_context(
                viewport=SIZES[kind], has_touch=kind == "phone",
                base_url=f"http://127.0.0.1:{port}", **more,
            )  # fmt: skip
            context.add_cookies(
                [{"name": f"swatchbath-{port}", "value": SECRET, "url": f"http://127.0.0.1:{port}"}]
            )
            page = context.new_page()
            page.said = []
            page.on("console", lambda message: page.said.append(message.text))
            page.on("pageerror", lambda error: page.said.append(str(error)))
            page.folder = tmp_path / "house"
            made.append(context)
            return page

        yield begin
        for context in made:
            context.close()
