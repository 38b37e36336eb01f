"""Where a photo was taken goes out of its file; pixels and all the rest stay."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from icc_profiles import P3, profile
from photo_files import FORMATS, XMP, exif_of, written
from swatchbath.errors import PhotoRefused
from swatchbath.photo import read_photo
from swatchbath.photo.file.gps import without_gps

CODES = np.random.default_rng(2).integers(0, 256, (32, 48, 3), dtype=np.uint8)
# The coordinates as EXIF holds them: 51, 30, 26.5 as fractions in either byte order, and the date.
TRACES = (b"2026:11:25\0", b"GPSL", b"51,30", b"0,7.65")


def file_of(tmp_path, form, **more):
    return written(tmp_path / f"p.{form[:3] if form == 'tif16' else form}", CODES, form, **more)


@pytest.mark.parametrize("form", FORMATS)
def test_coordinates_go_and_pixels_stay(tmp_path, form):
    icc = None if form == "dng" else profile(P3)
    xmp = None if form in ("dng", "tif16") else XMP
    path = file_of(tmp_path, form, orientation=6, gps=True, xmp=xmp, icc=icc)
    data = path.read_bytes()
    assert any(trace in data for trace in TRACES)
    clean = without_gps(data)
    assert not any(trace in clean for trace in TRACES)
    before = read_photo(path)
    path.write_bytes(clean)
    after = read_photo(path)
    assert (after.picture.whole() == before.picture.whole()).all()
    assert after.notes == before.notes
    assert after.camera == before.camera == "drawn camera"
    assert after.size == (32, 48)
    if form not in ("dng", "heic"):
        with Image.open(io.BytesIO(data)) as image:
            assert image.getexif().get_ifd(0x8825)
        with Image.open(io.BytesIO(clean)) as image:
            image.load()
            assert 0x8825 not in image.getexif()
            assert not image.getexif().get_ifd(0x8825)
    if xmp:
        assert b"stays" in clean


@pytest.mark.parametrize("form", FORMATS)
def test_a_photo_without_coordinates_stays_byte_for_byte(tmp_path, form):
    data = file_of(tmp_path, form, orientation=3).read_bytes()
    assert without_gps(data) == data
    placed = file_of(tmp_path, form, gps=True).read_bytes()
    once = without_gps(placed)
    assert once != placed
    assert without_gps(once) == once


def test_the_date_the_photo_was_taken_stays(tmp_path):
    clean = without_gps(file_of(tmp_path, "jpg", gps=True).read_bytes())
    with Image.open(io.BytesIO(clean)) as image:
        assert image.getexif()[0x9003] == "2026:11:25 10:00:00"


def test_big_endian_exif_is_cleaned_too(tmp_path):
    exif = exif_of(gps=True)
    exif.endian = ">"
    out = io.BytesIO()
    Image.fromarray(CODES).save(out, "JPEG", exif=exif)
    assert b"MM\0*" in out.getvalue()
    with Image.open(io.BytesIO(without_gps(out.getvalue()))) as image:
        assert 0x8825 not in image.getexif()
        assert image.getexif()[0x0110] == "camera"


def test_packed_words_in_a_png_are_left_out_and_its_check_sums_hold(tmp_path):
    data = file_of(tmp_path, "png", gps=True, xmp=XMP, zip=True).read_bytes()
    assert b"GPSL" not in data  # it is there, but packed
    clean = without_gps(data)
    at, kinds = 8, []
    while at < len(clean):
        (length,) = struct.unpack(">I", clean[at : at + 4])
        body, end = clean[at + 4 : at + 8 + length], at + 8 + length
        assert zlib.crc32(body) == struct.unpack(">I", clean[end : end + 4])[0]
        kinds.append(body[:4])
        at = end + 4
    assert b"iTXt" not in kinds
    assert b"eXIf" in kinds


def test_xmp_too_long_for_one_segment_is_cleaned_across_the_seam(tmp_path):
    data = file_of(tmp_path, "jpg").read_bytes()
    text = b"<rdf:RDF>" + b" " * 300 + b'exif:GPSLatitude="51,30.4417N" kept="yes"</rdf:RDF>'
    head, pieces = b"http://ns.adobe.com/xmp/extension/\0" + b"A" * 32, b""
    for start in range(0, len(text), 325):  # the seam lies inside the coordinates
        body = head + struct.pack(">II", len(text), start) + text[start : start + 325]
        pieces += b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body
    clean = without_gps(data[:2] + pieces + data[2:])
    assert b"51,30" not in clean
    assert b"4417" not in clean
    assert b'kept="yes"' in clean
    assert len(clean) == len(data) + len(pieces)


def test_the_film_behind_a_photo_loses_its_place(tmp_path):
    film = b"\0\0\0\x1e\xa9xyz\0\x12\x15\xc7+51.5074-000.1278/rest"
    clean = without_gps(file_of(tmp_path, "jpg").read_bytes() + film)
    assert clean.endswith(b"+00.0000-000.0000/rest")


def test_a_kind_that_cannot_be_cleaned_is_refused():
    with pytest.raises(PhotoRefused, match="BigTIFF.*Save it"):
        without_gps(b"II+\0\x08\0\0\0" + bytes(40))


def test_files_made_to_keep_it_busy_end_soon():
    with pytest.raises(PhotoRefused, match="too many pieces"):
        without_gps(b"\xff\xd8" + b"II*\0\x08\0\0\0" * 2000)
    # Neither of these may cost more than a pass over the file.
    for junk in (b"<rdf:RDF" * 50_000, b"<rdf:RDF>" + b"a" * 400_000 + b"</rdf:RDF>"):
        assert without_gps(b"\xff\xd8" + junk) == b"\xff\xd8" + junk


@pytest.mark.parametrize("form", FORMATS)
def test_a_damaged_file_is_cleaned_or_refused(tmp_path, form):
    rng = np.random.default_rng(5)
    whole = file_of(tmp_path, form, gps=True).read_bytes()
    for _ in range(200):
        data = bytearray(whole[: rng.integers(1, len(whole) + 1)])
        data[rng.integers(0, len(data))] = rng.integers(0, 256)
        try:
            clean = without_gps(bytes(data))
        except PhotoRefused:
            continue
        assert len(clean) <= len(data)
