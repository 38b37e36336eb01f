"""How several dyestuffs are read: order matters between baths, not within one."""

import pandas as pd
import pytest

from swatchbath.predict.features.derived import dyes_of, final_pH, taken_variance


@pytest.mark.parametrize(
    ("second", "third", "said"),
    [
        ("together", "together", "lac with madder with weld"),
        ("over", "together", "weld then lac with madder"),
        ("together", "over", "madder with weld then lac"),
        ("over", "over", "weld then madder then lac"),
        (None, "over", "madder with weld then lac"),
        ("overdyed", "after", "weld then madder then lac"),
    ],
)
def test_what_went_over_comes_after(second, third, said):
    row = {"dyestuff": "weld", "dyestuff_2": "madder", "dyestuff_3": "lac"}
    row |= {"dye_2_how": second, "dye_3_how": third, "dye_owf": 10.0}
    names, amounts = dyes_of(pd.DataFrame([row]), with_form=False)
    assert names == [said]
    assert set(amounts) == {"weld", "madder", "lac"}


def test_an_after_bath_without_a_pH_is_typical_and_in_doubt():
    """Ash lye is not always pH 10: what was not read is taken to be usual, and known less well."""
    none = {"modifier": "none", "modifier_2": "none", "pH": 6.0}
    rows = [
        none,
        none | {"modifier": "ash lye"},
        none | {"modifier": "ash lye", "modifier_pH": 9.0},
        none | {"modifier": "ash lye", "wash_pH": 7.0},
        none | {"modifier": "vinegar", "modifier_2": "ash lye", "modifier_pH": 4.5},
    ]
    table = pd.DataFrame(rows)
    pH, variance = final_pH(table)
    assert pH.tolist() == [6.0, 10.0, 9.0, 7.0, 4.5]
    assert (variance > 0).tolist() == [False, True, False, False, False]
    taken = taken_variance(table)
    assert (taken["pH_step"] > 0).tolist() == (variance > 0).tolist()
    assert taken["final_pH"][1] == pytest.approx(variance[1] / 9.0**2)  # pH 2 to 11 is one unit
    assert taken["pH_step"][1] == pytest.approx(variance[1] / 7.0**2)
