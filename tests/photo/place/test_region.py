"""Marked places and the mean of what lies in them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.colorimetry import srgb_encode
from swatchbath.errors import BadValue, PhotoRefused
from swatchbath.photo import Region
from swatchbath.photo.file.icc import srgb_decoder
from swatchbath.photo.file.read import Photo
from swatchbath.photo.place.region import read_region


def photo_of(light):
    pixels = np.rint(np.clip(srgb_encode(light), 0, 1) * 255).astype(np.uint8)
    return Photo(pixels, srgb_decoder("test"), "t.png", "0" * 64, None, "rendered", ())


def read(light, region):
    return read_region(photo_of(light), region, what="swatch A")


def even(colour=(0.3, 0.2, 0.1), size=(100, 120)):
    return np.ones((*size, 3)) * colour


def test_the_mean_is_in_linear_light():
    # A chequerboard of dark and light reads as their mean in light, not in code values.
    light = even((0.02, 0.02, 0.02))
    light[::2, ::2] = light[1::2, 1::2] = 0.5
    assert read(light, Region(60, 50, 30)).rgb == pytest.approx([0.26] * 3, abs=0.01)


def test_strand_shadows_stay_in_and_specks_go_out():
    rng = np.random.default_rng(0)
    shade = rng.choice([0.3, 1.0, 1.2], size=(100, 120, 1), p=[0.3, 0.4, 0.3])
    clean = even() * shade
    inside = clean[20:81, 30:91].mean(axis=(0, 1))
    dirty = clean.copy()
    dirty[40:46, 50:56] = [0.02, 0.1, 0.6]
    reading = read(dirty, Region(60, 50, 30))
    assert reading.rgb == pytest.approx(inside, rel=0.02)
    assert reading.specks == pytest.approx(36 / 61**2, abs=0.004)


def test_clipped_sheen_is_left_out_and_counted():
    light = even()
    light[45:55, 55:65] = 1.0
    reading = read(light, Region(60, 50, 30))
    assert reading.clipped == pytest.approx(100 / 61**2, abs=1e-6)
    assert reading.rgb == pytest.approx([0.3, 0.2, 0.1], abs=0.003)


def test_shapes_cover_their_area():
    yy, xx = np.mgrid[0:200, 0:200].astype(float)
    assert Region(100, 100, 30).covers(xx, yy).sum() == 61**2
    ellipse = Region.ellipse(100, 100, 40, 20, angle=30).covers(xx, yy).sum()
    assert ellipse == pytest.approx(np.pi * 800, rel=0.02)
    triangle = Region.polygon([(10, 10), (110, 10), (10, 110)]).covers(xx, yy).sum()
    assert triangle == pytest.approx(5000, rel=0.03)


@given(st.floats(0, 359), st.floats(15, 40), st.floats(15, 40))
def test_an_ellipse_lies_within_its_bounds(angle, rx, ry):
    region = Region.ellipse(100, 100, rx, ry, angle=angle)
    yy, xx = np.mgrid[0:200, 0:200].astype(float)
    covered = region.covers(xx, yy)
    left, top, right, bottom = region.bounds()
    assert xx[covered].min() >= left - 1e-9
    assert xx[covered].max() <= right + 1e-9
    assert yy[covered].min() >= top - 1e-9
    assert yy[covered].max() <= bottom + 1e-9


def test_pixel_zero_is_a_centre_so_a_whole_picture_fits():
    assert read(even(size=(100, 100)), Region(49.5, 49.5, 50)).pixels == 10_000


@pytest.mark.parametrize("place", [(5, 50, 30), (60, 95, 30), (500, 500, 20), (-40, 50, 20)])
def test_a_place_outside_the_frame_is_refused(place):
    with pytest.raises(PhotoRefused, match="outside the photo"):
        read(even(), Region(*place))


def test_a_tiny_place_is_refused():
    with pytest.raises(PhotoRefused, match="larger"):
        read(even(), Region(60, 50, 3))


@pytest.mark.parametrize("place", [(np.nan, 1, 1), (1, 1, 0), (1, 1, -3)])
def test_a_place_that_is_no_place_is_refused(place):
    with pytest.raises(BadValue):
        Region(*place)
    with pytest.raises(BadValue, match="three points"):
        Region.polygon([(0, 0), (1, 1)])
