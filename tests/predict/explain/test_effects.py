"""What a model has learnt: what matters, curves, misses with their reasons, what is confounded."""

import numpy as np
import pandas as pd
import pytest

from swatchbath.predict import ShadeModel
from swatchbath.predict.explain.confounding import confounded_groups
from swatchbath.predict.explain.effects import curves, rows_within, typical_bath, what_matters
from swatchbath.predict.explain.residuals import worst_residuals


def record(n=60, seed=0):
    """An invented record: the colour answers to amount and iron, hardly to pH, not to minutes.
    Every cotton swatch was at pH 9, and no other."""
    rng = np.random.default_rng(seed)
    fibre = np.where(np.arange(n) % 6 == 0, "cotton", rng.choice(["wool", "silk"], n))
    after = rng.choice(["none", "iron"], n)
    table = pd.DataFrame(
        {
            "fibre": fibre,
            "dyestuff": "weld",
            "dye_owf": np.exp(rng.uniform(np.log(20), np.log(150), n)).round(),
            "mordant": "alum",
            "mordant_owf": 12.0,
            "pH": np.where(fibre == "cotton", 9.0, rng.uniform(5, 7.5, n).round(1)),
            "minutes": rng.choice([30.0, 60.0, 90.0], n),
            "temperature_C": rng.uniform(60, 85, n).round(),
            "modifier": after,
            "modifier_owf": np.where(after == "iron", rng.choice([1.0, 2.0], n), 0.0),
            "lot": [f"{i // 2:02d}" for i in range(n)],
            "photo": [f"p{i // 4}" for i in range(n)],
        }
    )
    return table, colours(table) + rng.normal(0, 0.5, (n, 3))


def colours(table):
    amount = np.log(table["dye_owf"].to_numpy(float) / 20)
    iron = np.sqrt(table["modifier_owf"].to_numpy(float))
    heat = (table["temperature_C"].to_numpy(float) - 60) / 25
    return np.stack([80 - 7 * amount - 8 * iron, -4 + 3 * heat, 30 + 9 * amount - 9 * iron], 1)


def fitted(table, lab):
    return ShadeModel().fit(table, lab, covariances=np.repeat(0.25 * np.eye(3)[None], len(lab), 0))


@pytest.fixture(scope="module")
def model():
    return fitted(*record())


def test_what_matters_is_what_the_colour_answers_to(model):
    matters, usual = what_matters(model.fit_)
    assert 0 < usual < 3
    by = {m.condition: m for m in matters}
    assert [m.condition for m in matters[:2]] in (
        ["amount of dyestuff", "after-bath"], ["after-bath", "amount of dyestuff"]
    )  # fmt: skip
    assert by["amount of dyestuff"].seen and by["after-bath"].seen
    assert by["after-bath"].increase > 2
    assert not by["time in the dye bath"].seen
    assert abs(by["time in the dye bath"].increase) < 0.3
    assert "mordant" not in by  # it never varied


def test_curves_follow_the_truth_within_their_bands(model):
    rows = rows_within(model.fit_, {"fibre": "wool", "modifier": "none"})
    assert 0 < len(rows) < 40
    bath = typical_bath(model.fit_, rows)
    assert bath["fibre"] == "wool" and bath["modifier"] == "none"
    found = {c.name: c for c in curves(model.fit_, bath, rows)}
    assert list(found)[0] == "dye_owf"
    curve = found["dye_owf"]
    table = pd.DataFrame([bath | {"dye_owf": v} for v in curve.values])
    true = colours(table)
    inside = (true >= curve.low) & (true <= curve.high)
    assert inside.mean() >= 0.85
    assert np.abs(curve.lab - true).mean() < 1
    assert "darker" in curve.words
    assert curve.values[0] >= 19.9 and curve.values[-1] <= 150.1
    assert np.ptp(found["minutes"].lab, axis=0).max() < 1.5


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


def test_what_was_always_together_is_told(model):
    found = confounded_groups(model.fit_)
    said = [t for t in found if set(t.columns) == {"fibre", "pH"}]
    assert len(said) == 1
    assert said[0].sentence.startswith("Every cotton swatch (10) was also at dye bath pH 9")
    assert said[0].both_ways and "nothing can tell the two apart" in said[0].sentence
    assert not any("modifier" in t.columns and "modifier_owf" in t.columns for t in found)


def test_what_was_apart_once_is_not_told():
    table, lab = record()
    table.loc[0, "pH"] = 6.5  # one cotton swatch at another pH
    found = confounded_groups(fitted(table, lab).fit_)
    assert not any(set(t.columns) == {"fibre", "pH"} for t in found)


def test_numbers_that_rise_together_are_told():
    table, lab = record()
    table["liquor_ratio"] = (table["dye_owf"] / 3).round()
    found = confounded_groups(fitted(table, lab).fit_)
    assert any(set(t.columns) == {"dye_owf", "liquor_ratio"} for t in found)


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
