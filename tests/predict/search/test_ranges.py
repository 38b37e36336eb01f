"""Within what a number was dyed; a lone far one is a slip."""

import numpy as np

from baths_made import record
from swatchbath.predict.search.ranges import without_lone


def test_ends_of_a_range_are_no_slips():
    table, _ = record()
    table = table.assign(minutes=np.linspace(20, 90, len(table)))
    assert without_lone(table)["minutes"].equals(table["minutes"])
    table["minutes"] = 60.0
    table.loc[:1, "minutes"] = 6.0  # twice is no slip
    assert without_lone(table)["minutes"].min() == 6.0
    few = table.iloc[:8].assign(minutes=[6.0, *[60.0] * 7])
    assert without_lone(few)["minutes"].min() == 6.0
