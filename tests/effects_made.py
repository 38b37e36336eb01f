"""An invented record whose conditions act as its law says, and a model of it."""

import numpy as np
import pandas as pd

from swatchbath.predict import ShadeModel


def record(n=60, seed=0):
    """An invented record: the colour answers to amount and iron, hardly to pH, not to minutes.
    Every cotton swatch was at pH 9, and no other."""
    rng = np.random.default_rng(seed)
    fibre = np.where(np.arange(n) % 6 == 0, "cotton", rng.choice(["wool", "silk"], n))
    after = rng.choice(["none", "iron"], n)
    table = pd.DataFrame(
        {
            "fibre": fibre,
            "dyestuff": "weld",
            "dye_owf": np.exp(rng.uniform(np.log(20), np.log(150), n)).round(),
            "mordant": "alum",
            "mordant_owf": 12.0,
            "pH": np.where(fibre == "cotton", 9.0, rng.uniform(5, 7.5, n).round(1)),
            "minutes": rng.choice([30.0, 60.0, 90.0], n),
            "temperature_C": rng.uniform(60, 85, n).round(),
            "modifier": after,
            "modifier_owf": np.where(after == "iron", rng.choice([1.0, 2.0], n), 0.0),
            "lot": [f"{i // 2:02d}" for i in range(n)],
            "photo": [f"p{i // 4}" for i in range(n)],
        }
    )
    return table, colours(table) + rng.normal(0, 0.5, (n, 3))


def colours(table):
    amount = np.log(table["dye_owf"].to_numpy(float) / 20)
    iron = np.sqrt(table["modifier_owf"].to_numpy(float))
    heat = (table["temperature_C"].to_numpy(float) - 60) / 25
    return np.stack([80 - 7 * amount - 8 * iron, -4 + 3 * heat, 30 + 9 * amount - 9 * iron], 1)


def fitted(table, lab):
    return ShadeModel().fit(table, lab, covariances=np.repeat(0.25 * np.eye(3)[None], len(lab), 0))
