"""What stands in for a cell that was left empty: what is usual among the swatches most like it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from ...colorimetry.lab import Array
from .derived import Words

# Doubt of an unknown number when the like swatches do not spread at all, in scale units; and the
# share of like swatches that must agree before an unknown word is taken to be theirs rather than
# a kind of its own. Our own choice.
_LEAST_SPREAD, _AGREED = 0.05, 0.8
# As how many swatches a wider group of them counts beside a narrower one: two that happen to agree
# do not say how a third was dyed. 0.001 (all but the narrowest alone), 2, 4 and 8 were compared on
# made-up untidy records, houses 700 to 709, by a trial that was not kept.
_OF_WIDER = 4.0

Key = tuple[str, ...]


def like_keys(words: Words, n: int) -> list[tuple[Key, ...]]:
    """For each row, names of the groups of like swatches it is in, from the widest to the
    narrowest: all, same dyestuff, same after-bath, both, and both on the same fibre."""
    out: list[tuple[Key, ...]] = []
    for i in range(n):
        fibre, dye, after = (words[c][i] or "?" for c in ("fibre", "dyestuff", "modifier"))
        out.append(
            (
                (),
                ("after", after),
                ("dyestuff", dye),
                ("both", dye, after),
                ("all", fibre, dye, after),
            )
        )
    return out


@dataclass(frozen=True)
class Usual:
    """Middles, spreads and counts of the numbers (p,), in scale units, and for each word factor how
    often each word occurs, by group of like swatches."""

    middles: dict[Key, tuple[Array, Array, Array]]
    counts: dict[Key, tuple[Counter[str], ...]]

    @classmethod
    def learn(cls, x: Array, words: Words, names: tuple[str, ...]) -> Usual:
        """x : (n, p) in scale units, NaN unknown. names : the word factors, in order."""
        keys = like_keys(words, len(x))
        varies = np.array([np.nanmax(v) > np.nanmin(v) for v in x.T], bool)
        middles: dict[Key, tuple[Array, Array, Array]] = {}
        counts: dict[Key, tuple[Counter[str], ...]] = {}
        for key in sorted({k for row in keys for k in row}):
            rows = [i for i, row in enumerate(keys) if key in row]
            middles[key] = _middle(x[rows], varies)
            counts[key] = tuple(
                Counter(w for i in rows if (w := words[name][i]) is not None) for name in names
            )
        return cls(middles, counts)

    def numbers(self, keys: tuple[Key, ...]) -> tuple[Array, Array]:
        """Middle and spread (p,) of each number among the like swatches, from the widest group to
        the narrowest, each the prior of the next: mean and variance of a normal variable given a
        conjugate prior (Gelman and others, Bayesian Data Analysis, 3.3; from memory)."""
        middle, width, _ = (a.copy() for a in self.middles[()])
        for key in keys[1:]:
            if key not in self.middles:
                continue
            m, s, n = self.middles[key]
            knows = n > 0
            apart = np.where(knows, m - middle, 0.0)
            whole = _OF_WIDER + n
            square = _OF_WIDER * width**2 + n * np.where(knows, s, 0.0) ** 2
            square += _OF_WIDER * n / whole * apart**2
            middle = middle + n / whole * apart
            width = np.where(width > 0, np.maximum(np.sqrt(square / whole), _LEAST_SPREAD), 0.0)
        return middle, width

    def word(self, keys: tuple[Key, ...], j: int, *, agreed: bool) -> str | None:
        """The most frequent word of factor j in the narrowest group that knows any (ties by the
        alphabet); with `agreed` only where most of the group have it."""
        for key in reversed(keys):
            count = self.counts[key][j] if key in self.counts else None
            if count:
                best = min(count, key=lambda w: (-count[w], w))
                return best if not agreed or count[best] >= _AGREED * count.total() else None
        return None


def _middle(rows: Array, varies: np.ndarray) -> tuple[Array, Array, Array]:
    """Median and spread of each number among rows, NaN where none knows it, and how many know it. A
    number that never varies says nothing, so its absence is no doubt."""
    middle = np.full(rows.shape[1], np.nan)
    width = np.full(rows.shape[1], np.nan)
    count = (~np.isnan(rows)).sum(axis=0).astype(float)
    for j in np.flatnonzero(count):
        v = rows[~np.isnan(rows[:, j]), j]
        middle[j] = np.median(v)
        width[j] = max(float(np.std(v)), _LEAST_SPREAD) if varies[j] else 0.0
    return middle, width, count
