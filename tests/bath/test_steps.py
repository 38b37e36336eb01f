"""Steps and condition columns tell the same story, both ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.steps import Material, Step, conditions_of, steps_of
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
    for name in ("dyestuff_form", "dyestuff_lot"):
        maybe(name, word)
    maybe("dye_owf", amount)
    if draw(st.booleans()):
        row["dyestuff_2"] = draw(word)
        row["dye_2_how"] = draw(st.sampled_from(["together", "over"]))
        maybe("dye_owf_2", amount)
    for name in ("pH", "temperature_C", "minutes", "liquor_ratio", "bath_number"):
        maybe(name, st.floats(1, 14))
    maybe("vessel", word)
    maybe("modifier", st.one_of(word, st.just("none")))
    if row.get("modifier", "none") != "none":
        maybe("modifier_owf", amount)
        maybe("modifier_pH", pH)
        maybe("modifier_minutes", amount)
        if draw(st.booleans()):
            row["modifier_2"] = draw(word)
            maybe("modifier_pH_2", pH)
    maybe("wash_pH", pH)
    maybe("fibre_g", amount)
    return row


@given(rows())
def test_a_row_made_into_steps_comes_back_the_same(row):
    assert conditions_of(steps_of(row), row) == row


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
