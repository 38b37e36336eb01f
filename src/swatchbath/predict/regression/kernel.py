"""How alike two baths are to the regression: the covariance of their depths, given its scales.

How much dye a fibre takes up and what hue it has answer to different conditions (amount, time and
heat; final pH, iron, dyestuff), so each part has scales of its own. Covariance between rows within
a part: 1 + v (4 (x-.5).(x'-.5) + number of equal words) + exp(-sum_j w_j D_j), with D_j the
squared difference of a number in scale units, or 1 where a word differs; between its channels a
matrix B. Where a number was imputed with variance u, the exponential is averaged over it:
exp(-w D / (1 + 2 w u)) / sqrt(1 + 2 w u) for each pair.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ...colorimetry.lab import Array
from ..features.encoder import Factors
from .priors import LINEAR, prior_of

# The channels of log depth that share their scales: strength alone, and the two hues.
PARTS = (np.array([0]), np.array([1, 2]))
WEIGHT_BOUNDS = (1e-3, 60.0)


@dataclass(frozen=True)
class Scales:
    """Learnt scales of one part: weights (p + q,), pot spread (share of B), linear share, and the
    covariance B of its channels (1, 1) or (2, 2)."""

    weights: Array
    pot: float
    linear: float
    B: Array


@dataclass(frozen=True)
class Hyper:
    """The scales of strength and of hue, and which numbers and words are in their linear terms."""

    scales: tuple[Scales, ...]
    in_linear: tuple[np.ndarray, np.ndarray]

    @property
    def parts(self) -> tuple[tuple[Scales, np.ndarray], ...]:
        """Each part's scales and channels."""
        return tuple(zip(self.scales, PARTS, strict=True))

    @property
    def B(self) -> Array:
        """Covariance of the channels (3, 3)."""
        return self._joined(lambda s: s.B)

    @property
    def pot(self) -> Array:
        """Covariance (3, 3) of how pots of one recipe scatter."""
        return self._joined(lambda s: s.pot * s.B)

    @property
    def weights(self) -> Array:
        """Each factor's weight (p + q,), strength and hue together."""
        return np.asarray(np.mean([s.weights for s in self.scales], axis=0))

    def _joined(self, of: Callable[[Scales], Array]) -> Array:
        out = np.zeros((3, 3))
        for scales, channels in self.parts:
            out[np.ix_(channels, channels)] = of(scales)
        return out


def active(f: Factors) -> tuple[np.ndarray, np.ndarray]:
    """Which number and word factors vary among the rows (p,), (q,)."""
    numbers = np.ptp(f.x, axis=0) > 1e-9 if len(f.x) else np.zeros(f.x.shape[1], bool)
    words = (f.levels != f.levels[:1]).any(axis=0)
    return numbers | (f.spread > 0).any(axis=0), words


def prior_hyper(f: Factors) -> Hyper:
    """The scales before any swatch is seen."""
    found = []
    for part, channels in enumerate(PARTS):
        weights, linear = np.exp(weight_priors(f, part)[0]), float(np.exp(LINEAR[part][0]))
        found.append(Scales(weights, 0.03, linear, np.eye(len(channels))))
    return Hyper(tuple(found), active(f))


def weight_priors(f: Factors, part: int) -> tuple[Array, Array]:
    """Mean and sd (p + q,) of the logarithm of each factor's weight."""
    p, q = f.x.shape[1], f.levels.shape[1]
    names = f.names or ("",) * (p + q)
    both = [prior_of(name, part, word=j >= p) for j, name in enumerate(names)]
    mean, sd = np.array(both).reshape(-1, 2).T
    return np.clip(mean, *np.log(WEIGHT_BOUNDS)), sd


@dataclass(frozen=True)
class FactorPairs:
    """Squared differences d (p + q, n, m), words as 0 or 1; u (k, n, m) the summed variances of
    the imputed numbers `of` (k,), the only ones that have any."""

    d: Array
    u: Array
    of: np.ndarray

    def keep(self, on: np.ndarray) -> FactorPairs:
        """Only the factors `on`, renumbered."""
        stay = np.isin(self.of, on)
        return FactorPairs(self.d[on], self.u[stay], np.searchsorted(on, self.of[stay]))


def pairs_of(a: Factors, b: Factors, same: bool) -> FactorPairs:
    d = (a.x.T[:, :, None] - b.x.T[:, None, :]) ** 2
    unequal = (a.levels.T[:, :, None] != b.levels.T[:, None, :]) | (a.levels.T[:, :, None] < 0)
    of = np.flatnonzero(a.spread.any(axis=0) | b.spread.any(axis=0))
    u = a.spread.T[of, :, None] + b.spread.T[of, None, :]
    if same:  # a row is itself, also where a number or a word of it is not known
        i = np.arange(len(a.x))
        unequal[:, i, i] = False
        u[:, i, i] = 0.0
    return FactorPairs(np.concatenate([d, unequal.astype(float)]), u, of)


def exponential_part(w: Array, pairs: FactorPairs) -> Array:
    total = np.tensordot(w, pairs.d, axes=1)
    for k, j in enumerate(pairs.of):
        widened = 1 + 2 * w[j] * pairs.u[k]
        total += w[j] * pairs.d[j] * (1 / widened - 1) + 0.5 * np.log(widened)
    return np.asarray(np.exp(-total))


def linear_part(a: Factors, b: Factors, use: tuple[np.ndarray, np.ndarray], same: bool) -> Array:
    xa, xb = a.x[:, use[0]] - 0.5, b.x[:, use[0]] - 0.5
    la, lb = a.levels[:, use[1]], b.levels[:, use[1]]
    equal = (la[:, None, :] == lb[None, :, :]) & (la[:, None, :] >= 0)
    out = 4 * xa @ xb.T + equal.sum(axis=2)
    if same:
        out = out + np.diag(4 * a.spread[:, use[0]].sum(axis=1))
    return np.asarray(out)


def kernel(
    h: Hyper, a: Factors, b: Factors, *, same: bool = False
) -> tuple[tuple[Array, Array], ...]:
    """For strength and for hue the covariance (n, m) of the rows of a with those of b, whole and
    its exponential part."""
    pairs, linear = pairs_of(a, b, same), linear_part(a, b, h.in_linear, same)
    out = []
    for scales, _ in h.parts:
        e = exponential_part(scales.weights, pairs)
        out.append((1 + scales.linear * linear + e, e))
    return tuple(out)


def kernel_diagonal(h: Hyper, a: Factors) -> tuple[Array, ...]:
    """For strength and for hue the whole covariance of each row with itself (n,)."""
    xa = a.x[:, h.in_linear[0]] - 0.5
    numbers = 4 * (xa * xa + a.spread[:, h.in_linear[0]]).sum(axis=1)
    words = (a.levels[:, h.in_linear[1]] >= 0).sum(axis=1)
    return tuple(2 + scales.linear * (numbers + words) for scales, _ in h.parts)


def kernel_similarity(h: Hyper, a: Factors, b: Factors) -> Array:
    """(n, m): how like baths a and b are, 0 to 1, strength and hue together."""
    return exponential_part(h.weights, pairs_of(a, b, False))
