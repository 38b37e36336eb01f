"""What was never tried is told of what a bath has, and of nothing it has not."""

import numpy as np
import pandas as pd
import pytest

import swatchbath as sb
from swatchbath.conditions.table import check_conditions
from swatchbath.predict.regression.fit import colours_of


@pytest.fixture(scope="module")
def model():
    rng = np.random.default_rng(1)
    rows, labs = [], []
    for i in range(30):
        owf, iron = float(rng.uniform(20, 100)), float(rng.uniform(0.5, 3))
        rows.append({"fibre": "wool", "dyestuff": "weld", "dye_owf": owf, "mordant": "alum",
                     "mordant_owf": 12.0, "modifier": "iron",
                     "modifier_owf": iron, "modifier_minutes": 2.0 + i % 3,
                     "modifier_pH": 5.0 + i % 3})  # fmt: skip
        labs.append([85 - owf / 10 - 8 * iron, -5, 30 + owf / 4 - 3 * iron])
    return sb.ShadeModel(seed=0).fit(pd.DataFrame(rows), np.array(labs))


BATH = {"fibre": "wool", "dyestuff": "weld", "dye_owf": 60.0, "mordant": "alum",
        "mordant_owf": 12.0, "modifier_minutes": 50.0, "modifier_pH": 9.0}  # fmt: skip


def said(model, **more):
    return " ".join(model.predict([BATH | more]).reasons[0])


def test_an_after_bath_that_there_is_none_of_is_never_a_new_time(model):
    told = said(model, modifier="none", modifier_owf=0.0)
    assert "time" not in told and "pH" not in told
    assert "every swatch so far had some after-bath" in told


def test_one_that_there_is_has_a_time_that_was_never_tried(model):
    told = said(model, modifier="iron", modifier_owf=1.0)
    assert "time in the after-bath above" in told and "never tried" in told


def test_a_number_is_outside_beyond_what_was_dyed_and_not_where_it_hardly_is(model):
    most = model.fit_.table["dye_owf"].max()
    for times, outside in ((0.98, False), (1.02, False), (1.5, True), (3.0, True)):
        found = model.predict([BATH | {"dye_owf": most * times, "modifier": "iron",
                                       "modifier_owf": 1.0, "modifier_minutes": 3.0,
                                       "modifier_pH": 6.0}])  # fmt: skip
        assert bool(found.outside[0]) == outside, times
        assert any("dyestuff amount above" in r for r in found.reasons[0]) == outside


def test_it_is_unsure_where_more_than_half_is_open(model):
    """From a bath like those dyed to one far beyond, in small steps."""
    baths = [BATH | {"dye_owf": float(owf), "modifier": "iron", "modifier_owf": float(iron),
                     "modifier_minutes": 3.0, "modifier_pH": 6.0}
             for owf in np.geomspace(0.2, 900, 40) for iron in (1.0, 20.0)]  # fmt: skip
    found = model.predict(baths)
    table = check_conditions(pd.DataFrame(baths)).table
    left = colours_of(model.fit_, model.fit_.encoder.encode(table))[3]
    assert np.array_equal(found.unsure, left > 0.5)
    assert ((left > 0.5) & (left < 0.9)).any() and (left < 0.45).any()
