"""The page asked as a browser asks it."""

import re

from starlette.testclient import TestClient

from swatchbath import desk
from swatchbath.web.app import make_app

SECRET = "the-secret-of-this-test"
BASE = "http://127.0.0.1:8123"


class Browser(TestClient):
    """A browser with the session's cookie, that stops at redirects and fills in tokens."""

    __test__ = False

    def __init__(self, folder, *, let_in=True, **more):
        super().__init__(make_app(folder, secret=SECRET, **more), base_url=BASE,
                         follow_redirects=False, raise_server_exceptions=True)  # fmt: skip
        self.folder = folder
        if let_in:
            self.cookies.set("swatchbath-8123", SECRET, domain="127.0.0.1")

    def token(self):
        """What a form of ours carries."""
        return self.app.state.shared.token

    def fill(self, path, fields=None, *, ok=303, **more):
        """Send a form of ours, with its token; `ok` is the status that is expected,
        None any."""
        answer = self.post(path, data={"token": self.token(), **(fields or {})}, **more)
        assert ok in (None, answer.status_code), answer.text
        return answer

    def swatches(self):
        """How many swatches are on record."""
        with desk.open_library(self.folder) as library:
            return len(library)

    def look(self, path, *, ok=200):
        """A page as text, checked for what every page must be."""
        answer = self.get(path)
        assert answer.status_code == ok, answer.text
        check_page(answer)
        return answer.text


def check_page(answer):
    """Every page: whole, in our frame, without anything the policy forbids."""
    text = answer.text
    assert text.lstrip().startswith("<!doctype html>") and text.rstrip().endswith("</html>")
    assert not re.search(r"\sstyle=|\son[a-z]+=|<style|javascript:", text)
    assert not re.search(r"<script(?![^>]*\ssrc=\"/static/)", text)
    assert "Traceback" not in text and "Undefined" not in text
    assert "default-src 'none'" in answer.headers["content-security-policy"]
