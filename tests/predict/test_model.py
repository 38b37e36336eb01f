"""ShadeModel on the sample's swatches and on a small invented law."""

import csv

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sklearn.base import clone

from folders import ROOT
from swatchbath.colorimetry import Measurement, delta_e2000
from swatchbath.colorimetry.conversion import to_d65_2
from swatchbath.errors import BadTable, BadValue, NotEnoughSwatches, ShapeError
from swatchbath.predict import ShadeModel

BATHS = ROOT / "sample_swatches" / "baths.csv"
TRUTH = ROOT / "tests" / "reference" / "sample_truth.csv"
# What a photo repeats to, as standard deviations in Lab.
READING = np.array([0.8, 1.0, 1.2])


def sample():
    """The sample's dry swatches, once each, with their true colour read with some noise."""
    if not BATHS.is_file() or not TRUTH.is_file():
        pytest.fail("The sample swatches are missing; they belong to the project.")
    baths = pd.read_csv(BATHS, dtype=str, keep_default_na=False)
    baths = baths[baths["state"] == "dry"].drop_duplicates("name").reset_index(drop=True)
    with open(TRUTH, newline="", encoding="utf-8") as file:
        lines = [line for line in file if not line.startswith("#")]
    truth = {r["name"]: [float(r[c]) for c in "Lab"] for r in csv.DictReader(lines)}
    lab = np.array([truth[n] for n in baths["name"]])
    lab = lab + np.random.default_rng(4).normal(0, 1, lab.shape) * READING
    return baths, lab, np.repeat(np.diag(READING**2)[None], len(lab), axis=0)


@pytest.fixture(scope="module")
def fitted():
    baths, lab, cov = sample()
    return ShadeModel().fit(baths, lab, covariances=cov), baths, lab


def law(n=24, seed=0, noise=0.3):
    """A small record: one dyestuff whose depth grows with its amount and shifts with pH."""
    rng = np.random.default_rng(seed)
    table = pd.DataFrame(
        {
            "fibre": "wool",
            "dyestuff": "weld",
            "dye_owf": rng.uniform(20, 150, n),
            "pH": rng.uniform(4.5, 8, n),
        }
    )
    depth = np.log(table["dye_owf"] / 20)
    lab = np.stack(
        [85 - 8 * depth, -8 + 2 * (table["pH"] - 6), 30 + 12 * depth], axis=1
    ) + rng.normal(0, noise, (n, 3))
    return table, lab


BATH = {
    "fibre": "wool", "dyestuff": "weld", "dyestuff_form": "dried", "dye_owf": 60,
    "mordant": "alum", "mordant_owf": 12, "pH": 6.5, "temperature_C": 80, "minutes": 60,
    "modifier": "none",
}  # fmt: skip
IRON = {"modifier": "iron", "modifier_owf": 2, "modifier_pH": 5.5, "modifier_minutes": 10}
LYE = {"modifier": "ash lye", "modifier_pH": 9, "modifier_minutes": 5}
MADDER = {"dyestuff": "madder", "temperature_C": 60}


def shade(model, **changes):
    return model.predict(BATH | changes).lab[0]


# Common practice, no source: what dyers report of these plants.


def test_iron_darkens_and_dulls(fitted):
    for dye in ({}, MADDER):
        plain, iron = shade(fitted[0], **dye), shade(fitted[0], **(dye | IRON))
        assert iron[0] < plain[0] - 3
        assert np.hypot(*iron[1:]) < np.hypot(*plain[1:]) - 3


def test_more_dyestuff_is_deeper(fitted):
    L = [shade(fitted[0], dye_owf=x)[0] for x in (30, 60, 100)]
    assert L[0] > L[1] > L[2]


def test_less_mordant_is_paler_on_wool(fitted):
    bare = shade(fitted[0], mordant="none", mordant_owf="none")
    assert bare[0] > shade(fitted[0])[0]


def test_lye_takes_weld_to_gold(fitted):
    """Redder, that is less green."""
    assert shade(fitted[0], **LYE)[1] > shade(fitted[0])[1]


