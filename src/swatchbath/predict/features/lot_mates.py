"""What one swatch of a lot does not say and another of it does: they lay in one dye pot."""

from __future__ import annotations

import numpy as np
import pandas as pd

# What swatches of one dye pot have in common; after-baths and what they do not share stay out.
_OF_THE_POT = (
    "pH", "temperature_C", "minutes", "liquor_ratio", "bath_number", "assist", "assist_owf",
    "water", "vessel",
)  # fmt: skip
# What they have in common where they were mordanted alike: same fibre, mordant and tannin.
_OF_THE_MORDANT = ("mordant_owf", "tannin_owf", "mordant_assist", "mordant_assist_owf")
_ALIKE = ("fibre", "mordant", "tannin")


def filled_from_lot(table: pd.DataFrame) -> pd.DataFrame:
    """A checked table whose empty cells about the dye pot and the mordanting are those of the other
    rows of its lot (`lot`), where those that say agree; the rest of it, and its order, as it was.
    """
    if "lot" not in table:
        return table
    out = table.copy()
    alike = ["lot", *(n for n in _ALIKE if n in table)]
    for names, key in ((_OF_THE_POT, ["lot"]), (_OF_THE_MORDANT, alike)):
        for name in (n for n in names if n in table and table[n].isna().any()):
            known = table[table["lot"].notna() & table[name].notna()]
            told = known.groupby(key, dropna=False)[name].agg(["nunique", "first"])
            told = told[told["nunique"] == 1]["first"]
            for i in np.flatnonzero(table[name].isna().to_numpy()):
                row = tuple(table[k].iloc[i] for k in key)
                where = row if len(key) > 1 else row[0]
                if where in told.index:
                    out.loc[out.index[i], name] = told.loc[where]
    return out
