"""Files: orientation once, profile honoured, everything else refused in a sentence."""

import warnings

import numpy as np
import pytest
from PIL import Image

from icc_profiles import P3, profile
from swatchbath.errors import BadValue, PhotoRefused
from swatchbath.photo import read_photo

# Corner colours of a small upright picture, so that a turn shows.
UPRIGHT = np.zeros((40, 60, 3), np.uint8) + 120
UPRIGHT[:20, :30] = [200, 40, 40]
UPRIGHT[:20, 30:] = [40, 200, 40]
UPRIGHT[20:, :30] = [40, 40, 200]
# How the sensor's picture must be turned to be upright (EXIF 2.3, tag 0x0112).
TURNS = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: np.rot90(a, 1),
    7: lambda a: a[::-1, ::-1].transpose(1, 0, 2),
    8: lambda a: np.rot90(a, -1),
}


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
@pytest.mark.parametrize("ending", ["jpg", "png", "webp", "tif"])
def test_all_eight_orientations_come_out_upright(tmp_path, orientation, ending):
    more = {"quality": 95} if ending in ("jpg", "webp") else {}
    path = saved(
        tmp_path / f"p.{ending}", TURNS[orientation](UPRIGHT), orientation=orientation, **more
    )
    photo = read_photo(path)
    assert photo.size == (60, 40)
    assert np.abs(photo.pixels.astype(int) - UPRIGHT).max(axis=2).mean() < 8
    assert photo.camera == "drawn camera"


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


@pytest.mark.parametrize("ending", ["jpg", "png", "webp", "tif", "avif"])
def test_no_truncation_and_no_flipped_byte_is_a_traceback(tmp_path, ending):
    rng = np.random.default_rng(1)
    noise = rng.integers(0, 256, (48, 64, 3), dtype=np.uint8)
    whole = saved(tmp_path / f"w.{ending}", noise).read_bytes()
    damaged = [whole[: int(len(whole) * share)] for share in np.linspace(0.01, 0.99, 25)]
    for _ in range(60):
        data = bytearray(whole)
        data[rng.integers(0, len(data))] = rng.integers(0, 256)
        damaged.append(bytes(data))
    path = tmp_path / f"d.{ending}"
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for data in damaged:
            path.write_bytes(data)
            try:
                assert read_photo(path).pixels.shape[2] == 3
            except PhotoRefused as error:
                assert "d." in str(error)


def test_a_photo_too_large_to_open_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("swatchbath.photo.read._MOST_PIXELS", 1000)
    with pytest.raises(PhotoRefused, match="too large"):
        read_photo(saved(tmp_path / "a.png"))
