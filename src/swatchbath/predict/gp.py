"""One Gaussian process for three channels that share their scales: likelihood, fit, prediction.

Covariance between rows: 1 + v (4 (x-.5).(x'-.5) + number of equal words) + exp(-sum_j w_j D_j),
with D_j the squared difference of a number in scale units, or 1 where a word differs; between
channels a matrix B, estimated in closed form. Where a number was imputed with variance u, the
exponential is averaged over it: exp(-w D / (1 + 2 w u)) / sqrt(1 + 2 w u) for each pair.
All of this, and the weak priors, were chosen in trials on a made-up dye house.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve, cholesky, solve_triangular
from scipy.optimize import minimize

from ..colorimetry.lab import Array
from .encode import Factors

__all__ = [
    "Hyper",
    "Objective",
    "Posterior",
    "active",
    "fit_hyper",
    "kernel",
    "lift",
    "prior_hyper",
    "read_share",
]

# Priors, normal on the logarithm (mean, sd), and bounds; from those trials.
_NUMBER_PRIOR = (np.log(0.5), 1.5)
_WORD_PRIOR = (np.log(0.5), 1.0)
_NOISE_PRIOR = (np.log(0.03), 1.2)
_LINEAR_PRIOR = (np.log(0.1), 1.5)
_W_BOUNDS, _NOISE_BOUNDS, _LINEAR_BOUNDS = (1e-3, 60.0), (1e-3, 2.0), (1e-4, 20.0)
# Prior of the channel covariance: 0.6 I with the weight of 2 rows; from those trials.
_B_PRIOR, _B_WEIGHT = 0.6, 2.0
_JITTER = 1e-9


@dataclass(frozen=True)
class Hyper:
    """Learnt scales: weights (p + q,), pot spread (share of B), linear share, B (3, 3)."""

    weights: Array
    pot: float
    linear: float
    B: Array
    in_linear: tuple[np.ndarray, np.ndarray]


def active(f: Factors) -> tuple[np.ndarray, np.ndarray]:
    """Which number and word factors vary among the rows (p,), (q,)."""
    numbers = np.ptp(f.x, axis=0) > 1e-9 if len(f.x) else np.zeros(f.x.shape[1], bool)
    words = (f.levels != f.levels[:1]).any(axis=0)
    return numbers | (f.spread > 0).any(axis=0), words


def prior_hyper(f: Factors) -> Hyper:
    """The scales before any swatch is seen."""
    p, q = f.x.shape[1], f.levels.shape[1]
    w = np.exp(np.r_[np.full(p, _NUMBER_PRIOR[0]), np.full(q, _WORD_PRIOR[0])])
    return Hyper(w, 0.03, 0.1, np.eye(3), active(f))


@dataclass(frozen=True)
class _Pairs:
    """Squared differences d (p + q, n, m), words as 0 or 1; u (k, n, m) the summed variances of
    the imputed numbers `of` (k,), the only ones that have any."""

    d: Array
    u: Array
    of: np.ndarray

    def keep(self, on: np.ndarray) -> _Pairs:
        """Only the factors `on`, renumbered."""
        stay = np.isin(self.of, on)
        return _Pairs(self.d[on], self.u[stay], np.searchsorted(on, self.of[stay]))


def _pair(a: Factors, b: Factors, same: bool) -> _Pairs:
    d = (a.x.T[:, :, None] - b.x.T[:, None, :]) ** 2
    unequal = (a.levels.T[:, :, None] != b.levels.T[:, None, :]) | (a.levels.T[:, :, None] < 0)
    of = np.flatnonzero(a.spread.any(axis=0) | b.spread.any(axis=0))
    u = a.spread.T[of, :, None] + b.spread.T[of, None, :]
    if same:  # a row is itself, also where a number or a word of it is not known
        i = np.arange(len(a.x))
        unequal[:, i, i] = False
        u[:, i, i] = 0.0
    return _Pairs(np.concatenate([d, unequal.astype(float)]), u, of)


def _exp_part(w: Array, pairs: _Pairs) -> Array:
    total = np.tensordot(w, pairs.d, axes=1)
    for k, j in enumerate(pairs.of):
        widened = 1 + 2 * w[j] * pairs.u[k]
        total += w[j] * pairs.d[j] * (1 / widened - 1) + 0.5 * np.log(widened)
    return np.asarray(np.exp(-total))


def _linear_part(a: Factors, b: Factors, use: tuple[np.ndarray, np.ndarray], same: bool) -> Array:
    xa, xb = a.x[:, use[0]] - 0.5, b.x[:, use[0]] - 0.5
    la, lb = a.levels[:, use[1]], b.levels[:, use[1]]
    equal = (la[:, None, :] == lb[None, :, :]) & (la[:, None, :] >= 0)
    out = 4 * xa @ xb.T + equal.sum(axis=2)
    if same:
        out = out + np.diag(4 * a.spread[:, use[0]].sum(axis=1))
    return np.asarray(out)


def kernel(h: Hyper, a: Factors, b: Factors, *, same: bool = False) -> tuple[Array, Array]:
    """Covariance (n, m) of the rows of a with those of b, whole and its exponential part."""
    e = _exp_part(h.weights, _pair(a, b, same))
    return 1 + h.linear * _linear_part(a, b, h.in_linear, same) + e, e


def kernel_diagonal(h: Hyper, a: Factors) -> Array:
    """The whole covariance of each row with itself (n,)."""
    xa = a.x[:, h.in_linear[0]] - 0.5
    numbers = 4 * (xa * xa + a.spread[:, h.in_linear[0]]).sum(axis=1)
    words = (a.levels[:, h.in_linear[1]] >= 0).sum(axis=1)
    return np.asarray(2 + h.linear * (numbers + words))


class Objective:
    """What the fit makes small: (n+2)/2 log|B| + 3/2 log|K| + priors, with its exact gradient.

    theta holds the logarithms of the weights of the factors that vary, the pot spread and the
    linear share. f : n rows. z : (n, 3) standardised depths. pots : (n, n), the pot's deviation
    two rows share. read : (n,), the readings' variance as a share of B.
    """

    def __init__(self, f: Factors, z: Array, pots: Array, read: Array) -> None:
        self.f, self.z, self.pots = f, z, pots
        self.use = active(f)
        self.on = np.flatnonzero(np.r_[self.use[0], self.use[1]])
        self._pairs = _pair(f, f, True).keep(self.on)
        self._linear = _linear_part(f, f, self.use, True)
        self._diagonal = np.diag(read + _JITTER)
        number = self.on < f.x.shape[1]
        both = [
            np.where(number, _NUMBER_PRIOR[i], _WORD_PRIOR[i]).tolist()
            + [_NOISE_PRIOR[i], _LINEAR_PRIOR[i]]
            for i in (0, 1)
        ]
        self._mean, self._sd = np.array(both[0]), np.array(both[1])
        edges = [_W_BOUNDS] * len(self.on) + [_NOISE_BOUNDS, _LINEAR_BOUNDS]
        self.bounds = np.log(np.array(edges))

    def theta_of(self, h: Hyper) -> Array:
        """Where to begin, from scales."""
        theta = np.log(np.r_[h.weights[self.on], h.pot, h.linear])
        return np.asarray(np.clip(theta, self.bounds[:, 0], self.bounds[:, 1]))

    def _covariance(self, theta: Array) -> tuple[Array, Array]:
        w, pot, v = np.exp(theta[:-2]), np.exp(theta[-2]), np.exp(theta[-1])
        e = _exp_part(w, self._pairs)
        return 1 + v * self._linear + e + pot * self.pots + self._diagonal, e

    def _B(self, a: Array) -> Array:
        b = (self.z.T @ a + _B_PRIOR * np.eye(3)) / (len(self.z) + _B_WEIGHT)
        return np.asarray((b + b.T) / 2)

    def __call__(self, theta: Array) -> tuple[float, Array]:
        """Value and gradient."""
        w, n, pairs = np.exp(theta[:-2]), len(self.z), self._pairs
        k, e = self._covariance(theta)
        factor = cholesky(k, lower=True)
        inverse = cho_solve((factor, True), np.eye(n))
        a = inverse @ self.z
        B = self._B(a)
        off = (theta - self._mean) / self._sd
        value = (n + _B_WEIGHT) / 2 * np.linalg.slogdet(B)[1]
        value += 3 * np.log(np.diag(factor)).sum() + 0.5 * (off**2).sum()
        g = 0.5 * (3 * inverse - a @ np.linalg.inv(B) @ a.T)
        ge = g * e
        slope = np.empty_like(theta)
        slope[:-2] = -w * np.tensordot(pairs.d, ge, axes=([1, 2], [0, 1]))
        for i, j in enumerate(pairs.of):
            widened = 1 + 2 * w[j] * pairs.u[i]
            change = w[j] * (pairs.u[i] / widened + pairs.d[j] / widened**2)
            slope[j] = -(change * ge).sum()
        slope[-2] = np.exp(theta[-2]) * (g * self.pots).sum()
        slope[-1] = np.exp(theta[-1]) * (g * self._linear).sum()
        return float(value), slope + off / self._sd

    def hyper(self, theta: Array) -> Hyper:
        """The scales at theta, with B; factors that do not vary stay at their prior."""
        weights = prior_hyper(self.f).weights
        weights[self.on] = np.exp(theta[:-2])
        a = cho_solve(cho_factor(self._covariance(theta)[0], lower=True), self.z)
        return Hyper(
            weights, float(np.exp(theta[-2])), float(np.exp(theta[-1])), self._B(a), self.use
        )


def fit_hyper(
    f: Factors, z: Array, pots: Array, read: Array, *, start: Hyper | None = None, steps: int = 60
) -> Hyper:
    """Learn the scales of n rows (see Objective), from `start` or the priors' middle."""
    goal = Objective(f, z, pots, read)
    begin = goal.theta_of(start or prior_hyper(f))
    found = minimize(
        goal, begin, jac=True, method="L-BFGS-B", bounds=goal.bounds, options={"maxiter": steps}
    )
    return goal.hyper(found.x)


