"""Profiles against Pillow's colour engine and against the standard's own numbers."""

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

from icc_profiles import P3, SRGB, profile
from swatchbath.colorimetry import delta_e2000, linear_srgb_to_xyz, srgb_decode, xyz_to_lab
from swatchbath.errors import PhotoRefused
from swatchbath.photo.profile import matrix_decoder

RNG = np.random.default_rng(0)
CODES = RNG.integers(0, 256, (2000, 3), dtype=np.uint8)


def lab_of(decoder, codes):
    return xyz_to_lab(linear_srgb_to_xyz(decoder(codes / 255)))


@pytest.mark.parametrize("trc", ["srgb", 2.2, "table"])
@pytest.mark.parametrize("primaries", [SRGB, P3], ids=["srgb", "p3"])
def test_agrees_with_the_colour_engine_within_its_8_bits(primaries, trc):
    data = profile(primaries, trc=trc)
    image = Image.fromarray(CODES[None], "RGB")
    theirs = np.asarray(
        ImageCms.profileToProfile(
            image,
            ImageCms.ImageCmsProfile(io.BytesIO(data)),
            ImageCms.createProfile("LAB"),
            outputMode="LAB",
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        )
    ).astype(float)[0]
    lab_d50 = np.stack(
        [theirs[:, 0] * 100 / 255, *(np.int8(theirs[:, i].astype(np.uint8)) for i in (1, 2))], -1
    )
    # Ours is D65; adapt it to the engine's D50 to compare.
    from swatchbath.colorimetry import WHITE_D50, WHITE_D65, bradford

    xyz = linear_srgb_to_xyz(matrix_decoder(data)(CODES / 255)) @ bradford(WHITE_D65, WHITE_D50).T
    difference = delta_e2000(xyz_to_lab(xyz, WHITE_D50), lab_d50)
    # The engine's own 8-bit Lab is off by 0.19 on average, 0.9 at worst (measured before).
    assert difference.mean() < 0.35
    assert np.percentile(difference, 99) < 1.2


@pytest.mark.parametrize("primaries", [SRGB, P3], ids=["srgb", "p3"])
def test_white_and_greys_are_exactly_neutral(primaries):
    grey = np.arange(0, 256, 15)[:, None].repeat(3, 1)
    lab = lab_of(matrix_decoder(profile(primaries)), grey)
    assert np.abs(lab[:, 1:]).max() < 1e-6
    assert lab[-1] == pytest.approx([100, 0, 0], abs=1e-6)


def test_an_srgb_profile_is_srgb():
    # Profile numbers are rounded to 1/65536.
    ours = matrix_decoder(profile(SRGB))(CODES / 255)
    assert np.abs(ours - srgb_decode(CODES / 255)).max() < 2e-4


def test_p3_red_lies_outside_srgb_and_is_not_clipped():
    red = matrix_decoder(profile(P3))(np.array([[1.0, 0, 0]]))
    assert red[0, 0] > 1.2
    assert red[0, 1] < 0


def test_pillows_own_srgb_profile_is_read():
    data = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    ours = matrix_decoder(data)(CODES / 255)
    assert np.abs(ours - srgb_decode(CODES / 255)).max() < 5e-4


def test_a_profile_for_print_is_refused_with_the_reason():
    with pytest.raises(PhotoRefused, match="for CMYK"):
        matrix_decoder(profile(SRGB, space=b"CMYK"))


def test_no_damaged_profile_gets_through_as_a_traceback():
    whole = profile(P3)
    for length in range(0, len(whole), 7):
        try:
            matrix_decoder(whole[:length])
        except PhotoRefused:
            pass
    rng = np.random.default_rng(3)
    for _ in range(500):
        data = bytearray(whole)
        data[rng.integers(0, len(data))] = rng.integers(0, 256)
        try:
            decoder = matrix_decoder(bytes(data))
        except PhotoRefused:
            continue
        if decoder is not None:
            decoder(CODES[:5] / 255)
