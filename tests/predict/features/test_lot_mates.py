"""What a swatch leaves out is told by the others of its lot, and by nothing else."""

import numpy as np
import pandas as pd
import pytest

from swatchbath.predict.features.lot_mates import filled_from_lot


def table(**more):
    return pd.DataFrame(
        {
            "lot": ["a", "a", "b", None, "c", "c"],
            "fibre": ["wool", "wool", "wool", "wool", "wool", "cotton"],
            "mordant": ["alum"] * 6,
            "mordant_owf": [12.0, np.nan, np.nan, np.nan, 15.0, np.nan],
            "pH": [6.0, np.nan, np.nan, np.nan, 5.0, np.nan],
            "modifier_owf": [2.0, np.nan, np.nan, np.nan, 1.0, np.nan],
        }
        | more
    )


def test_the_dye_pot_of_a_lot_is_one():
    assert filled_from_lot(table())["pH"].tolist()[:2] == [6.0, 6.0]
    assert filled_from_lot(table())["pH"].iloc[5] == 5.0
    assert filled_from_lot(table())["pH"].isna().tolist() == [
        False,
        False,
        True,
        True,
        False,
        False,
    ]


def test_fibres_are_mordanted_apart_and_after_baths_are_each_their_own():
    done = filled_from_lot(table())
    assert done["mordant_owf"].iloc[1] == 12.0 and np.isnan(done["mordant_owf"].iloc[5])
    assert done["modifier_owf"].isna().sum() == 4


def test_where_a_lot_says_two_things_neither_is_taken():
    odd = table(lot=["a"] * 6, pH=[6.0, 5.0, np.nan, np.nan, 5.0, np.nan])
    assert filled_from_lot(odd)["pH"].isna().sum() == 3


@pytest.mark.parametrize("drop", [["lot"], ["pH"], ["mordant", "fibre"]])
def test_what_is_given_stays(drop):
    given = table().drop(columns=drop)
    done = filled_from_lot(given)
    assert list(done) == list(given) and len(done) == len(given)
    for name in given:
        known = given[name].notna()
        assert done.loc[known, name].equals(given.loc[known, name])