def test_hot_madder_browns(fitted):
    cool, hot = shade(fitted[0], **MADDER), shade(fitted[0], **(MADDER | {"temperature_C": 85}))
    assert np.degrees(np.arctan2(hot[2], hot[1])) > np.degrees(np.arctan2(cool[2], cool[1]))


def test_left_out_swatches_are_foretold_better_than_by_the_nearest(fitted):
    left = fitted[0].cross_validation_
    assert left.checked and left.blocks == 28
    assert left.median < left.nearest
    assert 0.8 <= left.coverage <= 1.0
    held = ~np.isnan(left.delta_e2000)
    again = delta_e2000(left.lab[held], fitted[2][held])
    assert np.allclose(again, left.delta_e2000[held])
    assert set(left.as_dict()) >= {"median", "p95", "coverage_90", "blocks", "note"}


def test_reasons_are_in_a_dyers_words(fitted):
    model = fitted[0]
    got = model.predict(
        pd.DataFrame(
            [
                BATH | {"fibre": "linen"},
                BATH | IRON | {"modifier_owf": 8},
                BATH | {"fibre": "cotton", "dyestuff": "walnut hull", "mordant": "tin"},
                BATH,
            ]
        )
    )
    assert "no linen has been dyed" in got.reasons[0]
    assert "iron above 3 % was never tried" in got.reasons[1]
    assert "no swatch has tin as its mordant" in got.reasons[2]
    assert got.outside.tolist() == [True, True, True, False]
    assert any("dyestuff lot is not given; W25 is assumed" in note for note in got.notes[3])


def test_a_second_dyestuff_that_was_never_used_is_outside(fitted):
    got = fitted[0].predict(BATH | {"dyestuff_2": "madder", "dye_owf_2": 20})
    assert got.outside[0] and any("madder with weld" in r for r in got.reasons[0])


def test_doubt_grows_away_from_the_swatches(fitted):
    near, far = BATH, BATH | {"dye_owf": 900, "pH": 11, "temperature_C": 20}
    cov = fitted[0].predict(pd.DataFrame([near, far])).pot_covariance
    assert np.trace(cov[1]) > 2 * np.trace(cov[0])


def test_a_reading_is_less_sure_than_the_pot(fitted):
    got = fitted[0].predict(BATH)
    assert np.linalg.eigvalsh(got.covariance[0] - got.pot_covariance[0]).min() > 0


def test_an_unknown_number_widens(fitted):
    known = fitted[0].predict(BATH)
    unknown = fitted[0].predict({k: v for k, v in BATH.items() if k != "dye_owf"})
    assert np.trace(unknown.pot_covariance[0]) > 1.2 * np.trace(known.pot_covariance[0])
    assert any("dyestuff amount is not given" in note for note in unknown.notes[0])


def test_row_order_changes_nothing():
    baths, lab, cov = sample()
    rows = np.random.default_rng(0).permutation(len(lab))
    one = ShadeModel().fit(baths, lab, covariances=cov)
    two = ShadeModel().fit(baths.iloc[rows], lab[rows], covariances=cov[rows])
    assert np.array_equal(one.predict(BATH).lab, two.predict(BATH).lab)
    assert np.array_equal(
        one.cross_validation_.lab[rows], two.cross_validation_.lab, equal_nan=True
    )
    assert set(rows[two.outliers_]) == set(one.outliers_)


@settings(max_examples=10)
@given(st.integers(0, 1000), st.permutations(["fibre", "dyestuff", "dye_owf", "pH"]))
def test_the_same_swatches_give_the_same_answer(seed, names):
    table, lab = law(16, seed)
    one = ShadeModel().fit(table, lab).predict(table).lab
    two = ShadeModel().fit(table[list(names)], lab).predict(table).lab
    assert np.array_equal(one, two)


def test_a_simple_law_is_learnt():
    table, lab = law(40)
    new, true = law(50, seed=9, noise=0)
    got = ShadeModel().fit(table, lab).predict(new)
    assert np.median(delta_e2000(got.lab, true)) < 0.5


