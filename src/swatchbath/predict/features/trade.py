"""What is common practice in the trade, told as a wide guess where the record is silent.

Each effect is a number phi of a bath (0 where it does not act) and what one unit of it does to the
log depth of the colour: strength, redness, yellowness (see `regression.depth`), as a mean and a
wide standard deviation. No source is known for any figure: all are common practice. The means are
the differences in log depth of pairs of colours as a dyer would describe them (madder 42, 42, 26
in Lab is browned to 40, 28, 26; weld 75, -2, 60 is saddened to 48, -2, 28 by iron; half of the
madder gives 50, 36, 24; a second bath 55, 32, 22); the standard deviations are about half as wide
as the effect, and as wide in hue where hue is known to wander. A few swatches overrule them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ...bath.materials import family
from ...colorimetry.lab import Array
from .derived import Numbers, Words

# Dyestuffs by what they do; common practice, no source.
_MADDERS = ("madder", "lady's bedstraw")
_INSECTS = ("cochineal", "kermes", "lac")
_REDS = (*_MADDERS, *_INSECTS, "brazilwood", "sappanwood")
_YELLOWS = (
    "weld", "dyer's broom", "dyer's chamomile", "chamomile", "goldenrod", "tansy", "marigold",
    "coreopsis", "birch leaf", "onion skin", "fustic", "osage orange", "turmeric",
)  # fmt: skip
# What brings tannin of its own or needs no mordant, so that bare cellulose holds it.
_HOLDS = (
    "walnut", "cutch", "gallnut", "sumac", "myrobalan", "pomegranate", "oak", "chestnut", "alder",
    "tea", "eucalyptus", "avocado", "indigo", "woad", "turmeric", "safflower", "lichen",
)  # fmt: skip
# The amount (% owf) at which half of the most that the fibre takes up is on it.
_HALF_AT, _OF_INSECTS, _OF_EXTRACT = 60.0, 6.0, 8.0
_STRONG_FORMS = ("extract", "powder")
# Minutes to half the take-up at 80 C, and by how many degrees less it takes twice as long.
_HALF_TIME, _HOT, _TWICE_EACH = 20.0, 80.0, 20.0
_BROWNS_FROM, _NEUTRAL = 70.0, 7.0
# How much log depth must rest on such a guess, beyond what was dyed, before it is said; our own
# choice: about 3 of CIEDE2000.
_SAID_FROM = 0.15

Triple = tuple[float, float, float]


@dataclass(frozen=True)
class Effect:
    """One effect: its name, half a sentence for a dyer, mean and standard deviation of what one
    unit does to strength, redness and yellowness. by : among the baths of one "dyestuff" or
    "fibre" alone it counts as dyed; "" for all baths. usual : phi of a bath of which nothing is
    told and nothing on record either; None: unknown."""

    name: str
    words: str
    mean: Triple
    sd: Triple
    by: str = ""
    usual: float | None = 0.0


EFFECTS: tuple[Effect, ...] = (
    Effect("amount", "less dyestuff is paler, and more of it deepens less and less",
           (1.0, 0.15, 0.1), (0.4, 0.2, 0.25), by="dyestuff", usual=None),
    Effect("soak", "a short or cool bath is paler, a long cold soak is not",
           (0.8, 0.1, 0.0), (0.35, 0.15, 0.15), usual=None),
    Effect("hot madder", "hotter madder is browner, not deeper",
           (0.05, -0.45, 0.05), (0.25, 0.3, 0.3), by="dyestuff", usual=None),
    Effect("bath", "a second bath is paler and often of another hue",
           (-0.8, -0.2, -0.15), (0.4, 0.4, 0.5)),
    Effect("iron", "iron darkens and greys", (0.6, -0.15, -0.3), (0.4, 0.25, 0.35)),
    Effect("iron on red", "iron darkens and greys", (0.0, -0.5, -0.15), (0.2, 0.4, 0.4)),
    Effect("iron on yellow", "iron darkens and greys", (0.5, 0.0, -0.8), (0.4, 0.2, 0.5)),
    Effect("alkali on yellow", "alkali makes it yellower",
           (0.0, 0.05, 0.6), (0.25, 0.15, 0.4), by="dyestuff"),
    Effect("alkali on red", "alkali makes it bluer",
           (0.0, -0.2, -0.5), (0.25, 0.3, 0.3), by="dyestuff"),
    Effect("acid on red", "acid moves it to scarlet",
           (-0.15, 0.35, 0.75), (0.3, 0.3, 0.4), by="dyestuff"),
    Effect("bare cellulose",
           "linen, cotton and their like hold little without tannin or aluminium acetate",
           (-1.2, -0.1, -0.1), (0.6, 0.25, 0.3), by="fibre"),
)  # fmt: skip


def effects_of(numbers: Numbers, words: Words, forms: list[str | None]) -> Array:
    """phi (n, effects) of n baths, NaN where it is not known. numbers, words : as `factors_of`
    gives them; forms : of the dyestuff, where it is not part of its word."""
    dyes = [w or "" for w in words["dyestuff"]]
    told = {name: values for name, (values, _) in numbers.items()}

    def of(group: tuple[str, ...]) -> Array:
        return np.array([_holds_one_of(d, group) for d in dyes], dtype=float)

    heat, minutes = told["temperature_C"], told["minutes"]
    iron = np.log1p(np.maximum(told["iron_owf"], 0.0) / 0.5) / np.log(5.0)  # 1 at 2 %
    from_neutral = (np.nan_to_num(told["final_pH"], nan=_NEUTRAL) - _NEUTRAL) / 3.0
    alkali, acid = np.maximum(from_neutral, 0.0), np.maximum(-from_neutral, 0.0)
    half_time = _HALF_TIME * 2.0 ** ((_HOT - heat) / _TWICE_EACH)
    madder = of(_MADDERS)
    browned = np.where(madder > 0, np.maximum(heat - _BROWNS_FROM, 0.0) / 20.0, 0.0)
    found: Mapping[str, Array] = {
        "amount": _amount(told, dyes, forms),
        "soak": np.log(-np.expm1(-np.log(2.0) * np.maximum(minutes, 1.0) / half_time)),
        "hot madder": browned,
        "bath": np.clip(np.nan_to_num(told["bath_number"], nan=1.0) - 1.0, 0.0, 3.0),
        "iron": iron,
        "iron on red": _only(iron, of(_REDS)),
        "iron on yellow": _only(iron, of(_YELLOWS)),
        "alkali on yellow": alkali * of(_YELLOWS),
        "alkali on red": alkali * of(_REDS),
        "acid on red": acid * of(_INSECTS),
        "bare cellulose": np.array(
            [float(_bare(*row)) for row in zip(words["fibre"], words["tannin"], words["mordant"],
                                               dyes, strict=True)]
        ),
    }  # fmt: skip
    return np.column_stack([found[e.name] for e in EFFECTS])


def _only(values: Array, where: Array) -> Array:
    return np.where(where > 0, values, 0.0)


@lru_cache(maxsize=4096)
def _holds_one_of(dye: str, group: tuple[str, ...]) -> bool:
    return any(name in dye for name in group)


def _amount(told: Mapping[str, Array], dyes: list[str], forms: list[str | None]) -> Array:
    """Logarithm of the share, 0 to 1, of the most that the fibre can take up."""
    if "dye_owf" in told:
        half = np.array([_half_at(d, f or "") for d, f in zip(dyes, forms, strict=True)])
        u = told["dye_owf"] / half
    else:
        of_each = [v / _half_at(n, n) for n, v in told.items() if n.startswith("amount of ")]
        u = np.sum(of_each, axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(u > 0, np.log(u / (1.0 + u)), np.nan)


@lru_cache(maxsize=4096)
def _half_at(dye: str, form: str) -> float:
    if _holds_one_of(dye, _INSECTS):
        return _OF_INSECTS
    return _OF_EXTRACT if any(f in form for f in _STRONG_FORMS) else _HALF_AT


@lru_cache(maxsize=4096)
def _bare(fibre: str | None, tannin: str | None, mordant: str | None, dye: str) -> bool:
    """Whether it is cellulose with nothing that holds a dye; a tannin that is not told of counts
    as none, a mordant that is not told of does not."""
    if family(fibre or "") != "cellulose" or tannin not in (None, "none") or mordant is None:
        return False
    held = "acetate" in mordant or "tannin" in mordant or "soya" in mordant
    return not held and not _holds_one_of(dye, _HOLDS)


@dataclass(frozen=True)
class TradeSeen:
    """What the record says of the effects: the middle (effects,) of each, and the least and most
    of it, over all (key ("", "")) and by column and word."""

    middle: Array
    ranges: Mapping[tuple[str, str], tuple[Array, Array]]

    @classmethod
    def learn(cls, phi: Array, words: Words) -> TradeSeen:
        """phi : (n, effects) of the rows on record, NaN unknown; words : as `factors_of` gives."""
        usual = np.array([np.nan if e.usual is None else e.usual for e in EFFECTS])
        count = (~np.isnan(phi)).sum(axis=0)
        total = np.nansum(phi, axis=0)
        middle = np.where(count > 0, total / np.maximum(count, 1), usual)
        ranges = {("", ""): _range(phi)}
        for name in {e.by for e in EFFECTS if e.by}:
            for word in {w for w in words[name] if w}:
                ranges[(name, word)] = _range(phi[[w == word for w in words[name]]])
        return cls(middle, ranges)

    def off_usual(self, phi: Array) -> Array:
        """phi (n, effects) from its middle on record; 0 where either is not known."""
        return np.nan_to_num(phi - self.middle, nan=0.0)

    def said(self, off: Array, words: Words) -> list[list[str]]:
        """For each bath half a sentence for every effect that its colour rests on and the record
        does not tell of. off : (n, effects) as `off_usual` gives them."""
        return [
            self._of(off[i], {e.by: words[e.by][i] or "" for e in EFFECTS if e.by})
            for i in range(len(off))
        ]

    def _of(self, off: Array, word: Mapping[str, str]) -> list[str]:
        found: dict[str, None] = {}
        for j, e in enumerate(EFFECTS):
            whole = self.ranges[("", "")]
            low, high = self.ranges.get((e.by, word.get(e.by, "")), whole)
            if e.by == "fibre" and (e.by, word[e.by]) not in self.ranges:
                low, high = np.zeros_like(low), np.zeros_like(high)  # none of it was dyed
            at = off[j] + self.middle[j]
            beyond = max(at - high[j], low[j] - at, 0.0)
            if np.isfinite(beyond) and beyond * max(map(abs, e.mean)) >= _SAID_FROM:
                found[f"{e.words}, by common practice, not by your swatches"] = None
        return list(found)


def _range(phi: Array) -> tuple[Array, Array]:
    known = ~np.isnan(phi)
    low = np.where(known, phi, np.inf).min(axis=0, initial=np.inf)
    high = np.where(known, phi, -np.inf).max(axis=0, initial=-np.inf)
    return low, high
