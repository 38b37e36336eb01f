"""A new delivery: shrunk towards no correction, never worse on average, its spread learnt."""

import importlib.util
import sys

import numpy as np
import pandas as pd
import pytest

from folders import STUDIES
from swatchbath.colorimetry import delta_e2000
from swatchbath.errors import BadValue, NotFound
from swatchbath.predict import ShadeModel
from swatchbath.predict.regression.depth import depth_to_lab, lab_to_depth

COV = 0.3 * np.eye(3)


def true(table, shift=0.0):
    """An invented dyestuff: deeper with its amount, greener with iron; shift of strength."""
    amount = np.log(table["dye_owf"].to_numpy(float) / 20)
    iron = np.nan_to_num(table["modifier_owf"].to_numpy(float))
    lab = np.stack([80 - 8 * amount - 5 * iron, 2 - 2 * iron, 30 + 9 * amount - 4 * iron], 1)
    return depth_to_lab(lab_to_depth(lab) + shift * np.array([1.0, 0, 0]))


def record(n=36, seed=0, lots=("A",), shifts=(0.0,)):
    rng = np.random.default_rng(seed)
    after = rng.choice(["none", "iron"], n, p=[0.6, 0.4])
    which = rng.integers(len(lots), size=n)
    table = pd.DataFrame(
        {
            "fibre": "wool", "dyestuff": "weld", "dyestuff_lot": np.array(lots)[which],
            "dye_owf": np.exp(rng.uniform(np.log(20), np.log(150), n)).round(),
            "mordant": "alum", "mordant_owf": 12.0, "pH": rng.uniform(5, 8, n).round(1),
            "modifier": after, "modifier_owf": np.where(after == "iron", 1.5, 0.0),
        }
    )  # fmt: skip
    lab = true(table, np.array(shifts)[which][:, None])
    return table, lab + rng.normal(0, 0.5, lab.shape)


def fitted(**how):
    table, lab = record(**how)
    return ShadeModel().fit(table, lab, covariances=np.repeat(COV[None], len(lab), 0))


@pytest.fixture(scope="module")
def model():
    return fitted()


def checked(model, k, shift, seed=0):
    recipes = pd.DataFrame(model.check_recipes("weld", k))
    rng = np.random.default_rng(seed)
    read = true(recipes, shift) + rng.normal(0, 0.5, (k, 3))
    return model.new_lot("B", recipes, read, covariances=np.repeat(COV[None], k, 0))


def test_check_recipes_are_on_record_and_run_from_deep_to_pale(model):
    table, _ = record()
    recipes = model.check_recipes("weld", 3)
    amounts = [r["dye_owf"] for r in recipes]
    assert amounts == sorted(amounts, reverse=True) and amounts[0] > 1.5 * amounts[-1]
    for r in recipes:
        assert "dyestuff_lot" not in r and r["modifier"] == "none"
        assert ((table["dye_owf"] == r["dye_owf"]) & (table["pH"] == r["pH"])).any()


@pytest.mark.parametrize("shift", [-0.2, 0.2])
def test_the_shift_is_found_and_drawn_to_none(model, shift):
    lots = [checked(model, 3, shift, seed) for seed in range(8)]
    mean = np.mean([lot.shift for lot in lots], axis=0)
    assert 0.3 * abs(shift) < mean[0] * np.sign(shift) < abs(shift) + 0.03
    assert np.abs(mean[1:]).max() < 0.05
    assert (np.mean([lot.stronger for lot in lots]) > 1) == (shift > 0)


def test_readings_that_cannot_tell_correct_nothing(model):
    recipes = pd.DataFrame(model.check_recipes("weld", 2))
    read, wide = true(recipes, 0.3), np.repeat(400 * np.eye(3)[None], 2, 0)
    lot = model.new_lot("B", recipes, read, covariances=wide)
    assert np.abs(lot.shift).max() < 0.05
    assert np.allclose(lot.covariance, lot.spread.covariance, rtol=0.3, atol=1e-3)
    assert not lot.telling and "next to nothing" in lot.words and "deeper" not in lot.words


def test_only_the_new_delivery_is_corrected_and_its_doubt_is_wider(model):
    lot = checked(model, 2, 0.2)
    bath = {"fibre": "wool", "dyestuff": "weld", "dye_owf": 60, "mordant": "alum",
            "mordant_owf": 12, "pH": 6.5, "modifier": "none"}  # fmt: skip
    old, same = (
        model.predict(bath | {"dyestuff_lot": "A"}),
        ShadeModel.of(lot.fit).predict(bath | {"dyestuff_lot": "A"}),
    )
    assert np.array_equal(old.lab, same.lab)
    assert np.array_equal(old.pot_covariance, same.pot_covariance)
    new = ShadeModel.of(lot.fit).predict(bath | {"dyestuff_lot": "B"})
    assert new.lab[0, 0] < old.lab[0, 0] - 0.5
    assert not new.outside[0]
    assert np.trace(new.pot_covariance[0]) > np.trace(old.pot_covariance[0])


def test_the_more_checks_the_less_doubt_and_the_gain_is_told(model):
    lots = [checked(model, k, 0.15) for k in (1, 3, 5)]
    wide = [np.trace(lot.covariance) for lot in lots]
    assert wide == sorted(wide, reverse=True)
    assert lots[0].before > lots[0].after > lots[1].after > lots[2].after
    assert f"{lots[1].after:.1f} instead of {lots[1].before:.1f}" in lots[1].words
    assert "made-up" in lots[0].words


