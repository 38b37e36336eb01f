"""`compare` by Python."""

import numpy as np
import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.bath.steps import steps_of
from swatchbath.errors import BadValue

ROW = {"fibre": "wool", "dyestuff": "weld", "mordant": "alum", "mordant_owf": 14.0}


def dyed(lib, bath, lab, *, name=None):
    fibre = {k: v for k, v in bath.items() if k == "fibre"}
    code = lib.add_swatch(name=name, fibre=fibre, steps=steps_of(bath))
    lib.add_measurement(code, sb.Measurement(lab, 0.1 * np.eye(3)))
    return code


def test_a_swatch_is_not_compared_with_itself(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        code = dyed(lib, ROW, [60, 0, 50], name="a")
        with pytest.raises(BadValue, match="Both are swatch"):
            desk.compare(lib, "a", code)
        told = desk.compare(lib, "a", "#c8a050").as_dict()
    assert "screen colour is too doubtful" in told["would_settle"]
