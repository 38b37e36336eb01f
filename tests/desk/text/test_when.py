"""Moments, days and counts as they are said."""

import pytest

from swatchbath.desk.text.wording import counted, day_words, when_words


@pytest.mark.parametrize(
    ("day", "said"), [("2026-11-28", "28 Nov 2026"), ("the wet Sunday", "the wet Sunday")]
)
def test_a_day(day, said):
    assert day_words(day) == said


def test_what_is_no_moment_stays_as_it_is():
    assert when_words("now") == "now"


def test_counts():
    assert [counted(n, "swatch", "swatches") for n in (0, 1, 2)] == [
        "0 swatches", "1 swatch", "2 swatches",
    ]  # fmt: skip
