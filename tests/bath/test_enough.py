"""Where what is suggested stops."""

import math

import pytest

from swatchbath.bath.enough import enough_of


@pytest.mark.parametrize(
    ("column", "word", "forms", "most"),
    [
        ("mordant_owf", "alum", (), 20.0),
        ("mordant_owf", "Potash alum", (), 20.0),
        ("mordant_owf", "iron", (), math.inf),  # which has caps of its own
        ("dye_owf", "weld", ("dried",), 100.0),
        ("dye_owf", "madder root", ("", "dried"), 100.0),
        ("dye_owf", "weld", ("dried", "fresh"), math.inf),
        ("dye_owf", "onion skin", (), math.inf),
        ("temperature_C", "", (), math.inf),
    ],
)
def test_enough(column, word, forms, most):
    assert enough_of(column, word, forms) == most
