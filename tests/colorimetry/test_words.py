"""Words for colours and differences."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.colorimetry import colour_words, difference_words
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
