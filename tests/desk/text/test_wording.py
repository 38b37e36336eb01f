"""Chances and shares as a dyer says them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.desk.text.wording import (
    chance_words,
    close_enough_words,
    expect_words,
    odds_words,
    share_words,
)


def test_what_to_expect_is_told_beside_what_was_asked():
    assert expect_words([45, 23, 17], [45, 25, 16]) == (
        "Expect red-brown, a touch yellower than asked."
    )
    assert expect_words([45, 25, 16], [45, 25, 16]) == "Expect red-brown, as asked."
    assert " and " in expect_words([50, 25, 30], [45, 25, 20])


def test_odds_agree_in_number():
    assert odds_words(0.2, 3, 9.1) == (
        "About 1 pot in 5 comes out close enough (within 3); 9 in 10 within 9."
    )
    assert close_enough_words(0.6, 2.5) == "About 6 pots in 10 come out close enough (within 2.5)."
    assert (
        close_enough_words(0.01, 2) == "Fewer than 1 pot in 20 comes out close enough (within 2)."
    )


@given(st.floats(0.05, 0.95), st.floats(0.05, 0.95))
def test_a_larger_chance_is_never_said_to_be_smaller(one, other):
    def said(chance):
        a, b = chance_words(chance).removeprefix("about ").split(" in ")
        return int(a) / int(b)

    assert (said(one) - said(other)) * (one - other) >= 0
    assert abs(said(one) - one) <= 0.051


@pytest.mark.parametrize("times", [0.25, 0.5, 0.67, 0.8, 1.33, 1.5, 2, 3, 5])
def test_a_share_of_the_dyestuff_says_which_way(times):
    words = share_words(times, "weld")
    less = any(w in words for w in ("less", "half the", "third of", "quarter of"))
    assert words.endswith("weld") and less == (times < 1)
    assert share_words(4 / 3, "weld") == "a third more weld"
