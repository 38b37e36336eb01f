"""Steps and condition columns tell the same story, both ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.step import Material, Step
from swatchbath.bath.steps import conditions_of, steps_of
from swatchbath.errors import BadValue

word = st.sampled_from(["alum", "chalk", "madder", "01", "ash lye"])
amount = st.floats(0.1, 300)
pH = st.floats(0, 14)


@st.composite
def rows(draw):
    """A row of conditions as the columns allow: amounts only of what is there."""
    row = {"fibre": draw(st.sampled_from(["wool", "silk", "cotton"]))}

    def maybe(name, strategy):
        if draw(st.booleans()):
            row[name] = draw(strategy)

    for role in ("tannin", "mordant", "assist"):
        maybe(role, st.one_of(word, st.just("none")))
        if row.get(role, "none") != "none":
            maybe(f"{role}_owf", amount)
    row["dyestuff"] = draw(word)
    for k in range(1, draw(st.integers(1, 4)) + 1):
        suffix = "" if k == 1 else f"_{k}"
        row[f"dyestuff{suffix}"] = draw(word)
        for name in ("dyestuff_form", "dyestuff_lot"):
            maybe(name + suffix, word)
        maybe(f"dye_owf{suffix}", amount)
        if k > 1:
            maybe(f"dye_{k}_how", st.sampled_from(["together", "over"]))
    for name in ("pH", "temperature_C", "minutes", "liquor_ratio", "bath_number"):
        maybe(name, st.floats(1, 14))
    for name in ("water", "vessel"):
        maybe(name, word)
    for k in range(1, draw(st.integers(0, 3)) + 1):
        suffix = "" if k == 1 else f"_{k}"
        row[f"modifier{suffix}"] = draw(st.one_of(word, st.just("none")))
        if row[f"modifier{suffix}"] != "none":
            maybe(f"modifier_owf{suffix}", amount)
            maybe(f"modifier_pH{suffix}", pH)
            maybe(f"modifier_minutes{suffix}", amount)
    maybe("wash_pH", pH)
    maybe("fibre_g", amount)
    maybe("pot_position", st.sampled_from(["top", "bottom"]))
    maybe("scour", st.sampled_from(["soap", "none"]))
    maybe("pH_read", st.sampled_from(["strip", "meter"]))
    maybe("stock_days", amount)
    if row.get("mordant", "none") != "none":
        maybe("mordant_C", amount)
        maybe("mordant_minutes", amount)
    if row.get("modifier", "none") != "none":
        maybe("modifier_lot", word)
        maybe("modifier_strip", word)
    return row


@st.composite
def rows_with_vats(draw):
    """Rows whose dyestuffs were dyed over one another, some of them in vats."""
    row = draw(rows())
    slots = ["", *(f"_{k}" for k in range(2, 10) if f"dyestuff_{k}" in row)]
    vats = []
    for slot in slots:
        if slot:
            row[f"dye{slot}_how"] = "over"
        if draw(st.booleans()):
            vats.append(slot)
            row.pop(f"dye_owf{slot}", None)
            row[f"vat{slot}"] = draw(st.sampled_from(["fructose", "iron"]))
            for name in ("vat_dips", "vat_dip_minutes", "vat_days", "vat_C", "vat_pH"):
                if draw(st.booleans()):
                    row[f"{name}{slot}"] = draw(st.floats(1, 14))
    if vats == slots:  # nothing was dyed in a bath, so there is nothing to tell of one
        for name in ("pH", "pH_read", "temperature_C", "minutes", "liquor_ratio", "bath_number",
                     "stock_days", "water", "vessel"):  # fmt: skip
            row.pop(name, None)
    return row


@given(rows())
def test_a_row_made_into_steps_comes_back_the_same(row):
    assert conditions_of(steps_of(row), row) == row


@given(rows_with_vats())
def test_vats_and_baths_over_one_another_come_back_the_same(row):
    assert conditions_of(steps_of(row), row) == row


def test_a_vat_has_no_amount():
    with pytest.raises(BadValue, match="dips"):
        Step("dye", (Material("dyestuff", "indigo", 10.0),), dips=3.0)
    with pytest.raises(BadValue, match="dye step"):
        Step("rinse", dips=3.0)


def test_a_manner_that_is_not_known_stays_so():
    row = {"dyestuff": "weld", "dyestuff_2": "madder"}
    assert conditions_of(steps_of(row), {}) == row


def test_dyestuffs_keep_their_places_when_one_joins_an_overdye():
    row = {"dyestuff": "weld", "dyestuff_2": "madder", "dye_2_how": "over"}
    row |= {"dyestuff_3": "cochineal", "dye_3_how": "together"}
    steps = steps_of(row)
    assert [[m.name for m in s.materials] for s in steps] == [["weld"], ["madder", "cochineal"]]
    assert conditions_of(steps, {}) == row


def test_a_manner_no_one_knows_is_refused():
    with pytest.raises(BadValue, match="dye_2_how.*together or over"):
        steps_of({"dyestuff": "weld", "dyestuff_2": "madder", "dye_2_how": "beside"})


@pytest.mark.parametrize(
    "make",
    [
        lambda: Material("mordant", None),
        lambda: Material("mordant", " "),
        lambda: Material("mordant", "alum", "much"),
        lambda: Material("mordant", "alum", float("inf")),
        lambda: Step("dye", pH="sour"),
        lambda: Step("dye", water=3),
        lambda: Step("dye", [{"role": "dyestuff"}]),
    ],
)
def test_what_is_no_number_or_word_is_refused(make):
    with pytest.raises(BadValue, match=r"\.$"):
        make()


def test_none_differs_from_unknown():
    assert conditions_of(steps_of({"dyestuff": "weld", "mordant": "none"}), {})["mordant"] == "none"
    assert "mordant" not in conditions_of(steps_of({"dyestuff": "weld", "mordant": ""}), {})


def test_the_last_after_bath_is_the_modifier():
    steps = [
        Step("dye", [Material("dyestuff", "weld", 80.0)], pH=6),
        Step("after-bath", [Material("modifier", "iron", 2.0)], minutes=10),
        Step("after-bath", [Material("modifier", "ash lye")], pH=9),
        Step("rinse", pH=7.5),
        Step("wash"),
    ]
    c = conditions_of(steps, {"fibre": "wool"})
    assert (c["modifier"], c["modifier_pH"]) == ("ash lye", 9)
    assert (c["modifier_2"], c["modifier_owf_2"]) == ("iron", 2.0)
    assert c["wash_pH"] == 7.5


def test_a_later_dye_step_goes_over_the_first():
    steps = [
        Step("dye", [Material("dyestuff", "weld", 80.0)], pH=6),
        Step("dye", [Material("dyestuff", "madder", 30.0)], pH=7),
    ]
    c = conditions_of(steps, {"fibre": "wool"})
    assert (c["dyestuff_2"], c["dye_2_how"], c["pH"]) == ("madder", "over", 6)


def test_an_unknown_kind_or_role_is_refused():
    with pytest.raises(BadValue, match="no step"):
        Step("boil")
    with pytest.raises(BadValue, match="no use"):
        Material("magic", "alum")