def test_it_is_no_worse_than_no_correction_on_average(model):
    """Deliveries drawn as the made-up spread says (mostly of strength)."""
    rng = np.random.default_rng(5)
    test, _ = record(60, seed=7)
    plain = model.predict(test).lab
    for k in (1, 3):
        gains = []
        for seed in range(20):
            shift = rng.normal(0, 0.14)
            after = (
                ShadeModel.of(checked(model, k, shift, seed).fit)
                .predict(test.assign(dyestuff_lot="B"))
                .lab
            )
            wanted = true(test, shift)
            gains.append(delta_e2000(plain, wanted).mean() - delta_e2000(after, wanted).mean())
        assert np.mean(gains) > 0.2


def test_suggestions_are_of_the_corrected_colours(model):
    lot = checked(model, 5, 0.25)
    idea = ShadeModel.of(lot.fit).suggest(
        [70, 1, 42], limits={"dyestuff_lot": "B", "modifier": "none"}, k=1
    )[0]
    plain = model.suggest([70, 1, 42], limits={"modifier": "none"}, k=1)[0]
    assert idea.conditions["dyestuff_lot"] == "B"
    assert idea.conditions["dye_owf"] < plain.conditions["dye_owf"]
    assert ShadeModel.of(lot.fit).next_samples(2, target=[70, 1, 42], limits={"dyestuff_lot": "B"})


def test_with_four_deliveries_on_record_their_spread_is_learnt():
    lots, near = ("A", "B", "C", "D", "E"), (0.0, 0.01, -0.01, 0.02, 0.0)
    far = (0.0, 0.5, -0.5, 0.4, -0.3)
    spread = {}
    for name, shifts in (("near", near), ("far", far)):
        model = fitted(n=70, lots=lots, shifts=shifts)
        found = checked_as(model, "F").spread
        assert found.deliveries == 5
        spread[name] = np.trace(found.covariance)
    assert spread["far"] > 2 * spread["near"]


def checked_as(model, name):
    recipes = pd.DataFrame(model.check_recipes("weld", 2))
    return model.new_lot(name, recipes, true(recipes), covariances=np.repeat(COV[None], 2, 0))


def test_what_cannot_be_is_refused_in_a_sentence(model):
    recipes = pd.DataFrame(model.check_recipes("weld", 2))
    lab = true(recipes)
    with pytest.raises(NotFound, match="No swatch was dyed with madder alone"):
        model.check_recipes("madder")
    with pytest.raises(BadValue, match="1 to 5"):
        model.check_recipes("weld", 6)
    with pytest.raises(BadValue, match="on record already"):
        model.new_lot("A", recipes, lab)
    with pytest.raises(BadValue, match="one dyestuff"):
        model.new_lot("B", recipes.assign(dyestuff=["weld", "madder"]), lab)
    table, read = record()
    nameless = ShadeModel().fit(table.drop(columns="dyestuff_lot"), read)
    with pytest.raises(BadValue, match="No delivery of weld is named"):
        nameless.new_lot("B", recipes, lab)


@pytest.mark.slow
def test_made_up_deliveries_of_the_made_up_house_gain(reference):
    if not (reference / "virtual_dyehouse.py").is_file():
        pytest.skip("The made-up dye house is not among the reference material.")
    sys.path.insert(0, str(STUDIES))
    try:
        spec = importlib.util.spec_from_file_location("new_lots", STUDIES / "score_new_lot.py")
        study = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(study)
    finally:
        sys.path.remove(str(STUDIES))
    house = study.load_house(reference)
    got = study.lot_scores(house, "narrow", "clustered", 48, [20, 21, 22, 23], lots=6, ks=(1, 3, 5))
    assert max(got["1"], got["3"], got["5"]) < got["uncorrected"]
    assert min(got["3"], got["5"]) < got["uncorrected"] - 0.2


def test_checks_that_no_delivery_explains_are_asked_about(model):
    recipes = pd.DataFrame(model.check_recipes("weld", 2))
    doubt = np.repeat(COV[None], 2, 0)
    wild = model.new_lot("B", recipes, [[20, 40, -40], [25, 40, -40]], covariances=doubt)
    assert wild.strange and "look at the check swatches" in wild.words
    assert not any(checked(model, 2, shift, 3).strange for shift in (-0.2, 0.0, 0.2))


@pytest.mark.parametrize(
    ("name", "change", "lab", "words"),
    [
        ("B", {}, [[np.nan, 0, 60]], "has no colour"),
        (3, {}, [[60, 0, 60]], "needs a name"),
        (" ", {}, [[60, 0, 60]], "needs a name"),
        ("B", {"dyestuff_2": "madder", "dye_owf_2": 20}, [[60, 0, 60]], "alone"),
    ],
)
def test_what_is_no_check_is_refused(model, name, change, lab, words):
    bath = model.check_recipes("weld", 1)[0] | change
    with pytest.raises(BadValue, match=words):
        model.new_lot(name, [bath], lab)
    with pytest.raises(BadValue, match="check swatches were given"):
        model.new_lot("B", [], [])