def test_a_slip_is_found_and_does_not_spoil_the_rest():
    table, lab = law(40)
    typed = table.copy()
    typed.loc[7, "dye_owf"] = 20.0 if table.loc[7, "dye_owf"] > 60 else 200.0
    lab[7] += [-15, 5, -20]
    model = ShadeModel().fit(typed, lab)
    assert model.outliers_.tolist() == [7]
    # Where it was typed, the others count and the slip hardly does.
    there = typed.iloc[[7]]
    rest = np.delete(np.arange(40), 7)
    without = ShadeModel().fit(table.iloc[rest], lab[rest]).predict(there).lab[0]
    assert delta_e2000(model.predict(there).lab[0], without) < 0.7


def test_repeated_readings_of_one_swatch_are_not_new_pots():
    """Ten photos of one stray pot weigh little more than one; ten pots would weigh ten times."""
    table, lab = law(24)
    extra = pd.concat([table.iloc[[0]]] * 10, ignore_index=True)
    moved = np.repeat(lab[:1] + [4.0, 0, 0], 10, axis=0)
    cov = np.repeat(np.diag([0.2, 0.2, 0.2])[None], 34, axis=0)
    rows, labs = pd.concat([table, extra], ignore_index=True), np.vstack([lab, moved])
    code = [f"s{i}" for i in range(24)]
    same = rows.assign(swatch=[*code, *["x"] * 10])
    apart = rows.assign(swatch=[*code, *[f"x{i}" for i in range(10)]])
    at = table.iloc[[0]]
    pull = [
        float(ShadeModel().fit(t, labs, covariances=cov).predict(at).lab[0, 0]) - lab[0, 0]
        for t in (same, apart)
    ]
    assert pull[0] < pull[1] - 0.3


def test_errors_shared_by_all_readings_cancel_for_a_reading_not_for_the_truth():
    """One camera's error, the same in all readings: a new reading by it is surer than the truth."""
    table, lab = law(30)
    load = np.diag([2.0, 2.0, 2.0])
    labs = [
        Measurement(x, np.eye(3) * 0.04, rung="card", shared={"camera A": load}, photo=f"p{i}")
        for i, x in enumerate(lab)
    ]
    got = ShadeModel().fit(table, labs).predict(table.iloc[:5])
    reading = np.trace(got.covariance, axis1=1, axis2=2)
    truth = np.trace(got.pot_covariance, axis1=1, axis2=2)
    assert (truth > 3).all() and (reading < truth).all()


def test_shared_errors_do_not_average_away():
    """Thirty readings by one camera say less about a colour than thirty by thirty cameras."""
    table, lab = law(30)
    load = np.diag([2.0, 2.0, 2.0])

    def doubt(names):
        labs = [
            Measurement(x, np.eye(3) * 0.04, rung="card", shared={n: load}, photo=str(i))
            for i, (x, n) in enumerate(zip(lab, names, strict=True))
        ]
        got = ShadeModel().fit(table, labs).predict(table.iloc[:5])
        return float(np.trace(got.pot_covariance, axis1=1, axis2=2).mean())

    assert doubt(["A"] * 30) > 1.3 * doubt([f"c{i}" for i in range(30)])


def test_a_camera_s_error_is_carried_to_baths_like_those_it_read():
    """Wool was read by one camera, silk by another: each foretold colour has its own's error."""
    table, lab = law(40)
    table["fibre"] = np.where(np.arange(40) % 2, "silk", "wool")
    load = np.diag([2.0, 2.0, 2.0])
    labs = [
        Measurement(x, np.eye(3) * 0.04, rung="card", shared={name: load}, photo=str(i))
        for i, (x, name) in enumerate(zip(lab, ["camera A", "camera B"] * 20, strict=True))
    ]
    model = ShadeModel().fit(table, labs)
    carried = model.fit_.regression.lasting_of(model.fit_.encoder.encode(table.iloc[:6]))
    size = {name: np.linalg.norm(loads, axis=(1, 2)) for name, loads in carried.items()}
    assert (size["camera A"][::2] > size["camera B"][::2]).all()
    assert (size["camera B"][1::2] > size["camera A"][1::2]).all()
    assert np.allclose(size["camera A"] + size["camera B"], 2 * np.sqrt(3), rtol=0.3)


