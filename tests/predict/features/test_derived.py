"""How several dyestuffs are read: order matters between baths, not within one."""

import pandas as pd
import pytest

from swatchbath.predict.features.derived import dyes_of


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
