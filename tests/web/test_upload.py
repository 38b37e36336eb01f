"""The page for the phone: photos go one way, with the key, from one device, while it is open."""

import http.client
import json

import pytest

from swatchbath import desk
from swatchbath.web import upload as module
from swatchbath.web.pages import phone
from web_marks import PHOTO

HERE = "127.0.0.1"


@pytest.fixture
def going(tmp_path):
    """Such a page, open on this machine alone."""
    up = module.Upload(tmp_path / "drafts", HERE)
    up.begin()
    yield up
    up.end()


def ask(up, method, path, body=None, *, host=None, **headers):
    """Status and text of an answer."""
    asked = http.client.HTTPConnection(HERE, up.port, timeout=60)
    own = {"Host": host or f"{HERE}:{up.port}", "Origin": f"http://{HERE}:{up.port}",
           "X-Key": up.key, "X-Name": PHOTO.name} | headers  # fmt: skip
    asked.request(method, path, body, {n: v for n, v in own.items() if v is not None})
    answer = asked.getresponse()
    text = answer.read().decode("utf-8", "replace")
    asked.close()
    return answer.status, text


def test_a_photo_goes_to_the_drafts_and_waits(going):
    status, words = ask(
        going, "POST", "/photo", PHOTO.read_bytes(), **{"X-Name": "..%2F..%2Fa.jpg"}
    )
    assert (status, words) == (200, "taken")
    (one,) = desk.drafts(going.folder)
    assert one.called == "a.jpg" and one.path.parent == going.folder
    assert going.taken == 1


@pytest.mark.parametrize(
    ("more", "status"),
    [({"X-Key": "guess"}, 403), ({"X-Key": ""}, 403), ({"Origin": "http://evil.example"}, 403),
     ({"Origin": None}, 403), ({"host": "evil.example"}, 400), ({"host": "localhost"}, 400)],
    ids=str,
)  # fmt: skip
def test_who_has_no_right_sends_nothing(going, more, status):
    assert ask(going, "POST", "/photo", PHOTO.read_bytes(), **more)[0] == status
    assert desk.drafts(going.folder) == []


def test_nothing_can_be_read(going):
    ask(going, "POST", "/photo", PHOTO.read_bytes())
    (one,) = desk.drafts(going.folder)
    paths = ["/photo", f"/draft/{one.id}.jpg", "/box", "/static/page.css", "/upload.js/../../x",
             "/library.sqlite", "/photo?key=" + going.key]  # fmt: skip
    assert all(ask(going, "GET", path)[0] in (404, 405) for path in paths)
    seen = {path: ask(going, "GET", path) for path in ("/", "/upload.js", "/upload.css")}
    assert all(status == 200 and going.key not in text for status, text in seen.values())


def test_another_device_is_refused(going):
    going.device = "192.168.0.77"
    assert ask(going, "POST", "/photo", PHOTO.read_bytes())[0] == 403


def test_what_is_no_photo_is_said_and_leaves_nothing(going):
    status, words = ask(going, "POST", "/photo", b"<script>not a photo", **{"X-Name": "a.jpg"})
    assert status == 422 and "a.jpg" in words
    assert [p.name for p in going.folder.iterdir()] == []


def test_too_much_is_not_taken(going, monkeypatch):
    monkeypatch.setattr(module, "LARGEST", 1000)
    assert ask(going, "POST", "/photo", PHOTO.read_bytes())[0] == 413
    monkeypatch.setattr(module, "MOST", 0)
    assert ask(going, "POST", "/photo", b"x")[0] == 429


def test_after_its_time_it_takes_nothing(tmp_path):
    up = module.Upload(tmp_path / "drafts", HERE)
    up.begin()
    up.ends = 0.0
    assert ask(up, "POST", "/photo", PHOTO.read_bytes())[0] == 410
    up.end()
    with pytest.raises(OSError):
        for _ in range(50):
            ask(up, "GET", "/")


def test_it_opens_only_on_an_address_of_this_machine_and_by_a_form_of_ours(house, monkeypatch):
    monkeypatch.setattr(phone, "addresses", lambda: [HERE])
    assert "192.0.2.7" in house.fill("/phone/open", {"address": "192.0.2.7"}, ok=422).text
    assert house.post("/phone/open", data={"address": HERE}).status_code == 403
    house.fill("/phone/open", {"address": HERE})
    up = house.app.state.shared.upload
    text = house.look("/phone")
    assert up.key in text and "plain http" not in text
    assert up.is_open
    house.fill("/phone/close")
    assert not up.is_open
    assert up.key not in house.look("/phone")


def test_it_says_what_plain_http_means_before_it_is_opened(house, monkeypatch):
    monkeypatch.setattr(phone, "addresses", lambda: [HERE])
    assert "plain http" in house.look("/phone")
    assert house.app.state.shared.upload is None


def test_an_address_of_this_machine_is_a_private_one():
    for one in module.addresses():
        assert json.dumps(one) and not one.startswith("127.") and "." in one