def test_dye_days_and_photos_are_left_out_together():
    table, lab = law(36)
    table["lot"] = [str(i) for i in range(36)]
    table["session"] = [str(i // 3) for i in range(36)]
    left = ShadeModel().fit(table, lab).cross_validation_
    assert left.blocks == 36 and left.checked
    one_day = ShadeModel().fit(table.assign(session="1"), lab).cross_validation_
    assert not one_day.checked and "dye day" in one_day.note
    assert one_day.covariance_inflation >= 1.5


def test_too_few_or_too_alike():
    table, lab = law(11)
    with pytest.raises(NotEnoughSwatches, match="11 swatches"):
        ShadeModel().fit(table, lab)
    table, lab = law(20)
    with pytest.raises(NotEnoughSwatches, match="same colour"):
        ShadeModel().fit(table, np.repeat(lab[:1], 20, axis=0))
    with pytest.raises(NotEnoughSwatches, match="same conditions"):
        ShadeModel().fit(table.assign(dye_owf=50.0, pH=6.0), lab)
    one_swatch = table.assign(swatch="a")
    with pytest.raises(NotEnoughSwatches):
        ShadeModel().fit(one_swatch, lab)


def test_bad_input_is_refused_in_words():
    table, lab = law(14)
    with pytest.raises(ShapeError):
        ShadeModel().fit(table, lab[:-1])
    with pytest.raises(ShapeError):
        ShadeModel().fit(table, lab, covariances=np.eye(3))
    with pytest.raises(BadTable, match="Row 5"):
        ShadeModel().fit(table, np.where(np.arange(14)[:, None] == 3, 400.0, lab))
    with pytest.raises(BadValue):
        ShadeModel().fit(table, "no colours")
    with pytest.raises(BadValue, match="fit first"):
        ShadeModel().predict(table)


def test_readings_by_another_observer_are_converted_before_they_are_learnt_from():
    table, lab = law()
    by_ten = [Measurement(x, light="D65", observer="10") for x in lab]
    converted = [to_d65_2(m) for m in by_ten]
    assert np.allclose(
        ShadeModel().fit(table, by_ten).predict(table).lab,
        ShadeModel().fit(table, converted).predict(table).lab,
    )


def test_rows_without_a_colour_are_left_out_and_said():
    table, lab = law(20)
    lab[3] = np.nan
    model = ShadeModel().fit(table, lab)
    assert 3 not in model.used_rows_ and np.isnan(model.cross_validation_.lab[3]).all()
    assert any("no colour are left out: 5." in note for note in model.notes_)


def test_no_rows_give_no_predictions():
    table, lab = law(14)
    got = ShadeModel().fit(table, lab).predict(table.iloc[:0])
    assert got.lab.shape == (0, 3) and got.reasons == []


def test_two_dyestuffs_in_one_pot():
    """Amounts of each are factors of their own; more of the second moves towards it."""
    rng = np.random.default_rng(1)
    n = 40
    one, two = rng.uniform(10, 100, n), rng.uniform(10, 100, n)
    share = two / (one + two)
    lab = np.stack([60 + 0 * one, -8 + 45 * share, 60 - 30 * share], axis=1)
    table = pd.DataFrame(
        {
            "fibre": "wool", "dyestuff": "weld", "dye_owf": one,
            "dyestuff_2": "madder", "dye_owf_2": two, "dye_2_how": "together",
        }
    )  # fmt: skip
    table.loc[::5, ["dyestuff_2", "dye_owf_2", "dye_2_how"]] = ["none", 0.0, None]
    lab[::5] = [60, -8, 60]
    lab = lab + rng.normal(0, 0.3, lab.shape)
    model = ShadeModel().fit(table, lab)
    row = {"fibre": "wool", "dyestuff": "weld", "dye_owf": 50.0, "dyestuff_2": "madder"}
    a = [model.predict(row | {"dye_owf_2": x, "dye_2_how": "together"}).lab[0, 1]
         for x in (15.0, 50.0, 90.0)]  # fmt: skip
    assert a[0] < a[1] < a[2]
    swapped = {"fibre": "wool", "dyestuff": "madder", "dye_owf": 50.0, "dyestuff_2": "weld",
               "dye_owf_2": 50.0, "dye_2_how": "together"}  # fmt: skip
    assert abs(model.predict(swapped).lab[0, 1] - a[1]) < 1e-6


@pytest.mark.slow
def test_a_large_record_still_fits():
    table, lab = law(400)
    model = ShadeModel().fit(table, lab)
    new, true = law(50, seed=9, noise=0)
    assert np.median(delta_e2000(model.predict(new).lab, true)) < 0.5
    assert any("400" in note for note in model.notes_)


def test_a_librarys_own_covariances_may_be_given_beside_its_readings():
    table, lab = law()
    labs = [Measurement(x, 0.3 * np.eye(3)) for x in lab]
    own = np.array([m.covariance for m in labs])
    assert np.allclose(
        ShadeModel().fit(table, labs, covariances=own).predict(table).lab,
        ShadeModel().fit(table, labs).predict(table).lab,
    )
    with pytest.raises(BadValue, match="carry their own doubt"):
        ShadeModel().fit(table, labs, covariances=2 * own)


def test_vats_are_left_out_and_said():
    table, lab = law()
    dipped = table.assign(vat="")
    dipped.loc[:1, "vat"] = "fructose"
    dipped.loc[:1, "dyestuff"] = "indigo"
    model = ShadeModel().fit(dipped, lab)
    assert any("2 rows were dipped in a vat" in note for note in model.notes_)
    assert list(model.used_rows_) == list(range(2, len(table)))
    with pytest.raises(NotEnoughSwatches, match="more were dipped in a vat"):
        ShadeModel().fit(table.assign(vat="fructose", dyestuff="indigo"), lab)


def test_it_is_an_estimator_and_says_what_it_was_learnt_from():
    table, lab = law(30)
    model = clone(ShadeModel(seed=3)).fit(table, lab)
    assert model.get_params() == {"seed": 3}
    assert model.score(table, lab) > -2
    turned = ShadeModel(seed=3).fit(table.iloc[::-1], lab[::-1])
    assert turned.meta_ == model.meta_
    assert model.meta_["swatches"] == 30 and "numpy" in model.meta_["versions"]
    assert ShadeModel().fit(table, lab + 0.01).meta_["data"] != model.meta_["data"]
    with pytest.raises(BadValue, match="no setting"):
        model.set_params(depth=3)


def test_a_vat_is_not_foreseen():
    table, lab = law(30)
    with pytest.raises(BadValue, match="Row 2 of the baths is dipped in a vat"):
        ShadeModel().fit(table, lab).predict(table.iloc[:2].assign(vat=[None, "indigo"]))


def test_what_was_never_recorded_or_is_not_learnt_from_is_said():
    table, lab = law(30)
    model = ShadeModel().fit(table, lab)
    plain = model.predict(table.iloc[[0]])
    told = model.predict(table.iloc[[0]].assign(base_L=20.0, fibre_g=500.0))
    assert not plain.outside[0] and told.outside[0]
    assert any("undyed fibre was never recorded" in r for r in told.reasons[0])
    assert any("fibre_g is kept with a swatch" in n for n in told.notes[0])


def test_of_a_dyestuff_never_dyed_no_other_delivery_is_assumed():
    table, lab = law(30)
    table["dyestuff_lot"] = np.where(np.arange(30) % 2, "W1", "W2")
    model = ShadeModel().fit(table, lab)
    new = {"fibre": "wool", "dyestuff": "madder", "dye_owf": 50.0}
    said = model.predict([new]).notes[0]
    assert not any("lot" in n for n in said)


@pytest.mark.parametrize("value", [150.0, np.inf])
def test_what_is_no_lightness_is_refused(value):
    table, lab = law(30)
    lab[3, 0] = value
    with pytest.raises(BadTable, match="Row 5"):
        ShadeModel().fit(table, lab)
