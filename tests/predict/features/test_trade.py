"""What is common practice, told from a bath, and when an answer is said to rest on it."""

import numpy as np
import pandas as pd
import pytest

from swatchbath.predict.features.derived import factors_of
from swatchbath.predict.features.encoder import Encoder
from swatchbath.predict.features.trade import EFFECTS, effects_of

NAMES = [e.name for e in EFFECTS]
USUAL = {
    "fibre": "wool", "dyestuff": "madder", "dye_owf": 50.0, "mordant": "alum", "mordant_owf": 15.0,
    "temperature_C": 60.0, "minutes": 60.0, "pH": 7.0, "modifier": "none", "bath_number": 1.0,
}  # fmt: skip


def phi(**other):
    numbers, words = factors_of(pd.DataFrame([USUAL | other]), ())
    forms = words.get("dyestuff_form", [None])
    return dict(zip(NAMES, effects_of(numbers, words, forms)[0], strict=True))


def test_depth_levels_off_with_amount():
    steps = np.diff([phi(dye_owf=a)["amount"] for a in (25.0, 50.0, 100.0, 200.0)])
    assert (steps > 0).all()
    assert (np.diff(steps) < 0).all()


def test_a_long_cold_soak_is_as_good_as_heat_and_a_short_one_is_not():
    hot = phi(temperature_C=80.0, minutes=60.0)["soak"]
    assert phi(temperature_C=20.0, minutes=60.0)["soak"] < hot - 0.7
    assert phi(temperature_C=20.0, minutes=2880.0)["soak"] > hot - 0.15


@pytest.mark.parametrize(
    ("bath", "acts", "not_acts"),
    [
        ({"temperature_C": 85.0}, {"hot madder"}, {"bath", "iron"}),
        ({"temperature_C": 85.0, "dyestuff": "weld"}, set(), {"hot madder"}),
        ({"bath_number": 2.0}, {"bath"}, {"iron"}),
        ({"modifier": "iron", "modifier_owf": 2.0}, {"iron", "iron on red"}, {"iron on yellow"}),
        (
            {"modifier": "iron", "modifier_owf": 2.0, "dyestuff": "weld"},
            {"iron", "iron on yellow"},
            {"iron on red"},
        ),
        (
            {"modifier": "ash lye", "dyestuff": "weld"},
            {"alkali on yellow"},
            {"alkali on red", "acid on red"},
        ),
        ({"modifier": "ash lye", "dyestuff": "cochineal"}, {"alkali on red"}, {"acid on red"}),
        ({"modifier": "vinegar", "dyestuff": "cochineal"}, {"acid on red"}, {"alkali on red"}),
        ({"modifier": "vinegar"}, set(), {"acid on red", "alkali on red"}),
        ({"fibre": "linen"}, {"bare cellulose"}, set()),
        ({"fibre": "linen", "tannin": "gallnut"}, set(), {"bare cellulose"}),
        ({"fibre": "cotton", "mordant": "aluminium acetate"}, set(), {"bare cellulose"}),
        ({"fibre": "linen", "dyestuff": "walnut hull"}, set(), {"bare cellulose"}),
    ],
)
def test_which_effects_act_on_which_bath(bath, acts, not_acts):
    found = phi(**bath)
    assert all(found[name] > 0 for name in acts)
    assert all(found[name] == 0 for name in not_acts)


def test_what_is_not_told_has_no_effect():
    encoder = Encoder.learn(pd.DataFrame([USUAL, USUAL | {"dye_owf": 25.0}]))
    bare = encoder.encode(pd.DataFrame([{"fibre": "wool", "dyestuff": "madder"}]))
    assert np.isfinite(bare.trade).all()
    assert np.allclose(bare.trade, 0.0)


def test_an_answer_says_what_it_rests_on_only_where_the_record_is_silent():
    table = pd.DataFrame([USUAL | {"dye_owf": a} for a in (20.0, 40.0, 80.0)])
    ironed = pd.DataFrame([USUAL | {"modifier": "iron", "modifier_owf": 2.0}])
    for known, expected in ((table, True), (pd.concat([table, ironed]), False)):
        encoder = Encoder.learn(known.reset_index(drop=True))
        off = encoder.encode(ironed).trade
        said = encoder.trade.said(off, factors_of(ironed, ())[1])[0]
        assert (said != []) is expected
        assert all(s.endswith("by common practice, not by your swatches") for s in said)


def test_bare_linen_has_its_word_until_linen_itself_was_dyed_so():
    cotton, linen = (pd.DataFrame([USUAL | {"fibre": f}]) for f in ("cotton", "linen"))
    for known, silent in ((cotton, True), (linen, False)):
        table = pd.concat([pd.DataFrame([USUAL]), known], ignore_index=True)
        encoder = Encoder.learn(table)
        said = encoder.trade.said(encoder.encode(linen).trade, factors_of(linen, ())[1])[0]
        assert any("hold little without tannin" in s for s in said) is silent
