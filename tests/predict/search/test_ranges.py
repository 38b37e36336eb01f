"""Within what a number was dyed; a lone far one is a slip."""

import numpy as np
import pytest

from baths_made import record
from swatchbath.conditions.columns import column
from swatchbath.predict.search.ranges import ranges_of, without_lone


def test_ends_of_a_range_are_no_slips():
    table, _ = record()
    table = table.assign(minutes=np.linspace(20, 90, len(table)))
    assert without_lone(table)["minutes"].equals(table["minutes"])
    table["minutes"] = 60.0
    table.loc[:1, "minutes"] = 6.0  # twice is no slip
    assert without_lone(table)["minutes"].min() == 6.0
    few = table.iloc[:8].assign(minutes=[6.0, *[60.0] * 7])
    assert without_lone(few)["minutes"].min() == 6.0


@pytest.mark.parametrize(
    ("dyed", "stops"),
    [([10.0, 15.0, 19.0], 20.0), ([10.0, 15.0, 24.0], 24.0), ([5.0, 6.0, 8.0], None)],
)
def test_alum_stops_where_it_is_enough_or_at_her_own_highest(dyed, stops):
    rows = [{"fibre": "wool", "mordant": "alum", "mordant_owf": a} for a in dyed]
    scale = column("mordant_owf").scale
    most = float(scale.from_unit(ranges_of(rows, 0.3)[("mordant_owf", "alum")][1]))
    if stops is None:
        assert 8.0 < most < 20.0  # a little beyond
    else:
        assert most == pytest.approx(stops)


@pytest.mark.parametrize(("form", "held"), [("dried", True), ("fresh", False)])
def test_dried_weld_stops_at_its_own_weight(form, held):
    rows = [
        {"fibre": "wool", "dyestuff": "weld", "dyestuff_form": form, "dye_owf": a}
        for a in (50.0, 95.0)
    ]
    scale = column("dye_owf").scale
    most = float(scale.from_unit(ranges_of(rows, 0.1)[("dye_owf", "weld")][1]))
    assert (most == pytest.approx(100.0)) is held