class Posterior:
    """What the swatches say about other baths, given the scales.

    f, z : the n rows. noise : the readings' covariance in standardised depth, (3n, 3n) with the
    three channels of a row together, or (n,) as shares of B (then the channels separate).
    """

    def __init__(self, h: Hyper, f: Factors, z: Array, pots: Array, noise: Array) -> None:
        self.h, self.f, self.z, self.pots, self.noise = h, f, z, pots, noise
        k, e = kernel(h, f, f, same=True)
        n = len(z)
        self.separate = noise.ndim == 1
        if self.separate:
            self._factor = cholesky(k + h.pot * pots + np.diag(noise + _JITTER), lower=True)
            self._a = cho_solve((self._factor, True), z)
            share = noise
        else:
            whole = np.kron(k + h.pot * pots, h.B) + noise + _JITTER * np.eye(3 * n)
            self._factor = cholesky(whole, lower=True)
            self._a = cho_solve((self._factor, True), z.ravel())
            share = read_share(noise.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n)], h.B)
        self._e_factor = cholesky(e + np.diag(h.pot + share + _JITTER), lower=True)

    def mean(self, g: Factors) -> Array:
        """Expected standardised depth (m, 3)."""
        k = kernel(self.h, g, self.f)[0]
        if self.separate:
            return np.asarray(k @ self._a)
        return np.asarray(k @ self._a.reshape(-1, 3) @ self.h.B)

    def at(self, g: Factors, cross: Array | None = None) -> tuple[Array, Array, Array]:
        """Mean (m, 3), covariance (m, 3, 3) of the colour such a bath gives on average, and the
        share (m,), 0 to 1, of what was open before any swatch that is still open.

        cross : (3m, 3n), what errors of readings of these baths share with the swatches'; then
        mean and covariance are those of the reading, before its own doubt is added.
        """
        k, e = kernel(self.h, g, self.f)
        own = kernel_diagonal(self.h, g)
        left = solve_triangular(self._e_factor, e.T, lower=True)
        share = 1 - (left * left).sum(axis=0)
        if self.separate:
            half = solve_triangular(self._factor, k.T, lower=True)
            rest = np.maximum(own - (half * half).sum(axis=0), 1e-12)
            return np.asarray(k @ self._a), rest[:, None, None] * self.h.B, share
        m, n = k.shape
        wide = np.kron(k, self.h.B)  # (3m, 3n)
        if cross is not None:
            wide = wide + cross
        half = solve_triangular(self._factor, wide.T, lower=True).reshape(3 * n, m, 3)
        taken = half.transpose(1, 2, 0) @ half.transpose(1, 0, 2)
        cov = own[:, None, None] * self.h.B - taken
        return (wide @ self._a).reshape(m, 3), cov, share

    def likeness(self, g: Factors) -> Array:
        """(m, n): how like the rows' baths these are, 0 to 1."""
        return kernel(self.h, g, self.f)[1]


def read_share(blocks: Array, B: Array) -> Array:
    """Readings' covariances (n, 3, 3) as one number each (n,), in shares of B.

    The cube root of the ratio of determinants: the volume of doubt is kept.
    """
    scale = np.linalg.det(B)
    return np.asarray(np.cbrt(np.maximum(np.linalg.det(blocks), 0) / scale))


def lift(cov: Array) -> Array:
    """Symmetric, with no direction below a hair above zero (round-off)."""
    cov = (cov + np.swapaxes(cov, 1, 2)) / 2
    values, vectors = np.linalg.eigh(cov)
    return np.asarray((vectors * np.maximum(values, 1e-12)[:, None, :]) @ vectors.swapaxes(1, 2))
