"""Why a swatch is predicted badly is told where the record bears it out."""

import numpy as np
import pandas as pd
import pytest

from effects_made import colours, fitted, record
from swatchbath.predict import ShadeModel
from swatchbath.predict.explain.residuals import worst_residuals


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
    within = [m for m in misses if m.reasons == ("It lies within the doubt that was stated.",)]
    assert len(misses) >= 3
    assert all(m not in within for m in misses[3:])
