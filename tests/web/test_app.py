"""Who is let in and who is not; every refusal is a page, and every form carries its token."""

import re

import pytest

from page_made import BASE, SECRET, Browser, check_page
from swatchbath.web.app import all_routes


@pytest.mark.parametrize(
    "host",
    ["evil.example", "localhost.evil.example", "127.0.0.1.evil.example", "127.0.0.1:8123@evil",
     "", "localhost:8123:1", "0.0.0.0", "[::1]"],
)  # fmt: skip
def test_a_foreign_host_sees_nothing(looked, host):
    for path in ("/", "/static/page.css", "/box"):
        answer = looked.get(path, headers={"host": host})
        assert answer.status_code == 400
        check_page(answer)
        assert "33333" not in answer.text


def test_without_the_session_nothing_is_shown_and_nothing_is_done(house):
    stranger = Browser(house.folder, let_in=False)
    for answer in (
        stranger.get("/"),
        stranger.post("/undo", data={"token": house.token()}),
        stranger.get("/?key=guess"),
        stranger.get("/", headers={"cookie": "swatchbath-8123=guess"}),
        stranger.get("/", headers={"cookie": f"swatchbath-9999={SECRET}"}),
    ):
        assert answer.status_code == 403
        check_page(answer)
        assert "33333" not in answer.text and "set-cookie" not in answer.headers


@pytest.mark.parametrize("token", [None, "", "guess", SECRET])
def test_a_form_without_our_token_does_nothing(house, token):
    data = {} if token is None else {"token": token}
    answer = house.post("/undo", data=data)
    assert answer.status_code == 403
    check_page(answer)
    assert house.swatches() == 72


@pytest.mark.parametrize(
    "headers",
    [{"origin": "https://evil.example"}, {"origin": "null"}, {"origin": "http://127.0.0.1:9"},
     {"origin": "http://localhost:8123"}, {"sec-fetch-site": "cross-site"},
     {"sec-fetch-site": "same-site"}, {"origin": BASE, "sec-fetch-site": "cross-site"}],
    ids=str,
)  # fmt: skip
def test_a_form_from_another_site_does_nothing(house, headers):
    answer = house.post("/undo", data={"token": house.token()}, headers=headers)
    assert answer.status_code == 403
    check_page(answer)
    assert house.swatches() == 72


def test_a_form_from_our_own_page_is_taken(house):
    own = {"origin": BASE, "sec-fetch-site": "same-origin"}
    house.fill("/undo", headers=own)
    assert house.swatches() == 0


def test_every_address_that_writes_refuses_a_form_without_the_token(house):
    writing = [r.path for r in all_routes() if "POST" in (getattr(r, "methods", None) or ())]
    assert "/undo" in writing
    for path in writing:
        assert house.post(re.sub(r"\{.*?\}", "x", path)).status_code == 403, path


def test_a_key_opens_the_page_once(tmp_path):
    keys = {"right"}

    class Door:
        def opens(self, key):
            found = key in keys
            keys.discard(key)
            return found

    browser = Browser(tmp_path / "lib", let_in=False, door=Door())
    answer = browser.get("/?key=right")
    assert answer.status_code == 200 and "right" not in answer.text
    cookie = answer.headers["set-cookie"]
    assert SECRET in cookie and "HttpOnly" in cookie and "SameSite=strict" in cookie
    check_page(answer)
    browser.look("/")
    late = Browser(tmp_path / "lib", let_in=False, door=Door())
    assert late.get("/?key=right").status_code == 403


def test_a_key_never_leads_elsewhere(tmp_path):
    class Open:
        def opens(self, key):
            return True

    browser = Browser(tmp_path / "lib", let_in=False, door=Open())
    assert 'url=/evil.example"' in browser.get(f"{BASE}//evil.example?key=x").text


def test_too_much_at_once_is_refused_before_it_is_read(looked):
    for size in ("999999999999", "-1", "x"):
        answer = looked.post("/undo", headers={"content-length": size}, content=b"")
        assert answer.status_code == 413
        check_page(answer)


def test_what_is_sent_is_counted_where_no_size_is_told(looked, monkeypatch):
    monkeypatch.setattr("swatchbath.web.guard.MOST_SENT", 1000)
    form = {"content-type": "application/x-www-form-urlencoded"}
    answer = looked.post("/undo", content=(b"a=x&" * 500 for _ in range(2)), headers=form)
    assert answer.status_code == 413
    check_page(answer)


def test_no_page_is_a_page(looked):
    for path in ("/nothing", "/static/nothing.css", "/static/../app.py", "/%2e%2e/%2e%2e/etc"):
        answer = looked.get(path)
        assert answer.status_code == 404
        check_page(answer)
    assert looked.get("/undo").status_code == 405


def test_a_fault_of_ours_is_a_page_and_tells_nothing(looked, monkeypatch):
    def broken(*args, **more):
        raise ZeroDivisionError("where the secret mordant lies")

    monkeypatch.setattr("swatchbath.desk.start", broken)
    answer = looked.get("/")
    assert answer.status_code == 500 and "secret mordant" not in answer.text
    check_page(answer)


def test_nothing_is_kept_by_the_browser_but_pictures(looked):
    assert looked.get("/").headers["cache-control"] == "no-store"
