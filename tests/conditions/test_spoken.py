"""Columns and changes in a dyer's words."""

import pytest

from swatchbath.conditions.columns import COLUMNS, column
from swatchbath.conditions.spoken import change_words, column_words, in_words, value_words

NUMBERED = [f"{c.name}_{k}" for c in COLUMNS for k in (2, 3, 9) if column(f"{c.name}_{k}")]
EVERY = [c.name for c in COLUMNS] + NUMBERED + ["dye_2_how", "dye_9_how"]


@pytest.mark.parametrize("name", EVERY)
def test_no_column_is_shown_by_its_own_name_with_an_underscore(name):
    words = column_words(name)
    assert "_" not in words and words == words.strip()
    assert not words.endswith(("_C", " C", "owf"))


def test_no_two_columns_are_called_alike():
    told = [column_words(name) for name in EVERY]
    assert sorted({w for w in told if told.count(w) > 1}) == []


@pytest.mark.parametrize(
    ("name", "before", "after", "said"),
    [
        ("pH", 5.5, 6.0, "pH of the dye bath: 6, was 5.5"),
        ("temperature_C", 90.0, 70.0, "temperature of the dye bath: 70 °C, was 90 °C"),
        ("modifier_2", None, "iron", "after-bath before the last: iron, was not known"),
        ("dye_owf_2", 80.0, None, "amount of the second dyestuff: not known, was 80 %"),
        ("liquor_ratio", 30.0, 40.0, "liquor: 1:40, was 1:30"),
        ("vat_days", 2.0, 1.0, "age of the vat: 1 day, was 2 days"),
        ("shelf_in_shed", "3", "4", "shelf_in_shed: 4, was 3"),
    ],
)
def test_a_change_is_a_sentence(name, before, after, said):
    assert change_words(name, before, after) == said


def test_what_is_not_there_is_not_known():
    assert value_words("pH", float("nan")) == value_words("water", "") == "not known"


@pytest.mark.parametrize(
    ("sentence", "said"),
    [
        ("Column temperature_C: 5 °C is unusual.", "Temperature of the dye bath: 5 °C is unusual."),
        ("Swatch A, column minutes: 6 lies far.", "Swatch A, time in the dye bath: 6 lies far."),
        ("Column pH: 13 is unusual.", "pH of the dye bath: 13 is unusual."),
        ("Is dye_owf right? Type dye_owf=8.", "Is amount of the dyestuff right? Type dye_owf=8."),
        ("Column my_own: that is kept.", "Column my_own: that is kept."),
        ("The photo pots_dye_owf.jpg, /a/dye_owf", "The photo pots_dye_owf.jpg, /a/dye_owf"),
    ],
)
def test_columns_in_a_sentence_are_told_in_words(sentence, said):
    assert in_words(sentence) == said
