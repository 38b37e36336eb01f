"""Common practice as a prior of the regression: a mean and a linear term of its own variance.

Of each effect of `features.trade` the size is not known but by a wide guess, normal with mean m and
standard deviation s, so the depths of two baths share sum_j s_j^2 phi_j phi_j' (Bayesian linear
regression; Rasmussen and Williams 2006, section 2.1, from memory). phi is counted from the
record's usual bath: where nothing on record differs in it, no swatch is touched by it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

import numpy as np

from ...colorimetry.lab import Array
from ..features.encoder import Factors
from ..features.trade import EFFECTS

_MEAN = np.array([e.mean for e in EFFECTS])
_VARIANCE = np.array([e.sd for e in EFFECTS]) ** 2


@dataclass(frozen=True)
class TradePrior:
    """For standardised depths: what one unit of each effect does (effects, 3), and its variance
    (parts, effects) as shares of each part's B."""

    effect: Array
    share: Array

    @classmethod
    def of(cls, sd: Array, B: Array, parts: tuple[np.ndarray, ...]) -> Self:
        """sd : (3,) the standard of the depths; B : (3, 3), standardised, of the channels; parts :
        which channels share their scales."""
        in_B = _VARIANCE / sd**2 / np.diag(B)
        return cls(_MEAN / sd, np.stack([in_B[:, channels].mean(axis=1) for channels in parts]))

    def mean(self, f: Factors) -> Array:
        """What is expected of baths (n, 3) beside the record's usual."""
        return np.asarray(f.trade @ self.effect)

    def kernel(self, part: int, a: Factors, b: Factors) -> Array:
        """(n, m): what the rows of a and b share in a part."""
        both = a.trade.any(axis=0) & b.trade.any(axis=0)  # most records are silent in most
        return np.asarray((a.trade[:, both] * self.share[part, both]) @ b.trade[:, both].T)

    def diagonal(self, part: int, a: Factors) -> Array:
        """(n,): each row's own."""
        return np.asarray((a.trade**2) @ self.share[part])
