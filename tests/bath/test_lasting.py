"""What fades fast, and what her own window test says."""

import pytest

from swatchbath.bath.lasting import fades_fast, fading, found_lasting


@pytest.mark.parametrize(
    "dye",
    ["turmeric", "red cabbage", "beet", "beetroot", "saffron", "safflower", "blackberry",
     "Elderberries", "dried turmeric root", "blackcurrant"],
)  # fmt: skip
def test_fugitive(dye):
    assert fades_fast(dye)


@pytest.mark.parametrize(
    "dye", ["madder", "weld", "indigo", "cochineal", "walnut hull", "blackberry leaf", "none", None]
)
def test_lasting(dye):
    assert not fades_fast(dye)


@pytest.mark.parametrize(
    ("note", "lasts"),
    [("5", True), (4.0, True), ("3-4", False), ("2", False), ("grade 6", True), ("good", True),
     ("faded after two weeks", False), ("no change in a month", True), ("did not fade", True),
     ("poor", False), ("see the shelf", None), (None, None), (float("nan"), None)],
)  # fmt: skip
def test_what_a_note_of_the_window_says(note, lasts):
    assert found_lasting(note) is lasts


def test_her_own_test_overrules():
    bath = {"dyestuff": "weld", "dyestuff_2": "turmeric"}
    assert fading(bath, {}) == ["turmeric"]
    assert fading(bath, {"turmeric": True}) == []
    assert fading(bath, {"turmeric": True, "weld": False}) == ["weld"]
