"""What is sent as a photo and means harm: names that climb, bombs, and what is no photo."""

import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from web_marks import words

FORMS = ("/match", "/pile", "/add")


def a_photo(shade=120):
    data = io.BytesIO()
    Image.new("RGB", (400, 300), (shade, shade, shade)).save(data, "JPEG")
    return data.getvalue()


def a_bomb():
    """A PNG of some kilobytes that says it is 60,000 pixels square, of one bit each."""

    def chunk(kind, data):
        whole = kind + data
        return struct.pack(">I", len(data)) + whole + struct.pack(">I", zlib.crc32(whole))

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 1, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * 4_000_000)
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        chunk(k, d) for k, d in ((b"IHDR", head), (b"IDAT", rows), (b"IEND", b""))
    )


def below(folder):
    return {p.relative_to(folder) for p in Path(folder).rglob("*") if p.is_file()}


@pytest.mark.parametrize(
    "name",
    ["../../../evil.jpg", "/etc/evil.jpg", "C:\\evil.jpg", "..\\..\\evil.jpg", "evil.jpg\0.png",
     ".evil.jpg", "~/evil.jpg", "a" * 3000 + ".jpg", "<b>evil</b>.jpg", "evil.sqlite"],
)  # fmt: skip
@pytest.mark.parametrize("form", FORMS[::2])
def test_a_name_from_outside_is_never_a_path(browse, tmp_path, form, name):
    before = below(tmp_path)
    sent = browse.post(form, data={"token": browse.token()},
                       files={"photo": (name, a_photo(), "image/jpeg")})  # fmt: skip
    assert sent.status_code in (303, 422)
    new = below(tmp_path) - before
    assert all("evil" not in str(p) for p in new)
    assert all(p.parts[:2] == (browse.folder.name, "drafts") for p in new)
    shown = browse.get(sent.headers["location"]) if sent.status_code == 303 else sent
    assert "<b>evil" not in shown.text and words(shown)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(
    "data",
    [a_bomb(), b"", b"<script>alert(1)</script>", b"PK\x03\x04" + b"\0" * 500, a_photo()[:300],
     b"SQLite format 3\0" + b"\0" * 4000],
    ids=["bomb", "nothing", "script", "archive", "half", "library"],
)  # fmt: skip
def test_what_is_no_photo_is_a_sentence_and_leaves_nothing(browse, tmp_path, form, data):
    before = below(tmp_path)
    answer = browse.post(form, data={"token": browse.token()},
                         files={"photo": ("p.jpg", data, "image/jpeg")})  # fmt: skip
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text and "Traceback" not in words(answer)
    assert {p for p in below(tmp_path) - before if p.suffix != ".json"} == set()
