"""A colour for a browser: lab() under D50, and sRGB where that is not known."""

import re

import pytest

from swatchbath.colorimetry.lab import WHITE_D50, WHITE_D65, bradford, lab_to_xyz, xyz_to_lab
from swatchbath.paper import patch_colours

# sRGB primaries in Lab D50, as CSS Color 4 has them: red is lab(54.29 80.80 69.89), blue
# lab(29.57 68.29 -112.03) (from memory, as browsers give them).
RED, BLUE = (54.29, 80.80, 69.89), (29.57, 68.29, -112.03)


@pytest.mark.parametrize("d50, plain", [(RED, "#ff0000"), (BLUE, "#0000ff")])
def test_the_primaries_of_srgb_are_where_css_has_them(d50, plain):
    d65 = xyz_to_lab(lab_to_xyz(d50, WHITE_D50) @ bradford(WHITE_D50, WHITE_D65).T)
    found = patch_colours(d65)
    assert [float(v) for v in re.findall(r"[-\d.]+", found.css)] == pytest.approx(d50, abs=0.02)
    near = [int(found.plain[i : i + 2], 16) - int(plain[i : i + 2], 16) for i in (1, 3, 5)]
    assert max(map(abs, near)) <= 1


def test_a_grey_stays_grey_and_has_no_minus_zero():
    assert patch_colours([50, 0, 0]).css == "lab(50 0 0)"


def test_what_a_screen_cannot_show_is_marked():
    assert patch_colours([60, 20, 100]).duller and not patch_colours([60, 5, 20]).duller
