"""Damaged files of every format: a plain refusal or a reading, soon and without much memory."""

import sys
import warnings

import numpy as np
import pytest
from PIL import ExifTags, Image

from icc_profiles import P3, profile
from photo_files import FORMATS, exif_of, written
from swatchbath.errors import BadValue, PhotoRefused
from swatchbath.photo import Region, read_photo
from swatchbath.photo.place.region import read_region

NOISE = np.random.default_rng(1).integers(0, 256, (32, 40, 3), dtype=np.uint8)


def whole_of(tmp_path, form):
    path = tmp_path / f"d.{form[:3] if form == 'tif16' else form}"
    icc = None if form == "dng" else profile(P3)
    return path, written(path, NOISE, form, orientation=6, icc=icc).read_bytes()


def outcome(path, data):
    """What came of it: "refused", or "read", and then a place in it can be read too."""
    path.write_bytes(data)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            photo = read_photo(path)
            reading = read_region(photo, Region(*(s / 2 for s in photo.size), 8), what="the card")
        except PhotoRefused as error:
            assert str(error).endswith((".", "'"))
            assert len(str(error)) < 400
            return "refused"
    assert np.isfinite(reading.rgb).all()
    return "read"


def flipped(whole, number, seed):
    rng = np.random.default_rng(seed)
    for _ in range(number):
        data = bytearray(whole)
        data[rng.integers(0, len(data))] = rng.integers(0, 256)
        yield bytes(data)


def check_truncations(path, whole, lengths):
    """Only what lies behind the pixels (EXIF at the end of a WebP, an end mark) may be missing."""
    read = [n for n in lengths if outcome(path, whole[:n]) == "read"]
    assert all(n > 0.9 * len(whole) for n in read), read
    if read:
        path.write_bytes(whole)
        expected = read_photo(path)
        path.write_bytes(whole[: min(read)])
        found = read_photo(path).picture.whole()
        # The orientation may be lost with EXIF; no pixel may be.
        assert sorted(found.ravel()) == sorted(expected.picture.whole().ravel())


@pytest.mark.parametrize("form", FORMATS)
def test_truncations_are_refused(tmp_path, form):
    path, whole = whole_of(tmp_path, form)
    lengths = {*range(1, 200, 3), *range(1, len(whole), max(1, len(whole) // 150))}
    check_truncations(path, whole, sorted(lengths | set(range(len(whole) - 40, len(whole)))))


@pytest.mark.parametrize("form", FORMATS)
def test_300_flipped_bytes_end_in_a_sentence_or_a_reading(tmp_path, form):
    path, whole = whole_of(tmp_path, form)
    outcomes = {outcome(path, data) for data in flipped(whole, 300, seed=1)}
    assert "refused" in outcomes


@pytest.mark.slow
@pytest.mark.parametrize("form", FORMATS)
def test_every_truncation_and_3000_flipped_bytes(tmp_path, form):
    if sys.platform == "linux":
        import resource

        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    path, whole = whole_of(tmp_path, form)
    check_truncations(path, whole, range(1, len(whole)))
    for data in flipped(whole, 3000, seed=2):
        outcome(path, data)
    if sys.platform == "linux":
        # In kB: a size in the head that was flipped up may fill memory up to the largest photo.
        assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 1_500_000


@pytest.mark.parametrize("form", FORMATS)
def test_a_fault_of_ours_is_not_called_damage(tmp_path, monkeypatch, form):
    def faulty(*_):
        raise fault

    path, _ = whole_of(tmp_path, form)
    for fault in (BadValue("A fault of ours."), AttributeError("no such name"), KeyError("name")):
        module = {"dng": "raw", "tif16": "tiff16"}.get(form, "heic" if form == "heic" else "read")
        monkeypatch.setattr(f"swatchbath.photo.file.{module}.Picture", faulty)
        with pytest.raises(type(fault)):
            read_photo(path)


def test_exif_without_interoperability_data_is_sound(tmp_path):
    exif = exif_of(1)
    exif.get_ifd(ExifTags.IFD.Exif)[0x9003] = "2026:11:25 10:00:00"
    Image.fromarray(NOISE).save(tmp_path / "a.jpg", exif=exif)
    assert read_photo(tmp_path / "a.jpg").notes == (
        "assumed sRGB: the photo has no colour profile",
    )
