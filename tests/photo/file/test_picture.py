"""Windows cut out of a stored picture are what the upright whole would show."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageOps

from photo_files import TURNS, exif_of
from swatchbath.photo.file.picture import Picture

CODES = np.random.default_rng(0).integers(0, 256, (37, 53, 3), dtype=np.uint8)


@pytest.mark.parametrize("orientation", TURNS)
def test_the_whole_is_upright_as_pillow_turns_it(orientation):
    image = Image.fromarray(CODES)
    image.info["exif"] = exif_of(orientation).tobytes()
    upright = np.asarray(ImageOps.exif_transpose(image))
    for source in (Image.fromarray(CODES), CODES):
        picture = Picture(source, orientation)
        assert picture.size == upright.shape[1::-1]
        assert (picture.whole() == upright).all()


@given(
    st.sampled_from(sorted(TURNS)),
    st.tuples(st.integers(0, 36), st.integers(0, 36)),
    st.tuples(st.integers(1, 30), st.integers(1, 30)),
    st.integers(1, 7),
)
def test_a_window_is_a_slice_of_the_whole(orientation, corner, size, step):
    picture = Picture(Image.fromarray(CODES), orientation)
    whole = picture.whole()
    x0, y0 = corner
    x1, y1 = min(x0 + size[0], picture.size[0]), min(y0 + size[1], picture.size[1])
    assert (picture.window(x0, y0, x1, y1, step) == whole[y0:y1:step, x0:x1:step]).all()


@pytest.mark.parametrize("orientation", TURNS)
@pytest.mark.parametrize("step", [1, 3])
def test_bands_join_without_a_seam(orientation, step, monkeypatch):
    monkeypatch.setattr("swatchbath.photo.file.picture._BAND", 200)
    picture = Picture(Image.fromarray(CODES), orientation)
    upright = Picture(CODES, orientation)
    monkeypatch.setattr("swatchbath.photo.file.picture._BAND", 1 << 20)
    whole = upright.whole()
    monkeypatch.setattr("swatchbath.photo.file.picture._BAND", 200)
    assert (picture.window(2, 1, 35, 34, step) == whole[1:34:step, 2:35:step]).all()


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P", "YCbCr"])
def test_every_colour_mode_comes_out_as_rgb(mode):
    image = Image.fromarray(CODES).convert(mode)
    assert (Picture(image, 6).whole() == np.rot90(np.asarray(image.convert("RGB")), -1)).all()


def test_sixteen_bits_stay_sixteen_bits():
    deep = CODES.astype(np.uint16) * 257 - 3 * (CODES > 100)
    picture = Picture(deep.astype(np.uint16), 8)
    assert picture.deep
    assert (picture.whole() == np.rot90(deep)).all()
