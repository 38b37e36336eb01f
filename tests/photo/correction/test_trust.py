"""How much wider the doubt is where the card or the file says so."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from swatchbath.photo.correction.card import UNNAMED_CARD_LAB
from swatchbath.photo.correction.trust import wider


def photo(**given):
    usual = {"kind": "rendered", "size": (4000, 3000), "camera": "Ida's phone", "profiled": True}
    return SimpleNamespace(**(usual | given))


@pytest.mark.parametrize("card, more", [
    ((0.18, 0.18, 0.18), False),
    ((0.18, 0.18, 0.13), True),  # a cast
    ((0.05, 0.05, 0.05), True),  # dark
    ((0.43, 0.43, 0.43), True),  # bright
])  # fmt: skip
def test_odd_cards_widen_a_cameras_own_picture(card, more):
    assert (wider(photo(), np.array(card), UNNAMED_CARD_LAB) > 1) == more
    assert wider(photo(kind="linear"), np.array(card), UNNAMED_CARD_LAB) == 1


def test_a_small_picture_that_names_nothing_is_the_least_trusted():
    card = np.array([0.18, 0.18, 0.18])
    nothing = {"size": (640, 480), "camera": None, "profiled": False}
    least = wider(photo(**nothing), card, UNNAMED_CARD_LAB)
    assert least > wider(photo(), card * 0.3, UNNAMED_CARD_LAB)
    for one in ({"size": (4000, 3000)}, {"camera": "a phone"}, {"profiled": True}):
        assert wider(photo(**(nothing | one)), card, UNNAMED_CARD_LAB) == 1
