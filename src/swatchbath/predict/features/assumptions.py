"""What was not given about a bath and had to be assumed, or is given and says nothing yet."""

from __future__ import annotations

import numpy as np
import pandas as pd

from ...conditions.columns import column
from .derived import is_factor
from .encoder import Encoder, Factors
from .labels import label_of, shown, spellings


def assumptions(
    encoder: Encoder, table: pd.DataFrame, f: Factors, written: pd.DataFrame
) -> list[list[str]]:
    """For each row, what was not given and had to be assumed, or is given but never recorded."""
    own, words = encoder.values(table)
    spelled = spellings(written, table)
    notes: list[list[str]] = [[] for _ in range(len(table))]
    assumed = encoder.assumed(table)
    like = "is assumed, as in your most alike swatches"
    for i, filled in enumerate(assumed):
        for name, word in filled.items():
            if name.startswith("dyestuff_") and _of_new_dyestuff(encoder, f, i):
                continue  # nothing of another dyestuff is told of one that was never dyed
            word = spelled.get((name, word), word)
            notes[i].append(f"the {name.replace('_', ' ')} is not given; {word} {like}")
    for j, name in enumerate(encoder.numbers):
        label, unit = label_of(name)
        if name.endswith("_owf") and "amount" not in label:
            label = f"amount of {label}"
        if encoder.low[j] == encoder.high[j] or name in ("final_pH", "pH_step"):
            continue  # what never varied says nothing; derived ones are said by what they come of
        for i in np.flatnonzero(np.isnan(own[:, j])).tolist():
            if name.removesuffix("_owf") in assumed[i]:
                continue
            value = shown(float(encoder.scales[j].from_unit(f.x[i, j])), unit)
            notes[i].append(f"the {label} is not given; {value} {like}")
    for name in encoder.never:
        if name in words:
            given = [i for i, w in enumerate(words[name]) if w not in (None, "none")]
        elif name in table:
            given = np.flatnonzero(~np.isnan(np.asarray(table[name], dtype=float))).tolist()
        else:
            continue
        for i in given:
            label = label_of(name)[0].replace("_", " ")
            notes[i].append(f"the {label} was never recorded, so it says nothing yet")
    for name in [str(c) for c in table.columns if _not_learnt_from(str(c))]:
        for i in np.flatnonzero(table[name].notna().to_numpy()).tolist():
            notes[i].append(f"{name} is kept with a swatch, and no colour is expected by it")
    return notes


def _of_new_dyestuff(encoder: Encoder, f: Factors, row: int) -> bool:
    return bool(f.levels[row, encoder.words.index("dyestuff")] < 0)


def _not_learnt_from(name: str) -> bool:
    """Whether a column is recorded and no factor: neither one itself nor what one is made of."""
    about = column(name)
    return about is not None and about.kind != "group" and not is_factor(name)
