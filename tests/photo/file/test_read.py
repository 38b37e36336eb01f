"""Files: orientation once, profile honoured, everything else refused in a sentence."""

import numpy as np
import pytest
from PIL import Image

from icc_profiles import P3, profile
from photo_files import FORMATS, TURNS, written
from swatchbath.colorimetry import srgb_decode
from swatchbath.errors import BadValue, PhotoRefused
from swatchbath.photo import read_photo

# Corner colours of a small upright picture, so that a turn shows.
UPRIGHT = np.zeros((40, 60, 3), np.uint8) + 120
UPRIGHT[:20, :30] = [200, 40, 40]
UPRIGHT[:20, 30:] = [40, 200, 40]
UPRIGHT[20:, :30] = [40, 40, 200]


def saved(path, array=UPRIGHT, *, orientation=None, mode=None, **more):
    image = Image.fromarray(np.ascontiguousarray(array))
    if mode:
        image = image.convert(mode)
    if orientation:
        exif = Image.Exif()
        exif[0x0112] = orientation
        exif[0x0110] = "drawn camera"
        more["exif"] = exif
    image.save(path, **more)
    return path


@pytest.mark.parametrize("orientation", TURNS)
@pytest.mark.parametrize("form", FORMATS)
def test_all_eight_orientations_come_out_upright(tmp_path, orientation, form):
    path = tmp_path / f"p.{form[:3] if form == 'tif16' else form}"
    photo = read_photo(written(path, TURNS[orientation](UPRIGHT), form, orientation=orientation))
    assert photo.size == (60, 40)
    assert photo.camera == "drawn camera"
    light = photo.light(photo.picture.whole())
    expected = UPRIGHT / 255 if form == "dng" else srgb_decode(UPRIGHT / 255)
    assert np.abs(light - expected).max(axis=2).mean() < 0.03
    # The overview is the same picture.
    shown = photo.light(photo.pixels)
    assert np.abs(shown - expected).max(axis=2).mean() < 0.03


def test_no_profile_is_said_and_a_profile_is_named(tmp_path):
    plain = read_photo(saved(tmp_path / "a.png"))
    assert plain.notes == ("assumed sRGB: the photo has no colour profile",)
    wide = read_photo(saved(tmp_path / "b.png", icc_profile=profile(P3)))
    assert wide.notes == ("profile 'made for a test'",)
    assert not np.allclose(wide.light(wide.pixels), plain.light(plain.pixels))


def test_linear_values_stay_as_they_are(tmp_path):
    photo = read_photo(saved(tmp_path / "a.png"), encoding="linear")
    assert photo.kind == "unprofiled"
    assert photo.light(photo.pixels) == pytest.approx(UPRIGHT / 255)
    with pytest.raises(BadValue, match="encoding"):
        read_photo(tmp_path / "a.png", encoding="log")


@pytest.mark.parametrize("mode", ["L", "CMYK", "1", "LA"])
def test_grey_and_print_pictures_are_refused(tmp_path, mode):
    path = saved(tmp_path / ("a.tif"), mode=mode)
    with pytest.raises(PhotoRefused, match="not a colour photo"):
        read_photo(path)


def test_what_is_no_photo_gets_a_sentence(tmp_path):
    (tmp_path / "empty.jpg").write_bytes(b"")
    (tmp_path / "text.jpg").write_text("not a photo")
    for name, says in [("none.jpg", "no photo"), ("empty.jpg", "empty"), ("text.jpg", "damaged")]:
        with pytest.raises(PhotoRefused, match=says):
            read_photo(tmp_path / name)


def test_a_photo_too_large_to_open_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("swatchbath.photo.file.formats.MOST_PIXELS", 1000)
    with pytest.raises(PhotoRefused, match="too large"):
        read_photo(saved(tmp_path / "a.png"))
