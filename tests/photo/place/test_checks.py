"""Each gate fires on what it is for, with a sentence on what to do, and is quiet else."""

import numpy as np
import pytest

from swatchbath.photo.correction.card import UNNAMED_CARD_LAB
from swatchbath.photo.place.checks import check_card, check_swatch, sentences, worst
from swatchbath.photo.place.region import RegionReading
from swatchbath.photo.place.texture import read_texture


def reading(rgb=(0.18, 0.18, 0.18), **more):
    values = {"pixels": 900, "clipped": 0.0, "specks": 0.0, "spread": 0.01, "centre": (50.0, 40.0)}
    side = np.tile(np.arange(12.0), 12)
    texture = read_texture(np.tile(np.array(rgb, float), (144, 1)), side, np.sort(side))
    return RegionReading(rgb=np.array(rgb, float), texture=texture, **(values | more))


def card(rendered=True, **more):
    return check_card(reading(**more), rendered=rendered, card_lab=UNNAMED_CARD_LAB)


def named(checks, level):
    return {c.name for c in checks if c.level == level}


def test_a_good_card_and_swatch_are_quiet():
    assert worst(card()) == "fine"
    assert worst(check_swatch("A", reading((0.4, 0.3, 0.05)))) == "fine"


@pytest.mark.parametrize(
    ("more", "name"),
    [
        ({"clipped": 0.31}, "card clipped"),
        ({"rgb": (0.01, 0.01, 0.01)}, "card too dark"),
        ({"rgb": (0.7, 0.7, 0.7)}, "card too bright"),
        ({"rgb": (0.3, 0.18, 0.1)}, "card cast"),
        ({"spread": 0.2}, "card texture"),
    ],
)
def test_what_ruins_a_card_is_refused_with_a_remedy(more, name):
    checks = card(**more)
    assert name in named(checks, "refused")
    told = sentences(checks, "refused")
    assert "(50, 40)" in told
    assert "Photograph" in told or "Mark" in told


def test_a_middling_card_is_doubtful():
    assert named(card(rgb=(0.35, 0.35, 0.35)), "doubtful") == {"card too bright"}
    assert named(card(spread=0.05), "doubtful") == {"card texture"}


def test_a_linear_file_may_be_darker():
    assert worst(card(rendered=False, rgb=(0.03, 0.03, 0.03))) == "fine"
    assert worst(card(rgb=(0.03, 0.03, 0.03))) == "doubtful"
    assert worst(card(rgb=(0.015, 0.015, 0.015))) == "refused"


@pytest.mark.parametrize(
    ("more", "name"),
    [
        ({"clipped": 0.2}, "swatch clipped"),
        ({"rgb": (0.99, 0.5, 0.2)}, "swatch too bright"),
        ({"rgb": (0.0015, 0.0012, 0.001)}, "swatch too dark"),
        ({"specks": 0.5}, "swatch specks"),
    ],
)
def test_what_ruins_a_swatch_is_refused_by_name(more, name):
    checks = check_swatch("A", reading(**more))
    assert name in named(checks, "refused")
    assert "Swatch A" in sentences(checks, "refused")


def test_what_is_fine_is_told_without_fault_or_remedy():
    faults = ("too dark", "too bright", "wrong", "strongly coloured")
    for check in (*card(), *check_swatch("a", reading())):
        assert check.level == "fine" and not check.remedy
        assert not any(fault in check.sentence for fault in faults)


def test_a_chart_in_the_frame_allows_any_cast():
    lamp = {"rgb": (0.5, 0.18, 0.05)}
    assert "card cast" in named(card(**lamp), "refused")
    by_chart = check_card(reading(**lamp), rendered=True, card_lab=UNNAMED_CARD_LAB, by_chart=True)
    assert "card cast" in named(by_chart, "doubtful")


def test_an_evening_lamp_is_doubtful():
    """The strongest channel up to two and a half times the weakest."""
    assert named(card(rgb=(0.27, 0.18, 0.12)), "refused") == set()
    assert "card cast" in named(card(rgb=(0.27, 0.18, 0.12)), "doubtful")


def test_a_strong_colour_whose_weakest_channel_reads_zero_is_read_and_said_so():
    checks = check_swatch("A", reading((0.6, 0.4, 0.0), low=np.array([False, False, True])))
    assert worst(checks) == "doubtful"
    assert "its blue light it is only known that it is small" in sentences(checks, "doubtful")
    dark = check_swatch("A", reading((0.001, 0.001, 0.0), low=np.ones(3, dtype=bool)))
    assert "swatch too dark" in named(dark, "refused")


def test_a_dark_card_may_be_as_uneven_as_its_noise():
    assert "card texture" in named(card(spread=0.08), "refused")
    assert "card texture" not in named(card(spread=0.08, rgb=(0.07, 0.07, 0.07)), "refused")
