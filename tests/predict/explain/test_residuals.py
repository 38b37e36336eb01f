"""Why a swatch is predicted badly is told where the record bears it out."""

import numpy as np
import pandas as pd
import pytest
from scipy.stats import chi2

from effects_made import colours, fitted, record
from swatchbath.predict import ShadeModel
from swatchbath.predict.explain.residuals import residual_of, worst_residuals


@pytest.fixture(scope="module")
def model():
    return fitted(*record())


def with_slip(column, meant, written, row=7):
    table, lab = record()
    table.loc[row, column] = meant
    lab[row] = colours(table.iloc[[row]])[0]
    table.loc[row, column] = written
    return fitted(table, lab)


def reasons(model, row):
    return {m.row: " ".join(m.reasons) for m in worst_residuals(model.fit_)}[row]


def test_a_slip_of_the_decimal_point_is_named():
    said = reasons(with_slip("dye_owf", 120.0, 1200.0 / 100), 7)
    assert "dyestuff amount of 12 % may be a slip of the decimal point: with 120 %" in said


def test_hours_for_minutes_are_named():
    table, lab = record()
    table.loc[7, "minutes"] = 60.0
    lab[:, 0] -= 25 * np.log(table["minutes"].to_numpy() / 60)
    table.loc[7, "minutes"] = 1.0
    said = reasons(fitted(table, lab), 7)
    assert "time in the dye bath of 1 min may be hours: with 60 min" in said


def test_an_odd_lot_and_an_odd_photo_are_named():
    table, lab = record()
    rows = np.flatnonzero(table["lot"] == "05")
    lab[rows] += [-14, 8, -6]
    said = reasons(fitted(table, lab), int(rows[0]))
    assert "parts of lot 05 are off the same way" in said
    table, lab = record(seed=2)
    rows = np.flatnonzero(table["photo"] == "p4")
    lab[rows] += [-12, 5, 0]
    assert "in its photo are off the same way" in reasons(fitted(table, lab), int(rows[0]))


def test_a_doubtful_reading_is_named():
    table, lab = record()
    cov = np.repeat(0.25 * np.eye(3)[None], len(lab), 0)
    cov[9] *= 40
    lab[9] += [9, 9, -9]
    said = reasons(ShadeModel().fit(table, lab, covariances=cov), 9)
    assert "times as doubtful as most" in said


def test_misses_are_the_worst_and_each_swatch_once(model):
    misses = worst_residuals(model.fit_, 5)
    error = model.cross_validation_.delta_e2000
    rows = [m.row for m in misses]
    assert rows[:3] == np.argsort(-error)[:3].tolist()
    assert len(set(rows)) == len(rows) and (np.diff(error[rows]) <= 0).all()
    assert all(m.reasons for m in misses)


def test_misses_within_their_doubt_are_not_listed_at_length():
    rng = np.random.default_rng(0)
    table = pd.DataFrame(
        {"fibre": "wool", "dyestuff": "weld", "dye_owf": rng.uniform(20, 150, 30).round()}
    )
    depth = np.log(table["dye_owf"].to_numpy(float) / 20)
    lab = np.stack([85 - 8 * depth, 0 * depth - 6, 30 + 12 * depth], axis=1)
    model = ShadeModel().fit(table, lab + rng.normal(0, 0.5, lab.shape))
    misses = worst_residuals(model.fit_)
    within = [m for m in misses if m.reasons == ("It lies within the give or take that was told.",)]
    assert len(misses) >= 3
    assert all(m not in within for m in misses[3:])


def _with_photo_off(*, reread, other_off):
    """Everything of photo p4 read off; `reread` of its swatches are in photo p99 as well, off by
    `other_off` of that."""
    table, lab = record(seed=2)
    table["swatch"] = [f"s{i}" for i in range(len(table))]
    rows = np.flatnonzero(table["photo"] == "p4")
    shift = np.array([-12.0, 5.0, 0.0])
    again = table.iloc[rows[:reread]].assign(photo="p99")
    lab = np.concatenate([lab, lab[rows[:reread]] + other_off * shift])
    lab[rows] += shift
    return fitted(pd.concat([table, again], ignore_index=True), lab), rows


def test_a_photo_is_blamed_only_where_another_of_the_same_swatches_says_so():
    model, rows = _with_photo_off(reread=2, other_off=0.0)
    said = " ".join(residual_of(model.fit_, int(rows[3])).reasons)
    assert "in another photo they are not: photograph them again" in said
    model, rows = _with_photo_off(reread=2, other_off=1.0)
    said = " ".join(residual_of(model.fit_, int(rows[3])).reasons)
    assert "photo" not in said
    model, rows = _with_photo_off(reread=0, other_off=0.0)
    said = " ".join(residual_of(model.fit_, int(rows[3])).reasons)
    assert "photograph them again" not in said
    assert "a second photo of two of them would tell" in said


def test_a_photo_that_holds_all_of_one_dyestuff_is_not_blamed():
    table, lab = record(seed=2)
    rows = np.flatnonzero(table["photo"] == "p4")
    table.loc[rows, "dyestuff"] = "madder"
    lab[rows] += [-15, 40, -10]
    model = fitted(table, lab)
    for row in rows:
        said = " ".join(residual_of(model.fit_, int(row)).reasons)
        assert "photo" not in said
        assert "No other lot had what it has" in said


def test_a_slip_is_not_hinted_at_where_few_like_it_says_as_much():
    # The only silk of its kind, and weak: nothing else tells what 12 % of this dyestuff gives.
    table, lab = record()
    table.loc[7, ["fibre", "dyestuff", "dye_owf"]] = ["silk", "madder", 12.0]
    lab[7] = [60, 30, 25]
    said = " ".join(residual_of(fitted(table, lab).fit_, 7).reasons)
    assert "slip" not in said and "No other lot" in said


def test_what_was_not_learnt_from_has_no_residual(model):
    assert residual_of(model.fit_, 10_000) is None
    assert residual_of(model.fit_, 7).row == 7


def test_an_odd_swatch_that_nothing_explains_is_never_called_ordinary():
    """Ordinary are the nine in ten that lie within their region."""
    table, lab = record()
    lab[11] += [0, 9, -9]
    model = fitted(table, lab)
    scored, kinds = model.cross_validation_, set()
    for row in np.flatnonzero(~np.isnan(scored.distance)).tolist():
        said = residual_of(model.fit_, row).reasons
        within = scored.distance[row] <= chi2.ppf(0.9, 3)
        told = {"It lies within": True, "Nothing on record tells": False}
        for words, ordinary in told.items():
            if said[0].startswith(words):
                assert ordinary == within, scored.distance[row]
                kinds.add(ordinary)
    assert len(kinds) == 2
