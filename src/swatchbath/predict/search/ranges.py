"""Within what a number of a bath has been dyed, by the word it belongs to; and the parts of
recorded baths with the words that are asked for."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from ...bath.materials import is_a
from ...conditions.columns import Column, column
from ...conditions.vocabulary import meaning
from ...errors import BadValue
from ..features.derived import TYPICAL_PH

if TYPE_CHECKING:
    from .request import Allowed

__all__ = [
    "NAMED",
    "Bath",
    "absent",
    "base_of",
    "is_unknown",
    "is_word",
    "owner_of",
    "parts_of",
    "ranges_of",
    "spellings",
    "there",
    "typical_pH",
    "without_lone",
]

Bath = dict[str, Any]

# Without a target a number recorded once, far from all others, is taken for a slip of the pen (6
# minutes for 60) and does not widen where the thin places are looked for. Far: further from the
# next one than all others from each other, and than this in scale units (a quarter of what the
# trade spans); there must be so many others. Our own choices. Leaving out the swatches the model
# found odd would not do, as a slip need not show in the colour; nor would percentiles, which cut
# the ends of every range, and in a small record the ends are what is thin.
_FAR, _OTHERS = 0.25, 10
Ranges = Mapping[tuple[str, str], tuple[float, float]]

# The columns that name what was used; others tell how it came.
NAMED = ("fibre", "dyestuff", "tannin", "mordant", "assist", "modifier")
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


def there(bath: Bath, owner: str) -> bool:
    """Whether a bath names something in a word column, and not that there was none."""
    return meaning(owner, str(bath.get(owner) or "")) not in ("", "none")


def typical_pH(word: str) -> float | None:
    """The pH of an after-bath of acid or alkali whose pH was never read; None for others."""
    if word in TYPICAL_PH:
        return TYPICAL_PH[word]
    kinds = (("acid", "acid"), ("lye", "ash lye"), ("soda", "soda"), ("ammonia", "ammonia"))
    return next((TYPICAL_PH[like] for kind, like in kinds if is_a(word, kind)), None)


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


def parts_of(
    rows: Sequence[Bath],
    mine: re.Pattern[str],
    limits: Mapping[str, Allowed],
    ranges: Ranges,
    needed: Iterable[str],
) -> list[Bath]:
    """The parts of recorded baths, in the columns `mine`, that keep to the limits on words.

    A word that was never used is put in place of the recorded one. The limits are taken one by
    one in an order of our own, what was used before how it came, so that theirs changes nothing.
    needed : columns that must name something. Raises BadValue where nothing can be put together.
    """
    parts = [{n: v for n, v in row.items() if mine.fullmatch(n)} for row in rows]
    words = [n for n in limits if mine.fullmatch(n) and is_word(n)]
    for name in sorted(words, key=lambda n: (base_of(n) not in NAMED, n)):
        limit, before = limits[name], parts
        parts = [p for p in before if limit.holds(name, p.get(name, ""))]
        for choice in limit.choices:
            if any(meaning(name, str(p.get(name, ""))) == meaning(name, choice) for p in parts):
                continue
            _dyed(rows, name, choice, limits, ranges)
            base = [p for p in before if not _is_another(p, name, choice)]
            if not base and choice == limit.choices[-1] and not parts:
                raise BadValue(
                    f"{name} would be {choice} beside {choice}; name two dyestuffs that differ."
                )
            parts = parts + [_with_word(p, name, choice, ranges) for p in base]
    for owner in sorted(n for n in needed if mine.fullmatch(n)):
        parts = [p for p in parts if there(p, owner)]
        if not parts:
            raise BadValue(
                f"A limit asks for a {owner.replace('_', ' ')}, and none of your swatches has "
                f"one; name one with a limit on {owner}."
            )
    return parts


def _dyed(
    rows: Sequence[Bath], name: str, choice: str, limits: Mapping[str, Allowed], ranges: Ranges
) -> None:
    """Refuse a dyestuff that is not on record: nothing can be said of its colour."""
    wanted = meaning(name, choice)
    if base_of(name) != "dyestuff" or (wanted == "none" and name != "dyestuff"):
        return
    cells = ((n, v) for row in rows for n, v in row.items() if base_of(n) == "dyestuff")
    if not any(meaning(n, str(v)) == wanted for n, v in cells):
        raise BadValue(
            f"'{choice}' is on none of your swatches, so nothing can be said of its colours. "
            "Dye a few samples with it first, or name a dyestuff you have used."
        )
    amount = name.replace("dyestuff", "dye_owf", 1)
    if wanted != "none" and ("dye_owf", wanted) not in ranges and amount not in limits:
        raise BadValue(
            f"How much {choice} was used is on none of your swatches; limit {amount} too."
        )


def _is_another(part: Bath, name: str, choice: str) -> bool:
    """Whether a dyestuff is in the part already, under another number."""
    if base_of(name) != "dyestuff" or meaning(name, choice) == "none":
        return False
    others = (n for n in part if base_of(n) == "dyestuff" and n != name)
    return any(meaning(n, str(part[n])) == meaning(name, choice) for n in others)


def _with_word(part: Bath, name: str, choice: str, ranges: Ranges) -> Bath:
    """The part of a bath with another word in it, without what described the old one."""
    base, word = base_of(name), meaning(name, choice)
    if base == "fibre":
        return {name: choice}
    out = {**part, name: choice}
    if base == "dyestuff":
        told = [name.replace("dyestuff", f"dyestuff_{k}", 1) for k in ("form", "lot")]
        out = {n: v for n, v in out.items() if n not in told}
    if base not in NAMED:
        return out
    if word == "none":
        how = name.replace("dyestuff", "dye", 1) + "_how"
        return {n: v for n, v in out.items() if owner_of(n) != name and n != how}
    amount = name.replace(base, "dye_owf" if base == "dyestuff" else f"{base}_owf", 1)
    if out.get(amount) == 0:  # there was none of the old one
        del out[amount]
    _into_range(out, amount, ranges.get((base_of(amount), word)))
    if base == "modifier":
        pH = name.replace(base, "modifier_pH", 1)
        about, read = column(pH), ranges.get(("modifier_pH", word))
        assert about is not None and about.scale is not None
        typical = typical_pH(word)
        if read is None and typical is not None:
            u = float(about.scale.to_unit(typical))
            read = (u, u) if ("modifier_pH", "") in ranges else None
        _into_range(out, pH, read)
        minutes = name.replace(base, "modifier_minutes", 1)
        if minutes not in out:
            of_any = ranges.get(("modifier_minutes", ""))
            _into_range(out, minutes, ranges.get(("modifier_minutes", word), of_any))
    return out


def _into_range(part: Bath, name: str, within: tuple[float, float] | None) -> None:
    """Put the middle of a range where there is no number or one outside of it."""
    about = column(name)
    if within is None or about is None or about.scale is None:
        return
    low, high = within
    if name not in part or not low <= float(about.scale.to_unit(part[name])) <= high:
        part[name] = float(f"{float(about.scale.from_unit((low + high) / 2)):.10g}")


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
