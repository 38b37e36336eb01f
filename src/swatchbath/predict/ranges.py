"""Within what a number of a bath has been dyed, by the word it belongs to."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from .columns import Column, column
from .vocabulary import meaning

__all__ = [
    "Bath",
    "absent",
    "base_of",
    "is_unknown",
    "is_word",
    "owner_of",
    "ranges_of",
    "spellings",
]

Bath = dict[str, Any]

# Which word a number belongs to: its range is that of rows with the same word.
_OWNER = {
    "dye_owf": "dyestuff", "mordant_owf": "mordant", "tannin_owf": "tannin",
    "assist_owf": "assist", "modifier_owf": "modifier", "modifier_pH": "modifier",
    "modifier_minutes": "modifier",
}  # fmt: skip


@lru_cache(maxsize=512)
def base_of(name: str) -> str:
    return re.sub(r"_[2-9]$", "", name)


@lru_cache(maxsize=512)
def owner_of(name: str) -> str:
    base = base_of(name)
    return name.replace(base, _OWNER[base], 1) if base in _OWNER else ""


@lru_cache(maxsize=512)
def is_word(name: str) -> bool:
    about: Column | None = column(name)
    return about is not None and about.kind != "number"


def absent(bath: Bath, name: str) -> bool:
    """Whether what a number belongs to is not in the bath."""
    owner = owner_of(name)
    return bool(owner) and meaning(owner, str(bath.get(owner) or "")) == "none"


def is_unknown(value: Any) -> bool:
    return value is None or (isinstance(value, float) and math.isnan(value))


def spellings(rows: Sequence[Bath]) -> dict[tuple[str, str], str]:
    """How each word was mostly written (then by the alphabet)."""
    seen: dict[tuple[str, str], Counter[str]] = {}
    for row in rows:
        for name, word in row.items():
            if isinstance(word, str):
                seen.setdefault((name, meaning(name, word)), Counter())[word] += 1
    return {k: min(c, key=lambda w: (-c[w], w)) for k, c in seen.items()}


def ranges_of(rows: Sequence[Bath], beyond: float) -> dict[tuple[str, str], tuple[float, float]]:
    """Range in scale units of each number, for each word it belongs to and over all; and of the
    step from the dye bath's pH to the after-bath's, in pH.

    Where there were baths without an after-bath too, an amount of one may be less than the least
    that was dyed, down to half way to none (in scale units; our own choice).
    """
    found: dict[tuple[str, str], list[float]] = {}
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
            high = max(high, min(high + beyond, 1.0))
        low = min(low, least)
        out[key] = (low, high)
    for kind, values in steps.items():
        out[("_step", kind)] = (min(values), max(values))
    return out
