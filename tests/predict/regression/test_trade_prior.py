"""Common practice holds where the record is silent, widely, and gives way where it speaks."""

import numpy as np
import pandas as pd
import pytest

from swatchbath.colorimetry import lab_to_lch
from swatchbath.predict import ShadeModel

# What a madder pot gives, made up: darker with the logarithm of the amount, duller when hotter.
MADDER = np.array([45.0, 40.0, 26.0])


def silent(n=24, seed=0):
    """A record of first madder baths on wool without iron, its amounts and pH varied."""
    rng = np.random.default_rng(seed)
    table = pd.DataFrame(
        {
            "fibre": "wool",
            "dyestuff": "madder",
            "dye_owf": rng.uniform(25, 90, n).round(),
            "mordant": "alum",
            "mordant_owf": 15.0,
            "pH": rng.choice([6.0, 7.0, 8.0], n),
            "temperature_C": 60.0,
            "minutes": 60.0,
            "bath_number": 1.0,
            "modifier": "none",
            "lot": [f"lot {i}" for i in range(n)],
        }
    )
    return table, colours(table, rng)


def colours(table, rng):
    deep = np.log(table["dye_owf"].to_numpy() / 50)
    lab = MADDER + np.outer(deep, [-9.0, 5.0, 3.0])
    lab = lab + np.outer(table["pH"].to_numpy() - 7, [0.0, 0.0, -1.5])
    return lab + rng.normal(0, 0.5, lab.shape)


@pytest.fixture(scope="module")
def usual():
    table, labs = silent()
    return ShadeModel().fit(table, labs), table.iloc[0].drop("lot").to_dict() | {"pH": 7.0}


CHANGES = {
    "iron": {"modifier": "iron", "modifier_owf": 2.0},
    "second bath": {"bath_number": 2.0},
    "short and cold": {"temperature_C": 20.0, "minutes": 45.0},
    "hot": {"temperature_C": 88.0},
}


@pytest.mark.parametrize("change", CHANGES)
def test_the_directions_hold_and_are_wide(usual, change):
    model, bath = usual
    both = model.predict(pd.DataFrame([bath, bath | CHANGES[change]]))
    (L0, C0, _), (L1, C1, _) = (lab_to_lch(lab) for lab in both.lab)
    wide = np.sqrt(np.trace(both.pot_covariance, axis1=1, axis2=2))
    assert wide[1] > 2.5 * wide[0]
    if change == "iron":
        assert L1 < L0 - 3
        assert C1 < C0 - 5
    elif change == "hot":
        assert both.lab[1][1] < both.lab[0][1] - 3  # less red
        assert abs(L1 - L0) < 6
    else:
        assert L1 > L0 + 3
    assert any("by common practice" in r for r in both.reasons[1])
    assert not any("by common practice" in r for r in both.reasons[0])


def test_hue_is_open_of_a_second_bath(usual):
    model, bath = usual
    both = model.predict(pd.DataFrame([bath, bath | CHANGES["second bath"]]))
    sd = np.sqrt(np.diagonal(both.pot_covariance, axis1=1, axis2=2))
    assert (sd[1, 1:] > 3 * sd[0, 1:]).all()
    assert (sd[1, 1:] > 3).all()


def test_six_swatches_that_say_the_opposite_win():
    """Iron that lightens, say: nobody's iron does, and her record is believed all the same."""
    table, labs = silent()
    rng = np.random.default_rng(5)
    odd = silent(6, seed=7)[0].assign(modifier="iron", modifier_owf=[1, 1, 2, 2, 3, 3])
    odd["lot"] = [f"odd {i}" for i in range(6)]
    odd_labs = colours(odd, rng) + [12.0, 6.0, 4.0]
    told = pd.concat([table.assign(modifier_owf=0.0), odd], ignore_index=True)
    model = ShadeModel().fit(told, np.vstack([labs, odd_labs]))
    bath = table.iloc[0].drop("lot").to_dict() | {"pH": 7.0}
    both = model.predict(pd.DataFrame([bath, bath | CHANGES["iron"]]))
    assert both.lab[1][0] > both.lab[0][0] + 6
    assert not any("by common practice" in r for r in both.reasons[1])


def test_a_stored_fit_is_put_back_with_it(usual):
    model, bath = usual
    table, labs = silent()
    again = ShadeModel().fit(table, labs, stored=model.fitted())
    assert again.restored_
    changed = pd.DataFrame([bath | c for c in CHANGES.values()])
    assert np.allclose(again.predict(changed).lab, model.predict(changed).lab)
    assert np.allclose(again.predict(changed).covariance, model.predict(changed).covariance)
