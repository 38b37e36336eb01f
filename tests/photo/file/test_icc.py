"""Profiles against Pillow's colour engine and against the standard's own numbers."""

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

from icc_profiles import P3, SRGB, curve, profile
from swatchbath.colorimetry import (
    WHITE_D50,
    WHITE_D65,
    bradford,
    delta_e2000,
    linear_srgb_to_xyz,
    srgb_decode,
    xyz_to_lab,
)
from swatchbath.errors import PhotoRefused
from swatchbath.photo import read_photo
from swatchbath.photo.file.icc import matrix_decoder, table_decoder
from table_profiles import table_profile

# xy of the primaries: ITU-R BT.2020, and a wide space of a camera's; white D65.
BT2020 = [(0.708, 0.292), (0.170, 0.797), (0.131, 0.046)]
WIDE = [(0.640, 0.330), (0.210, 0.710), (0.150, 0.060)]
RNG = np.random.default_rng(0)
CODES = RNG.integers(0, 256, (2000, 3), dtype=np.uint8)


def lab_of(decoder, codes):
    return xyz_to_lab(linear_srgb_to_xyz(decoder(codes / 255)))


@pytest.mark.parametrize("trc", ["srgb", 2.2, "table"])
@pytest.mark.parametrize("primaries", [SRGB, P3, BT2020, WIDE], ids=["srgb", "p3", "2020", "wide"])
def test_agrees_with_the_colour_engine_within_its_8_bits(primaries, trc):
    data = profile(primaries, trc=trc)
    image = Image.fromarray(CODES[None])
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
    xyz = linear_srgb_to_xyz(matrix_decoder(data)(CODES / 255)) @ bradford(WHITE_D65, WHITE_D50).T
    difference = delta_e2000(xyz_to_lab(xyz, WHITE_D50), lab_d50)
    # The engine's Lab ends at a*, b* of -128 and 127, which the widest space passes.
    difference = difference[np.abs(lab_d50[:, 1:]).max(axis=1) < 126]
    # The engine's own 8-bit Lab is off by 0.19 on average, 0.9 at worst (measured before).
    assert difference.mean() < 0.35
    assert np.percentile(difference, 99) < 1.2


@pytest.mark.parametrize("primaries", [SRGB, P3, BT2020, WIDE], ids=["srgb", "p3", "2020", "wide"])
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


def d50_lab_of(primaries):
    """Codes to Lab (D50) by a matrix profile, for a profile built on tables."""
    decoder = matrix_decoder(profile(primaries))

    def to_lab(codes):
        xyz = linear_srgb_to_xyz(decoder(codes)) @ bradford(WHITE_D65, WHITE_D50).T
        return xyz_to_lab(xyz, WHITE_D50)

    return to_lab


def test_a_profile_built_on_tables_reads_like_the_space_it_holds_and_does_not_clip():
    data = table_profile(d50_lab_of(P3))
    assert matrix_decoder(data) is None
    decoder = table_decoder(data)
    assert "less precise" in decoder.note
    by_matrix = matrix_decoder(profile(P3))
    codes = CODES[CODES.max(axis=1) > 40]  # a table of 17 steps is coarse in the darkest
    theirs = xyz_to_lab(linear_srgb_to_xyz(decoder.of_bytes(codes)))
    difference = delta_e2000(theirs, xyz_to_lab(linear_srgb_to_xyz(by_matrix(codes / 255))))
    # 8-bit Lab alone is off by 0.2 on average, 0.9 at worst.
    assert difference.mean() < 0.5
    assert np.percentile(difference, 99) < 2
    red = decoder.of_bytes(np.array([[255, 0, 0]], np.uint8))[0]
    assert red[0] > 1.15
    white = xyz_to_lab(linear_srgb_to_xyz(decoder.of_bytes(np.full((1, 3), 255, np.uint8))))
    assert white[0] == pytest.approx([100, 0, 0], abs=0.01)


def test_a_photo_with_such_a_profile_is_marked(tmp_path):
    image = Image.fromarray(CODES[:1600].reshape(40, 40, 3))
    image.save(tmp_path / "a.png", icc_profile=table_profile(d50_lab_of(SRGB)))
    photo = read_photo(tmp_path / "a.png")
    assert "less precise" in photo.notes[0]
    light = photo.light(photo.picture.window(0, 0, 40, 20))
    assert np.abs(light - srgb_decode(photo.pixels[:20] / 255)).mean() < 0.02
    with pytest.raises(PhotoRefused, match="built on tables"):
        read_photo(tmp_path / "a.png", encoding="linear")


def test_the_table_of_bytes_is_the_formula():
    for trc in ("srgb", 2.2, "table"):
        decoder = matrix_decoder(profile(P3, trc=trc))
        assert decoder.of_bytes(CODES) == pytest.approx(decoder(CODES / 255), abs=1e-12)


def test_a_curve_that_does_not_reach_white_is_damage():
    words = np.frombuffer(curve("table")[12:], ">u2")
    half = curve("table")[:12] + (words // 2).astype(">u2").tobytes()
    data = profile(SRGB, trc="table")
    assert matrix_decoder(data) is not None
    with pytest.raises(PhotoRefused, match="damaged"):
        matrix_decoder(data.replace(curve("table"), half))
