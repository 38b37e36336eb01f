"""What always came together is told, and nothing else."""

import pytest

from effects_made import fitted, record
from swatchbath.predict.explain.confounding import confounded_groups


@pytest.fixture(scope="module")
def model():
    return fitted(*record())


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
