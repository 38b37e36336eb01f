"""A row's hash changes with all that a colour was learnt by."""

import numpy as np
import pandas as pd
import pytest

from swatchbath.colorimetry import Measurement
from swatchbath.predict.regression.keys import row_keys

TABLE = pd.DataFrame({"fibre": ["wool"], "dye_owf": [60.0]})
HOW = dict(trueness=np.eye(3), shared={"camera:mine": np.eye(3)}, rung="card", photo="p")


def key(table=TABLE, lab=(50, 10, 20), **other):
    return row_keys(table, [Measurement(lab, 0.1 * np.eye(3), **(HOW | other))])[0]


def test_the_same_row_has_the_same_key():
    assert key() == key()


@pytest.mark.parametrize(
    "other",
    [
        {"lab": (50, 10, 20.5)},
        {"degrees": 6.0},
        {"rung": "chart"},
        {"photo": "q"},
        {"trueness": 2 * np.eye(3)},
        {"shared": {"camera:other": np.eye(3)}},
        {"table": TABLE.assign(dye_owf=61.0)},
    ],
    ids=lambda o: next(iter(o)),
)
def test_another_one_has_another(other):
    assert key(**other) != key()


def test_rows_that_are_alike_are_told_apart():
    one, two = row_keys(pd.concat([TABLE, TABLE]), np.ones((2, 3)))
    assert one != two
