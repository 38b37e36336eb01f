"""The curve through the greys of a frame: through each of them, and never turning back."""

import numpy as np
import pytest

from swatchbath.photo.correction.anchors import Anchors
from swatchbath.photo.correction.neutral_curve import neutral_curve

CARD = np.array([50.0, 0.0, 0.0])


def curve(read, true, chroma=0.0):
    """Greys read at some lightnesses that are truly at others."""
    grey = [[v, chroma, 0.0] for v in read], [[v, chroma, 0.0] for v in true]
    return neutral_curve(Anchors(*map(np.array, grey)), CARD)


def lightness(bent, values):
    return bent(np.array([[v, 0.0, 0.0] for v in values]))[:, 0]


def test_each_grey_and_the_card_come_out_as_they_are():
    bent = curve([15, 80, 92], [20, 75, 95])
    assert lightness(bent, [15, 50, 80, 92]) == pytest.approx([20, 50, 75, 95], abs=0.01)


@pytest.mark.parametrize(
    ("read", "true"),
    [
        ([15, 80, 92], [20, 75, 95]),
        ([20, 88, 89], [10, 70, 96]),  # steep at the light end
        ([20, 60, 96], [20, 88, 89]),  # flat there
        ([30, 29, 90], [18, 30, 92]),  # two that read in the wrong order
        ([49, 80, 92], [10, 80, 92]),  # steep at the dark end
    ],
)
def test_what_is_lighter_never_comes_out_darker_also_beyond_the_greys(read, true):
    found = lightness(curve(read, true), np.linspace(3, 99, 200))
    assert np.isfinite(found).all() and (np.diff(found) > 0).all()
    # Beyond the ends light goes with a power from 0.4 to 1.6 of what was read.
    light = ((np.array([97.0, 99.0]) + 16) / 116) ** 3
    there = ((lightness(curve(read, true), [97, 99]) + 16) / 116) ** 3
    power = np.diff(np.log(there)) / np.diff(np.log(light))
    assert 0.39 <= power[0] <= 1.61


def test_two_greys_make_no_curve_and_colours_are_no_greys():
    assert curve([15, 92], [20, 95]) is None
    assert curve([15, 80, 92], [20, 75, 95], chroma=4.9) is not None
    assert curve([15, 80, 92], [20, 75, 95], chroma=5.1) is None
