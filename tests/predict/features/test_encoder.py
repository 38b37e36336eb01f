"""A table as factors: what was not read enters with its doubt."""

import pandas as pd

from swatchbath.predict.features.encoder import Encoder


def test_a_typical_pH_enters_with_its_doubt():
    rows = [
        {"fibre": "wool", "dyestuff": "weld", "dye_owf": 20.0 + i, "pH": 6.0, "modifier": "none"}
        for i in range(3)
    ]
    rows.append(rows[0] | {"modifier": "ash lye"})
    rows.append(rows[0] | {"modifier": "ash lye", "modifier_pH": 9.0})
    table = pd.DataFrame(rows)
    encoder = Encoder.learn(table)
    f = encoder.encode(table)
    places = [encoder.numbers.index(n) for n in ("final_pH", "pH_step")]
    assert (f.spread[3, places] > 0).all()
    assert (f.spread[[0, 1, 2, 4]][:, places] == 0).all()
