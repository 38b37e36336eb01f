"""What one swatch of a lot does not say and another of it does: they lay in one dye pot."""

from __future__ import annotations

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
        owners = list(zip(*(table[k].tolist() for k in key), strict=True))
        for name in (n for n in names if n in table):
            cells = table[name].tolist()
            told: dict[tuple[object, ...], set[object]] = {}
            for owner, cell in zip(owners, cells, strict=True):
                if not pd.isna(owner[0]) and not pd.isna(cell):
                    told.setdefault(owner, set()).add(cell)
            filled = [
                next(iter(told[owner])) if pd.isna(cell) and len(told.get(owner, ())) == 1 else cell
                for owner, cell in zip(owners, cells, strict=True)
            ]
            out[name] = pd.Series(filled, index=table.index, dtype=table[name].dtype)
    return out
