"""How close colours must be, as a number and in words."""

import pytest

from swatchbath.desk.text.closeness import CLOSENESS, WIDEST, closeness
from swatchbath.errors import BadValue


def test_the_three_purposes_and_hers():
    assert [closeness(None, p)[0] for p in CLOSENESS] == [2, 4, 8]
    assert closeness(None, None)[0] == 2 and closeness(None, None, usual="customer")[0] == 4
    assert closeness(3.5, None) == (3.5, "within 3.5")
    assert closeness(8, None) == closeness(None, "family")
    for wrong in (0, -1, WIDEST + 0.1, float("nan"), float("inf")):
        with pytest.raises(BadValue, match="CIEDE2000"):
            closeness(wrong, None)
    with pytest.raises(BadValue, match="twice"):
        closeness(2, "garment")
    with pytest.raises(BadValue, match="garment, customer, family"):
        closeness(None, "socks")
