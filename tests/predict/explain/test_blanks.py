"""Blank cells are named by what filling them in would gain."""

import numpy as np

from effects_made import fitted, record
from swatchbath.predict.explain.blanks import blanks


def told(seed):
    """The invented record, where heat matters more."""
    table, lab = record(seed=seed)
    lab[:, 0] -= 16 * (table["temperature_C"].to_numpy(float) - 60) / 25
    return table, lab


def blank_lots(table, share, rng):
    """Rows of whole lots, for one cell of a lot tells the others."""
    lots = table["lot"].unique()
    return table["lot"].isin(lots[rng.random(len(lots)) < share]).to_numpy()


def with_blanks(column, share, seed=3):
    table, lab = told(seed)
    rng = np.random.default_rng(seed)
    hidden = blank_lots(table, share, rng)
    table.loc[hidden, column] = np.nan
    return fitted(table, lab), np.flatnonzero(hidden)


def test_nothing_blank_nothing_said():
    assert blanks(fitted(*record()).fit_) == []


def test_a_number_that_matters_is_worth_filling_in_and_one_that_does_not_is_not():
    model, hidden = with_blanks("temperature_C", 0.5)
    (found,) = blanks(model.fit_)
    assert found.column == "temperature_C" and set(found.rows) == set(hidden.tolist())
    assert found.worth and found.after < found.before
    model, hidden = with_blanks("minutes", 0.5)
    (found,) = blanks(model.fit_)
    assert found.column == "minutes" and set(found.rows) == set(hidden.tolist())
    assert not found.worth and abs(found.after - found.before) < 0.1


def test_what_gains_most_comes_first():
    table, lab = told(3)
    rng = np.random.default_rng(3)
    for column in ("minutes", "temperature_C"):
        table.loc[blank_lots(table, 0.5, rng), column] = np.nan
    assert [b.column for b in blanks(fitted(table, lab).fit_)] == ["temperature_C", "minutes"]
