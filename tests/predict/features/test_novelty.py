"""What was never tried is told of what a bath has, and of nothing it has not."""

import numpy as np
import pandas as pd
import pytest

import swatchbath as sb


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
