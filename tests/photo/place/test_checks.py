"""Each gate fires on what it is for, with a sentence on what to do, and is quiet else."""

import numpy as np
import pytest

from swatchbath.photo.correction.card import UNNAMED_CARD_LAB
from swatchbath.photo.place.checks import (
    check_card,
    check_known,
    check_swatch,
    check_uneven,
    sentences,
    worst,
)
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


def grey(level):
    """What a card of 18 % reads in so much light."""
    return {"rgb": (level, level, level)}


def cast(ratio):
    return {"rgb": (0.18 * ratio**0.5, 0.18, 0.18 * ratio**-0.5)}


# For each gate of a card or a swatch: what lies just on either side of fine and doubtful, and just
# on either side of doubtful and refused.
OF_A_CARD = {
    "card clipped": [{"clipped": c} for c in (0.019, 0.021, 0.099, 0.101)],
    "card too dark": [grey(v) for v in (0.081, 0.079, 0.021, 0.019)],
    "card too bright": [grey(v) for v in (0.299, 0.301, 0.449, 0.451)],
    "card cast": [cast(v) for v in (np.exp(0.29), np.exp(0.31), 2.49, 2.51)],
    "card texture": [{"spread": v} for v in (0.039, 0.041, 0.069, 0.071)],
}
OF_A_SWATCH = {
    "swatch clipped": [{"clipped": c} for c in (0.019, 0.021, 0.099, 0.101)],
    "swatch too bright": [{"rgb": (v, 0.3, 0.3)} for v in (0.899, 0.901, 0.979, 0.981)],
    "swatch too dark": [grey(v) for v in (0.0051, 0.0049, 0.0021, 0.0019)],
    "swatch specks": [{"specks": v} for v in (0.149, 0.151, 0.399, 0.401)],
}
LEVELS = ("fine", "doubtful", "doubtful", "refused")


@pytest.mark.parametrize("name", [*OF_A_CARD, *OF_A_SWATCH])
def test_each_gate_changes_where_it_is_said_to(name):
    for more, level in zip((OF_A_CARD | OF_A_SWATCH)[name], LEVELS, strict=True):
        checks = card(**more) if name in OF_A_CARD else check_swatch("A", reading(**more))
        (found,) = [c.level for c in checks if c.name == name]
        assert found == level, more


def test_a_linear_card_is_too_dark_where_it_is_said_to():
    for level, wanted in zip((0.021, 0.019, 0.0051, 0.0049), LEVELS, strict=True):
        checks = card(rendered=False, **grey(level))
        (found,) = [c.level for c in checks if c.name == "card too dark"]
        assert found == wanted, level


def test_few_pixels_weak_channels_and_uneven_dyeing_are_doubtful_and_never_refused():
    def of(name, **more):
        return next(c.level for c in check_swatch("A", reading(**more)) if c.name == name)

    assert (of("swatch pixels", pixels=256), of("swatch pixels", pixels=255)) == LEVELS[:2]
    weak = [of("swatch too strong", rgb=(0.4, 0.3, v)) for v in (0.0051, 0.0049)]
    assert tuple(weak) == LEVELS[:2]
    assert (check_uneven("A", 4.9).level, check_uneven("A", 5.1).level) == LEVELS[:2]
    assert check_uneven("A", 90.0).level == "doubtful"


def test_known_things_are_as_known_where_it_is_said_to():
    """By the middle one of them, so that one that was exchanged spoils nothing."""
    for off, level in zip((13.9, 14.1, 21.9, 22.1), LEVELS, strict=True):
        found = check_known("chart", np.array([0.0, off, 99.0]), "Mark it anew.")
        assert found.level == level, off
