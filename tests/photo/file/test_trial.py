"""A photo from outside is opened in another process first, which may break in place of this one."""

import struct
import zlib

import pytest

from folders import SAMPLE
from swatchbath.errors import PhotoRefused
from swatchbath.photo.file.trial import try_photo

PHOTO = SAMPLE / "photos" / "photo_01.jpg"


def bomb(path, side):
    """A PNG of a few kilobytes that unpacks to side x side pixels."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(
            ">I", zlib.crc32(kind + data)
        )  # fmt: skip

    rows = zlib.compressobj(9)
    data = b"".join(rows.compress(b"\0" * (3 * side + 1)) for _ in range(min(side, 200)))
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data + rows.flush())
        + chunk(b"IEND", b"")
    )  # fmt: skip
    return path


def test_a_photo_that_opens_is_fine():
    try_photo(PHOTO)


@pytest.mark.parametrize("side", [20_000, 200_000])
def test_a_decompression_bomb_is_refused_with_its_sentence(tmp_path, side):
    with pytest.raises(PhotoRefused, match="too large"):
        try_photo(bomb(tmp_path / "bomb.png", side))


def test_what_is_no_photo_is_refused_as_it_would_be_here(tmp_path):
    (tmp_path / "a.heic").write_bytes(b"no photo at all")
    (tmp_path / "b.jpg").write_bytes(PHOTO.read_bytes()[:20_000])
    for name in ("a.heic", "b.jpg"):
        with pytest.raises(PhotoRefused, match=name):
            try_photo(tmp_path / name)


def test_what_takes_too_long_or_breaks_the_other_process_is_refused():
    with pytest.raises(PhotoRefused, match="too long"):
        try_photo(PHOTO, seconds=0.01)
    with pytest.raises(PhotoRefused, match="breaks what reads"):
        try_photo(PHOTO, memory=60_000_000)
