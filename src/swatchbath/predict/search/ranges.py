"""Within what a number of a bath has been dyed, by the word it belongs to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from ...bath.enough import enough_of
from ...bath.materials import is_a
from ...conditions.columns import column
from ...conditions.vocabulary import meaning
from ..features.derived import TYPICAL_PH
from .columns import Bath, absent, base_of, owner_of

# Without a target a number recorded once, far from all others, is taken for a slip of the pen (6
# minutes for 60) and does not widen where the thin places are looked for. Far: further from the
# next one than all others from each other, and than this in scale units (a quarter of what the
# trade spans); there must be so many others. Our own choices. Leaving out the swatches the model
# found odd would not do, as a slip need not show in the colour; nor would percentiles, which cut
# the ends of every range, and in a small record the ends are what is thin.
_FAR, _OTHERS = 0.25, 10
Ranges = Mapping[tuple[str, str], tuple[float, float]]


def typical_pH(word: str) -> float | None:
    """The pH of an after-bath of acid or alkali whose pH was never read; None for others."""
    if word in TYPICAL_PH:
        return TYPICAL_PH[word]
    kinds = (("acid", "acid"), ("lye", "ash lye"), ("soda", "soda"), ("ammonia", "ammonia"))
    return next((TYPICAL_PH[like] for kind, like in kinds if is_a(word, kind)), None)


def spellings(rows: Sequence[Bath]) -> dict[tuple[str, str], str]:
    """How each word was mostly written (then by the alphabet)."""
    seen: dict[tuple[str, str], Counter[str]] = {}
    for row in rows:
        for name, word in row.items():
            if isinstance(word, str):
                seen.setdefault((name, meaning(name, word)), Counter())[word] += 1
    return {k: min(c, key=lambda w: (-c[w], w)) for k, c in seen.items()}


def ranges_of(rows: Sequence[Bath], beyond: float) -> Ranges:
    """Range in scale units of each number, for each word it belongs to and over all; and of the
    step from the dye bath's pH to the after-bath's, in pH.

    A little beyond what was dyed, but not where that is enough already (`bath.enough`).
    Where there were baths without an after-bath too, an amount of one may be less than the least
    that was dyed, down to half way to none (in scale units; our own choice).
    """
    found: dict[tuple[str, str], list[float]] = {}
    forms: dict[str, set[str]] = {}
    steps: dict[str, list[float]] = {}
    for row in rows:
        for name, value in row.items():
            about, owner = column(name), owner_of(name)
            if isinstance(value, str) or about is None or about.scale is None:
                continue
            word = meaning(owner, str(row.get(owner, ""))) if owner else ""
            if not (value == 0 and owner):
                u = float(about.scale.to_unit(value))
                for key in {(base_of(name), word), (base_of(name), "")}:
                    found.setdefault(key, []).append(u)
                if owner.startswith("dyestuff"):
                    form = row.get(owner.replace("dyestuff", "dyestuff_form", 1), "")
                    forms.setdefault(word, set()).add(str(form))
        if "pH" in row and "modifier_pH" in row:
            kind = meaning("modifier", str(row.get("modifier", "")))
            steps.setdefault(kind, []).append(row["modifier_pH"] - row["pH"])
    out: dict[tuple[str, str], tuple[float, float]] = {}
    without = any(absent(row, "modifier_owf") for row in rows)
    for key, units in found.items():
        low, high = min(units), max(units)
        least = low / 2 if key[0] == "modifier_owf" and without else low
        if high > low:  # a little beyond, but not beyond the trade's range
            least = min(least, max(low - beyond, 0.0))
            about = column(key[0])
            assert about is not None and about.scale is not None
            enough = enough_of(*key, forms.get(key[1], ()))
            stop = float(about.scale.to_unit(enough)) if enough < np.inf else 1.0
            high = max(high, min(high + beyond, 1.0, stop))
        low = min(low, least)
        out[key] = (low, high)
    for kind, values in steps.items():
        out[("_step", kind)] = (min(values), max(values))
    return out


def without_lone(table: pd.DataFrame) -> pd.DataFrame:
    """The table with a lone lowest or highest number of a column put at the next one; amounts are
    compared with those of the same thing only."""
    out = table.copy()
    for name in map(str, table.columns):
        about = column(name)
        if about is None or about.kind != "number" or about.scale is None:
            continue
        values = np.array(table[name], float)
        owner = owner_of(name)
        words = table[owner] if owner in table else [""] * len(table)
        kinds = np.array([meaning(owner, str(w)) if owner else "" for w in words])
        for kind in set(kinds):
            rows = np.flatnonzero((kinds == kind) & np.isfinite(values))
            if len(rows) <= _OTHERS:
                continue
            rows = rows[np.argsort(values[rows], kind="stable")]
            unit = np.asarray(about.scale.to_unit(values[rows]))
            if unit[1] - unit[0] > max(_FAR, unit[-1] - unit[1]):
                values[rows[0]] = values[rows[1]]
            if unit[-1] - unit[-2] > max(_FAR, unit[-2] - unit[0]):
                values[rows[-1]] = values[rows[-2]]
        out[name] = values
    return out
