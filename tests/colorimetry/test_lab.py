"""Conversions against colour-science and the standards' own numbers."""

import csv

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from folders import REFERENCE
from swatchbath.colorimetry import (
    WHITE_D50,
    WHITE_D65,
    bradford,
    lab_to_lch,
    lab_to_srgb,
    lab_to_xyz,
    linear_srgb_to_xyz,
    srgb_decode,
    srgb_encode,
    xyz_to_lab,
    xyz_to_linear_srgb,
)
from swatchbath.errors import ShapeError

RNG = np.random.default_rng(0)


def test_lab_agrees_with_colour_science():
    xyz = RNG.uniform(0, 1, (1000, 3))
    assert np.abs(xyz_to_lab(xyz) - colour.XYZ_to_Lab(xyz)).max() < 1e-9
    d50 = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"])
    ours = xyz_to_lab(xyz, d50)
    assert np.abs(ours - colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(d50))).max() < 1e-9


def test_srgb_agrees_with_colour_science():
    code = RNG.uniform(0, 1, (1000, 3))
    # The standard prints its matrix to four decimals; ours is computed, hence 3e-4.
    assert np.abs(linear_srgb_to_xyz(srgb_decode(code)) - colour.sRGB_to_XYZ(code)).max() < 3e-4
    derived = colour.RGB_COLOURSPACES["sRGB"].copy()
    derived.use_derived_transformation_matrices(True)
    theirs = srgb_decode(code) @ derived.matrix_RGB_to_XYZ.T
    assert np.abs(linear_srgb_to_xyz(srgb_decode(code)) - theirs).max() < 1e-9
    assert np.abs(srgb_encode(code) - colour.cctf_encoding(code, function="sRGB")).max() < 1e-7


def test_bradford_agrees_with_colour_science():
    xyz = RNG.uniform(0, 1, (200, 3))
    theirs = colour.chromatic_adaptation(
        xyz, WHITE_D50, WHITE_D65, method="Von Kries", transform="Bradford"
    )
    assert np.abs(xyz @ bradford(WHITE_D50, WHITE_D65).T - theirs).max() < 1e-9


def test_hue_and_chroma_agree_with_colour_science():
    lab = RNG.uniform([0, -80, -80], [100, 80, 80], (500, 3))
    assert np.abs(lab_to_lch(lab) - colour.Lab_to_LCHab(lab)).max() < 1e-9


def test_lightness_of_neutral_reflectances():
    # tests/reference/card_and_white_checks.csv, computed with colour-science 0.4.7.
    path = REFERENCE / "card_and_white_checks.csv"
    with open(path, encoding="utf-8") as file:
        rows = list(csv.reader(line for line in file if line.startswith("L* of neutral")))
    assert len(rows) >= 8
    for name, lightness, *_ in rows:
        share = float(name.removeprefix("L* of neutral with Y=")) / 100
        assert xyz_to_lab(share * WHITE_D65) == pytest.approx([float(lightness), 0, 0], abs=1e-4)


def test_equal_channels_are_neutral_exactly():
    grey = np.linspace(0, 1, 11)[:, None].repeat(3, 1)
    assert np.abs(xyz_to_lab(linear_srgb_to_xyz(grey))[:, 1:]).max() < 1e-10
    assert xyz_to_lab(linear_srgb_to_xyz([1, 1, 1])) == pytest.approx([100, 0, 0], abs=1e-10)


@given(st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120)))
def test_conversions_go_there_and_back(lab):
    assert xyz_to_lab(lab_to_xyz(lab)) == pytest.approx(lab, abs=1e-6)
    rgb = xyz_to_linear_srgb(lab_to_xyz(lab))
    assert srgb_decode(srgb_encode(rgb)) == pytest.approx(rgb, abs=1e-8)


def test_a_colour_beyond_the_screen_is_said_to_be_duller():
    shown, duller = lab_to_srgb([[50, 0, 0], [60, -90, 10]])
    assert shown.dtype == np.uint8
    assert duller.tolist() == [False, True]


def test_a_wrong_shape_is_refused():
    with pytest.raises(ShapeError, match="last axis"):
        xyz_to_lab([1, 2])
