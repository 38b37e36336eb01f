"""A checked table of conditions to the factors the regression learns from.

Numbers are put on the trade's scales (0 at the low end of what recipes use, 1 at the high end,
logarithmic for amounts and times), words become levels. An unknown number takes the middle of the
swatches that are most like it, with their spread as its doubt; an unknown word takes theirs where
they agree, else it is a kind of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from ...colorimetry.lab import Array
from ...conditions.columns import Scale
from .derived import Numbers, Words, dyes_of, factors_of, has_mixtures, taken_variance
from .imputation import Usual, like_keys
from .trade import TradeSeen, effects_of


@dataclass(frozen=True)
class Factors:
    """Rows ready for the regression.

    x (n, p) numbers in scale units; spread (n, p) the variance of one that was imputed or taken
    to be typical, else 0;
    levels (n, q) integer codes, -1 for a word not seen when learning. names : of the numbers and
    then of the words, (p + q,), or empty where they have none. trade (n, effects) : how far each
    row is from the record's usual in what common practice knows of (see `trade`); (n, 0) for none.
    """

    x: Array
    spread: Array
    levels: np.ndarray
    names: tuple[str, ...] = ()
    trade: Array = field(default_factory=lambda: np.zeros((0, 0)))

    def __post_init__(self) -> None:
        if len(self.trade) != len(self.x):
            object.__setattr__(self, "trade", np.zeros((len(self.x), 0)))

    def take(self, rows: np.ndarray) -> Factors:
        """Some of the rows."""
        return Factors(
            self.x[rows], self.spread[rows], self.levels[rows], self.names, self.trade[rows]
        )

    def joined(self, other: Factors) -> Factors:
        """These rows and then the others."""
        return Factors(
            np.concatenate([self.x, other.x]),
            np.concatenate([self.spread, other.spread]),
            np.concatenate([self.levels, other.levels]),
            self.names,
            np.concatenate([self.trade, other.trade]),
        )


@dataclass(frozen=True)
class Encoder:
    """What was learnt about the table: its factors, their levels and ranges, and what is usual.

    numbers, words : names of the factors, in the order of `Factors.x` and `.levels`; those that
    never vary are kept, so that a new value of one is noticed. mix : dyestuffs (with form) that
    have an amount each, where any row has more than one. levels : for each word factor, the words
    seen (None is "not recorded"). low, high : range of each number as recorded, in its own unit.
    never : columns never recorded. trade : what the record says of effects of common practice.
    """

    mix: tuple[str, ...]
    numbers: tuple[str, ...]
    scales: tuple[Scale, ...]
    low: Array
    high: Array
    words: tuple[str, ...]
    levels: tuple[tuple[str | None, ...], ...]
    usual: Usual
    never: tuple[str, ...]
    trade: TradeSeen

    @classmethod
    def learn(cls, table: pd.DataFrame) -> Encoder:
        """Look at a checked table of n >= 1 rows."""
        mixed = has_mixtures(table)
        mix = tuple(sorted(dyes_of(table, with_form=True)[1])) if mixed else ()
        raw_numbers, raw_words = factors_of(table, mix)
        names: list[str] = []
        never: list[str] = []
        for name, (values, _) in raw_numbers.items():
            if np.isnan(values).all():
                never.append(name)
            elif not any(
                np.ptp(values) > 0 and np.array_equal(values, raw_numbers[n][0]) for n in names
            ):  # else the same as one already there, as the final pH without after-baths
                names.append(name)
        words = tuple(w for w, v in raw_words.items() if any(k is not None for k in v))
        never += [w for w in raw_words if w not in words]
        raw = [raw_numbers[n][0] for n in names]
        x = np.zeros((len(table), len(names)))
        for j, name in enumerate(names):
            x[:, j] = raw_numbers[name][1].to_unit(raw_numbers[name][0])
        usual = Usual.learn(x, raw_words, words)
        keys = like_keys(raw_words, len(table))
        levels = []
        for j, word in enumerate(words):
            filled = {
                w or usual.word(keys[i], j, agreed=True) for i, w in enumerate(raw_words[word])
            }
            levels.append(tuple(sorted(filled, key=lambda k: k or "")))
        return cls(
            mix,
            tuple(names),
            tuple(raw_numbers[n][1] for n in names),
            np.array([np.nanmin(v) for v in raw]),
            np.array([np.nanmax(v) for v in raw]),
            words,
            tuple(levels),
            usual,
            tuple(never),
            TradeSeen.learn(_trade(raw_numbers, raw_words, len(table)), raw_words),
        )

    def encode(self, table: pd.DataFrame) -> Factors:
        """Rows of a checked table as factors; what is unknown is filled in with its doubt."""
        raw_numbers, raw_words = factors_of(table, self.mix)
        n = len(table)
        x = np.zeros((n, len(self.numbers)))
        for j, (name, scale) in enumerate(zip(self.numbers, self.scales, strict=True)):
            x[:, j] = scale.to_unit(raw_numbers[name][0])
        spread = np.zeros_like(x)
        taken = taken_variance(table)
        for name in taken.keys() & set(self.numbers):
            spread[:, self.numbers.index(name)] = taken[name]
        missing = np.isnan(x)
        keys = like_keys(raw_words, n)
        for i in np.flatnonzero(missing.any(axis=1)).tolist():
            middle, width = self.usual.numbers(keys[i])
            x[i, missing[i]] = middle[missing[i]]
            spread[i, missing[i]] = width[missing[i]] ** 2
        codes = np.full((n, len(self.words)), -1)
        for j, word in enumerate(self.words):
            place = {level: c for c, level in enumerate(self.levels[j])}
            for i, w in enumerate(raw_words[word]):
                codes[i, j] = place.get(w if w is not None else self._filled(keys[i], j), -1)
        off = self.trade.off_usual(_trade(raw_numbers, raw_words, n))
        return Factors(x, spread, codes, (*self.numbers, *self.words), off)

    def _filled(self, keys: tuple[tuple[str, ...], ...], j: int) -> str | None:
        own_kind = None in self.levels[j]
        return self.usual.word(keys, j, agreed=own_kind)

    def assumed(self, table: pd.DataFrame) -> list[dict[str, str]]:
        """For each row, the words that are not given and taken to be as usual, by factor."""
        raw_words = factors_of(table, self.mix)[1]
        keys = like_keys(raw_words, len(table))
        out: list[dict[str, str]] = [{} for _ in range(len(table))]
        for j, word in enumerate(self.words):
            if len(self.levels[j]) < 2:
                continue
            for i, w in enumerate(raw_words[word]):
                if w is None and (filled := self._filled(keys[i], j)) is not None:
                    out[i][word] = filled
        return out

    def values(self, table: pd.DataFrame) -> tuple[Array, Words]:
        """The factors' numbers (n, p) in their own units, NaN unknown, and their words."""
        raw_numbers, raw_words = factors_of(table, self.mix)
        own = np.zeros((len(table), len(self.numbers)))
        for j, name in enumerate(self.numbers):
            own[:, j] = raw_numbers[name][0]
        return own, raw_words


def _trade(numbers: Numbers, words: Words, n: int) -> Array:
    return effects_of(numbers, words, words.get("dyestuff_form", [None] * n))
