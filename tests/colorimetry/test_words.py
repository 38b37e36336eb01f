"""Words for colours and differences."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.colorimetry import colour_words, delta_e2000, difference_words
from swatchbath.colorimetry.words import FAMILIES, families

labs = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


@pytest.mark.parametrize(
    ("lab", "word"),
    [
        ([75, 5, 70], "yellow"),
        ([40, 50, 25], "red"),
        ([40, 18, 30], "brown"),
        ([30, 5, -35], "blue"),
        ([45, -30, 25], "green"),
        ([50, 1, 1], "grey"),
        ([97, 0, 1], "white"),
    ],
)
def test_names_an_everyday_eye_would_use(lab, word):
    assert word in colour_words(lab)


@pytest.mark.parametrize(
    ("sample", "standard", "words"),
    [
        ([60, 10, 40], [50, 10, 40], "lighter"),
        ([45, 10, 40], [50, 10, 40], "darker"),
        ([50, 5, 20], [50, 10, 40], "duller"),
        ([50, 15, 60], [50, 10, 40], "brighter"),
        ([70, -5, 60], [70, 5, 60], "greener"),
        ([70, 15, 60], [70, 5, 60], "redder"),
        ([40, 45, 30], [40, 50, 10], "yellower"),
        ([30, 15, -35], [30, 0, -38], "redder"),
        ([50, 0, 6], [50, 0, 0], "yellower"),
        ([50, 10, 40], [50, 10, 40], "no difference"),
    ],
)
def test_the_first_word_is_the_largest_difference(sample, standard, words):
    assert words in difference_words(sample, standard).split(",")[0]


@given(labs, labs)
def test_there_are_always_words(a, b):
    assert colour_words(a)
    assert difference_words(a, b)


def test_the_family_of_a_colour_is_the_end_of_its_words():
    rng = np.random.default_rng(0)
    labs = rng.uniform([5, -40, -40], [98, 60, 80], (500, 3))
    found = families(labs)
    assert all(colour_words(lab).endswith(name) for lab, name in zip(labs, found, strict=True))
    assert set(found) <= set(FAMILIES) and len(set(found)) > 10


def test_a_colour_is_grey_under_chroma_four_and_hued_from_there():
    for hue in ([0.6, 0.8], [-0.8, 0.6], [0.0, -1.0]):
        under, over = ([50, *(c * k for k in hue)] for c in (3.9, 4.1))
        assert colour_words(under) == "grey"
        assert "grey" not in colour_words(over).split() and "greyish" in colour_words(over)


@pytest.mark.parametrize(
    ("size", "word"),
    [(0.4, "no difference"), (0.6, "a touch"), (1.4, "a touch"), (1.6, "a little"),
     (2.9, "a little"), (3.1, "clearly"), (5.9, "clearly"), (6.1, "much")],
)  # fmt: skip
def test_a_difference_is_sized_by_how_far_it_is_seen(size, word):
    """At L* 50 a step in lightness alone is as large in CIEDE2000, but for its own small part."""
    lighter = [50 + size * 1.0, 0, 0]
    while float(delta_e2000(lighter, [50, 0, 0])) < size:
        lighter[0] += 0.01
    assert word in difference_words(lighter, [50, 0, 0])
