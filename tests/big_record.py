"""A large invented record: two dyestuffs on three fibres, with and without iron."""

import numpy as np
import pandas as pd


def big_record(n, seed=0):
    """Conditions and colours of n swatches."""
    rng = np.random.default_rng(seed)
    dye = rng.choice(["weld", "madder"], n)
    fibre = rng.choice(["wool", "silk", "cotton"], n)
    after = rng.choice(["none", "iron"], n)
    table = pd.DataFrame(
        {
            "fibre": fibre,
            "dyestuff": dye,
            "dye_owf": np.exp(rng.uniform(np.log(15), np.log(150), n)),
            "mordant": "alum",
            "mordant_owf": rng.choice([8.0, 12.0, 15.0], n),
            "pH": rng.uniform(4.5, 7.5, n),
            "temperature_C": rng.uniform(50, 68, n),
            "minutes": rng.choice([30.0, 60.0, 90.0], n),
            "modifier": after,
            "modifier_owf": np.where(after == "iron", rng.uniform(0.5, 2, n), 0.0),
        }
    )
    depth = np.log(table["dye_owf"].to_numpy() / 15)
    iron = table["modifier_owf"].to_numpy()
    red, pale = (dye == "madder") * 22.0, (fibre == "cotton") * 5.0
    bend = 2 * np.sin(table["pH"].to_numpy()) * depth
    lab = np.stack([84 - 9 * depth - 6 * np.sqrt(iron) - red / 2 + pale, -6 + red + bend,
                    35 + 9 * depth - pale], 1)  # fmt: skip
    lab[:, 1:] *= (1 - 0.3 * np.tanh(iron))[:, None]
    return table, lab + rng.normal(0, 0.5, lab.shape)
