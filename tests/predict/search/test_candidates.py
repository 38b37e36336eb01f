"""Which baths may be suggested: words and numbers that a limit may ask for, and what is made of a
limit on something that was never dyed."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swatchbath.errors import BadValue
from swatchbath.predict.search.candidates import Space
from swatchbath.predict.search.limits import parse_limits

ROUND = {"pH": 1.0, "modifier_pH": 1.0, "temperature_C": 5.0, "modifier_owf": 0.5, "dye_owf": 5.0}
FORM = {"weld": "dried", "madder": "ground root", "walnut hull": "fresh"}
LEAST = {"weld": 25.0, "madder": 50.0, "walnut hull": 130.0}


def table(n=60, **more):
    """An invented record: three dyestuffs, each of one form, lot and range of amounts; iron with
    amounts, lye and vinegar by their pH."""
    rng = np.random.default_rng(3)
    dye = rng.choice(list(FORM), n)
    after = rng.choice(["none", "iron", "ash lye", "vinegar"], n)
    typical = {"none": np.nan, "iron": 6.0, "ash lye": 9.0, "vinegar": 4.0}
    return pd.DataFrame(
        {
            "fibre": rng.choice(["wool", "cotton"], n),
            "fibre_form": "yarn",
            "dyestuff": dye,
            "dyestuff_form": [FORM[d] for d in dye],
            "dyestuff_lot": [f"{d[0].upper()}24" for d in dye],
            "dye_owf": [LEAST[d] * rng.uniform(1, 1.5) for d in dye],
            "mordant": rng.choice(["alum", "iron"], n),
            "mordant_owf": 4.0,
            "pH": rng.uniform(5, 8, n),
            "temperature_C": rng.uniform(50, 70, n),
            "minutes": 60.0,
            "water": "spring",
            "modifier": after,
            "modifier_owf": [
                rng.uniform(0.5, 2) if a == "iron" else 0.0 if a == "none" else np.nan
                for a in after
            ],
            "modifier_pH": [typical[a] for a in after],
        }
    ).assign(**more)


def baths(limits, record=None, rounding=ROUND):
    """Tries within limits; raises what a suggestion would."""
    space = Space(table() if record is None else record, parse_limits(limits), rounding)
    found = space.recorded() + space.draw(150, np.random.default_rng(0))
    if not found:
        raise space.why_none()
    return found


def refused(limits, words, record=None):
    """The limits are refused in one plain sentence or two that hold these words."""
    with pytest.raises(BadValue) as error:
        baths(limits, record)
    said = str(error.value)
    assert all(word in said for word in words), said
    assert said.endswith(".") and len(said) < 400


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("water", "bleach"), ("water", "copper sulphate"), ("water", "rat poison"),
        ("water", "oven cleaner"), ("water", "lye"), ("fibre_form", "chromed"),
        ("fibre_form", "weighted with salts"), ("vessel", "old battery"), ("vessel", "copper"),
        ("dyestuff_form", "bleach"), ("dyestuff_form", "nitro solution"),
        ("dyestuff_lot", "copper sulphate"), ("scour", "bleach"),
    ],
)  # fmt: skip
def test_no_word_column_lets_a_chemical_through(name, word):
    refused({name: word, "modifier": "vinegar"}, [word])


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("water", "tap water"), ("water", "Rain water"), ("water", "soft"), ("water", "spring"),
        ("water", "very hard"), ("vessel", "my big stainless steel pan"), ("vessel", "enamel pot"),
        ("fibre_form", "skein"), ("fibre_form", "cloth"), ("fibre_form", "unbleached knitted"),
        ("dyestuff_form", "powder"), ("dyestuff_form", "ground root"), ("dyestuff_lot", "W99"),
    ],
)  # fmt: skip
def test_what_people_write_may_be_asked_for(name, word):
    said = word if name != "water" else word.removesuffix(" water")
    assert {b[name].casefold() for b in baths({name: word})} == {said.casefold()}


def test_tap_water_stays_so_where_it_is_on_record():
    found = baths({"water": "Tap water"}, table(water="tap water"))
    assert {b["water"] for b in found} == {"tap water"}


def test_a_word_on_record_may_be_asked_for():
    mine = table(water="brunnen 3", vessel="grandmother's")
    limits = {"water": "Brunnen 3", "vessel": "grandmother's"}
    assert baths(limits, mine)
    refused({"water": "brunnen 4"}, ["brunnen 4", "rain"], mine)


def test_iron_that_is_used_up_is_not_given_again():
    refused({"mordant": "iron", "modifier": "iron", "fibre": "wool"}, ["iron over 4 %"])
    more = {"mordant_owf": 2.0}
    for bath in baths({"mordant": "iron", "modifier": "iron", "fibre": "wool"} | more):
        assert bath["modifier_owf"] > 0


@pytest.mark.parametrize(
    "limits",
    [
        {"fibre": "cotton", "modifier": "iron", "modifier_owf": 0},
        {"modifier": "vinegar", "modifier_owf": 0},
        {"mordant": "alum", "mordant_owf": 0},
        {"dyestuff": "weld", "dye_owf": 0},
        {"tannin": "gallnut", "tannin_owf": 0},
        {"assist": "chalk", "assist_owf": [0.0]},
    ],
)
def test_nothing_of_a_named_thing_cannot_be_asked_for(limits):
    refused(limits, ["0 %"])


def test_no_amount_alone_asks_for_no_after_bath():
    assert {b["modifier"] for b in baths({"modifier_owf": 0})} == {"none"}


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        ({"liquor_ratio": 1}, ["liquor_ratio", "5 to 150"]),
        ({"liquor_ratio": (0.001, 2)}, ["liquor_ratio"]),
        ({"temperature_C": 0}, ["temperature_C", "10 to 98"]),
        ({"mordant_owf": 100}, ["mordant_owf"]),
        ({"dyestuff": "none"}, ["none"]),
        ({"dye_owf_2": 20}, ["dyestuff_2"]),
        ({"dyestuff_form_2": "dried"}, ["dyestuff_2"]),
        ({"dyestuff": "madder", "dyestuff_2": "madder"}, ["madder"]),
        ({"stock_days": 5}, ["stock_days"]),
        ({"mordant_C": 80}, ["mordant_C"]),
        ({"mordant_minutes": 60}, ["mordant_minutes"]),
        ({"pot_position": "top"}, ["pot_position"]),
        ({"vat_dips": 3}, ["vat_dips"]),
        ({"vat": "fructose"}, ["vat"]),
        ({"modifier": "none", "modifier_owf": 4}, ["modifier", "modifier_owf"]),
        ({"modifier": "none", "modifier_pH": 4}, ["modifier_pH"]),
        ({"modifier": ["none", "copper"]}, ["copper"]),
        ({"mordant": ["none", "chrome"]}, ["chrome"]),
        ({"pH": (6.3, 6.4)}, ["pH", "6.3", "6.4"]),
        ({"temperature_C": (61, 63), "pH": 6}, ["temperature_C", "61", "63"]),
        ({"modifier_pH": 14}, ["modifier_pH"]),
        ({"modifier": "ash lye", "modifier_owf": 10}, ["ash lye", "4 %"]),
        ({"modifier": "vinegar", "modifier_pH": 9}, ["vinegar", "pH 7"]),
        ({"modifier": "ammonia", "modifier_pH": 5}, ["ammonia", "pH 7"]),
    ],
)  # fmt: skip
def test_a_limit_that_cannot_be_met_or_cannot_act_is_named(limits, words):
    refused(limits, words)


def test_a_recorded_column_that_says_nothing_of_the_colour_is_no_limit():
    refused({"mordant_C": 80}, ["mordant_C"], table(mordant_C=80.0, stock_days=2.0))
    refused({"stock_days": 2}, ["stock_days"], table(mordant_C=80.0, stock_days=2.0))


def test_no_vat_is_no_limit():
    assert baths({"vat": "none"})


def test_a_limit_beyond_what_is_usual_is_kept_to_it():
    assert all(5 <= b["liquor_ratio"] <= 6 for b in baths({"liquor_ratio": (0.5, 6)}))


@pytest.mark.parametrize("first", ["madder", "weld"])
def test_a_second_dyestuff_has_an_amount_of_its_own_and_differs(first):
    second = "walnut hull"
    found = baths({"dyestuff": first, "dyestuff_2": second})
    for bath in found:
        assert bath["dyestuff"] == first and bath["dyestuff_2"] == second
        assert 85 < bath["dye_owf_2"] < 290  # 130 to 195 were dyed, and a little beyond
        assert bath["dye_owf_2"] % 5 == 0 and 0 < bath["dye_owf"] < 110
    for bath in baths({"dyestuff_2": second, "dye_owf_2": 20}):
        assert bath["dyestuff"] != second and bath["dye_owf_2"] == 20


def test_a_second_dyestuff_that_was_never_weighed_needs_an_amount():
    record = table()
    record.loc[record["dyestuff"] == "weld", "dye_owf"] = np.nan
    refused({"dyestuff_2": "weld"}, ["weld", "dye_owf_2"], record)
    found = baths({"dyestuff_2": "weld", "dye_owf_2": 30}, record)
    assert {b["dye_owf_2"] for b in found} == {30}


def test_a_blank_may_be_asked_for_where_one_was_dyed():
    record = table()
    blank = record.index < 6
    record.loc[blank, ["dyestuff", "dye_owf"]] = ["none", 0.0]
    record.loc[blank, ["dyestuff_form", "dyestuff_lot"]] = None
    for bath in baths({"dyestuff": "none"}, record):
        assert not bath.get("dye_owf")
    refused({"dyestuff": "none", "dye_owf": 60}, ["dyestuff", "dye_owf"], record)


LOTS = [
    {"dyestuff": "weld", "dyestuff_lot": "W99"},
    {"dyestuff": "weld", "dyestuff_lot": "W99", "dye_owf": (20.0, 60.0), "pH": (5.0, 7.0)},
    {"dyestuff": ["weld", "madder"], "dyestuff_lot": "W99"},
    {"fibre": "linen", "fibre_form": "cloth", "mordant": "alum"},
    {"dyestuff": "weld", "dyestuff_2": "madder", "dyestuff_lot": "W99"},
]


def test_a_new_delivery_keeps_form_and_amounts_of_its_dyestuff():
    for bath in baths({"dyestuff_lot": "W99", "dyestuff": "weld"}):
        assert bath["dyestuff"] == "weld" and bath["dyestuff_lot"] == "W99"
        assert bath["dyestuff_form"] == "dried" and bath["dye_owf"] < 60
    for bath in baths({"dyestuff_lot": "N1"}):
        assert bath["dyestuff_form"] == FORM[bath["dyestuff"]]
        assert 0.65 * LEAST[bath["dyestuff"]] < bath["dye_owf"] < 2.25 * LEAST[bath["dyestuff"]]


@settings(max_examples=15)
@given(st.sampled_from(LOTS).flatmap(lambda d: st.permutations(list(d.items()))))
def test_the_order_of_limits_changes_nothing(items):
    assert baths(dict(items)) == baths(dict(sorted(items)))


@pytest.mark.parametrize("limits", [{"modifier_pH": 4}, {"modifier_pH": (3.0, 9.0)}])
def test_a_limit_on_an_after_bath_asks_for_one(limits):
    found = baths(limits)
    assert "none" not in {b["modifier"] for b in found}
    assert all("modifier_pH" in b for b in found)


def test_strong_lye_and_acid_baths_are_left_out():
    for bath in baths({"modifier_owf": (1.0, 10.0)}):
        assert bath["modifier_owf"] <= 4


def test_more_of_an_acid_than_common_is_kept_where_it_was_dyed():
    record = table()
    record.loc[record["modifier"] == "vinegar", "modifier_owf"] = 12.0
    assert baths({"modifier": "vinegar", "modifier_owf": 12}, record)
    refused({"modifier": "vinegar", "modifier_owf": 18}, ["vinegar"], record)


@pytest.mark.parametrize(
    ("word", "low", "high"),
    [("citric acid", 3, 4), ("Apple vinegar", 3, 5), ("ammonia", 8, 11), ("soda", 8, 11)],
)
@pytest.mark.parametrize("fibre", ["wool", "cotton"])
def test_an_after_bath_never_dyed_has_a_typical_pH(word, low, high, fibre):
    for bath in baths({"modifier": word, "fibre": fibre}):
        assert low <= bath["modifier_pH"] <= high
        assert bath.get("modifier_owf", 1) > 0
    timed = table().assign(modifier_minutes=lambda t: np.where(t["modifier"] == "none", np.nan, 10))
    assert {b["modifier_minutes"] for b in baths({"modifier": word, "fibre": fibre}, timed)} == {10}


@pytest.mark.parametrize(("value", "told"), [(7.3, 7.0), (19.6, 20.0), (22.4, 20.0), (63.0, 65.0)])
def test_little_dyestuff_is_rounded_finer(value, told):
    table = pd.DataFrame({"fibre": ["wool"] * 2, "dyestuff": "weld", "dye_owf": [5.0, 90.0]})
    space = Space(table, {}, {"dye_owf": 5.0})
    assert space.rounded("dye_owf", value) == told
