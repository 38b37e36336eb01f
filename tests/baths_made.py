"""An invented record of baths of all kinds, and a model of it."""

import numpy as np
import pandas as pd

from swatchbath.conditions.columns import COLUMNS
from swatchbath.predict import ShadeModel

FIBRE = ["wool", "silk", "cotton"]


GOLD = [67.0, -6.0, 52.0]


# Numbers on record that the search has no scale for, vats apart.
NEVER_VARIED = ["mordant_C", "mordant_minutes", "stock_days"]


def record(n=60, seed=0):
    """An invented record over two dyestuffs, three fibres and after-baths, in pots of all kinds,
    some of them hotter, sourer or stronger than may be suggested."""
    rng = np.random.default_rng(seed)
    dye = rng.choice(["weld", "madder"], n)
    after = rng.choice(["none", "iron", "ash lye", "vinegar"], n, p=[0.4, 0.3, 0.15, 0.15])
    table = pd.DataFrame(
        {
            "fibre": rng.choice(FIBRE, n),
            "dyestuff": dye,
            "dye_owf": np.exp(rng.uniform(np.log(15), np.log(150), n)),
            "mordant": rng.choice(["alum", "copper"], n, p=[0.85, 0.15]),
            "mordant_owf": rng.choice([8.0, 12.0, 15.0], n),
            "pH": rng.uniform(4, 9.5, n),
            "temperature_C": rng.uniform(45, 98, n),
            "minutes": rng.choice([30.0, 60.0, 90.0], n),
            "modifier": after,
            "modifier_owf": np.where(after == "iron", rng.uniform(0.5, 6, n), np.nan),
        }
    )
    typical = {"none": np.nan, "iron": 5.5, "ash lye": 10.0, "vinegar": 4.0}
    table["modifier_pH"] = [typical[a] for a in after]
    depth = np.log(table["dye_owf"] / 15)
    iron = table["modifier_owf"].fillna(0).to_numpy()
    red = (dye == "madder") * 22.0
    lab = np.stack([84 - 9 * depth - 6 * np.sqrt(iron) - red / 2, -6 + red, 35 + 9 * depth], 1)
    lab[:, 1:] *= (1 - 0.3 * np.tanh(iron))[:, None]
    return table, lab + rng.normal(0, 0.6, lab.shape)


def every_column(n=40, seed=3):
    """A record in which each condition column is filled, in the usual range of each number, but
    for vats, which are never learnt from."""
    table, lab = record(n, seed)
    rng = np.random.default_rng(seed)
    for about in COLUMNS:
        if about.name in table or about.name.startswith("vat") or about.kind == "group":
            continue
        if about.kind == "number":
            low, high = about.usual
            some = rng.uniform(low, min(high, low + 40), n)
            table[about.name] = some.round() if about.whole else some.round(1)
        else:
            table[about.name] = rng.choice(["one", "two"], n)
    return table.assign(scour="soap", vessel="enamel", water="soft", dyestuff_form="dried",
                        fibre_form="raw", assist="chalk", assist_owf=3.0,
                        mordant_assist="cream of tartar", tannin="none",
                        tannin_owf=0.0, modifier_strip="s1", wash_pH=7.0), lab  # fmt: skip


def fitted():
    """A model of the record."""
    table, lab = record()
    return ShadeModel().fit(table, lab, covariances=np.repeat(0.2 * np.eye(3)[None], len(lab), 0))


WILD = {
    "mordant": ["copper", "bluestone", "Cu SO4", "CuSO4", "SnCl2", "bichromate", "sorrel salt",
                "rhubarb leaf", "sulphuric acid", "my mix", "barium salt"],
    "modifier": ["lye", "caustic soda", "copper liquor", "oxalic", "battery acid", "lime"],
    "dyestuff": ["foxglove", "yew", "unknown plant", "?"],
    "vessel": ["copper", "brass kettle", "iron pot", "aluminium pot", "a food pot"],
    "assist": ["tartar emetic", "permanganate", "bleach", "formic acid"],
}  # fmt: skip


def may_be_suggested(c, target):
    """The caps written out again, by hand."""
    silk, protein = c["fibre"] == "silk", c["fibre"] in ("wool", "silk")
    brown = 0 < target[1] < 18 and target[0] < 55  # a wide net around what may count as brown
    after = c.get("modifier", "none")
    for name, words in WILD.items():
        if c.get(name) == "aluminium pot":  # eaten by what is alkaline; else it may be used
            assert max(c["pH"], c.get("wash_pH", 7)) <= 8
        else:
            assert c.get(name) not in words
    if protein:
        assert c["temperature_C"] <= (80 if silk else 90)
        assert c["pH"] <= (8 if c["temperature_C"] > 40 else 9)
        assert not c.get("modifier_pH", 7) > 9 and not c.get("wash_pH", 7) > 9
        assert not (silk and after == "ash lye")
    if c["dyestuff"] == "madder" and not brown:
        assert c["temperature_C"] <= 70
    if after == "iron":
        assert c["modifier_owf"] <= (2 if c["fibre"] != "wool" else 4)
        assert not c.get("modifier_minutes", 0) > 30
    assert 3 <= c["pH"] <= 10 and 3 <= c.get("wash_pH", 7) <= 10
    assert 3 <= c.get("modifier_pH", 7) <= 11
    assert c["minutes"] <= (240 if c["temperature_C"] > 40 else 2880)
    assert c["dye_owf"] <= 300 and c["mordant_owf"] <= 25
