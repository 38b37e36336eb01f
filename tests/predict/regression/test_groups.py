"""What rows of one pot and one lot share."""

import numpy as np
import pandas as pd

from swatchbath.conditions.table import check_conditions
from swatchbath.predict.regression.groups import groups_of, pot_sharing

TABLE = check_conditions(
    pd.DataFrame(
        {
            "fibre": ["wool"] * 6,
            "dyestuff": ["weld"] * 6,
            "modifier": ["none", "none", "iron", "none", "none", "none"],
            "lot": ["1", "1", "1", None, None, None],
            "swatch": ["a", "b", "c", "d", "d", None],
            "mood": list("uvwxyz"),
        }
    )
).table


def test_what_pots_share():
    """One pot: all. Parts of one lot after different after-baths: half. A swatch read twice: all.
    Others: nothing. A column that is not a condition sets nothing apart."""
    share = pot_sharing(groups_of(TABLE, [None] * 6), with_errors=True)
    assert share[0, 1] == 1 and share[0, 2] == 0.5 and share[3, 4] == 1
    assert share[0, 3] == share[2, 4] == share[4, 5] == 0
    assert np.array_equal(np.diag(share), np.ones(6)) and np.array_equal(share, share.T)
    assert np.linalg.eigvalsh(share).min() > -1e-12


def test_readings_without_a_doubt_of_their_own_differ_even_from_one_pot():
    share = pot_sharing(groups_of(TABLE, [None] * 6), with_errors=False)
    assert 0 < share[0, 2] < share[0, 1] < 1 and np.array_equal(np.diag(share), np.ones(6))
