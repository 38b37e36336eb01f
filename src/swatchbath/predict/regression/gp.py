"""Two Gaussian processes, one for the strength and one for the two hues of log depth: likelihood,
fit, prediction.

How much dye a fibre takes up and what hue it has answer to different conditions (amount, time and
heat; final pH, iron, dyestuff), so each part has scales of its own. Covariance between rows within
a part: 1 + v (4 (x-.5).(x'-.5) + number of equal words) + exp(-sum_j w_j D_j), with D_j the
squared difference of a number in scale units, or 1 where a word differs; between its channels a
matrix B, estimated in closed form. Where a number was imputed with variance u, the exponential is
averaged over it: exp(-w D / (1 + 2 w u)) / sqrt(1 + 2 w u) for each pair.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve, cholesky, solve_triangular
from scipy.optimize import minimize

from ...colorimetry.lab import Array
from ..features.encoder import Factors
from .priors import LINEAR, prior_of

__all__ = [
    "PARTS",
    "Hyper",
    "Objective",
    "Posterior",
    "Scales",
    "active",
    "fit_hyper",
    "kernel",
    "lift",
    "likeness",
    "own_blocks",
    "prior_hyper",
    "read_share",
]

# The channels of log depth that share their scales: strength alone, and the two hues.
PARTS = (np.array([0]), np.array([1, 2]))
# Prior of the pots' scatter, normal on the logarithm (mean, sd), and bounds; chosen in trials on a
# made-up dye house. Those of the weights and the linear share: `priors`.
_NOISE_PRIOR = (np.log(0.03), 1.2)
_W_BOUNDS, _NOISE_BOUNDS, _LINEAR_BOUNDS = (1e-3, 60.0), (1e-3, 2.0), (1e-4, 20.0)
# Prior of the channel covariance: 0.6 I with the weight of 2 rows; from those trials.
_B_PRIOR, _B_WEIGHT = 0.6, 2.0
_JITTER = 1e-9
# How much wider the doubt is where nothing like a bath was dyed: 1 + 2 share^2 of its covariance.
# How dyestuffs differ is known from a few of them only, which the covariance does not say; in
# tests/studies/score_shade_model.py colours with most still open were held 0.5 to 0.7 without it.
_OPEN = 2.0


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
        weights, linear = np.exp(_weight_priors(f, part)[0]), float(np.exp(LINEAR[part][0]))
        found.append(Scales(weights, 0.03, linear, np.eye(len(channels))))
    return Hyper(tuple(found), active(f))


def _weight_priors(f: Factors, part: int) -> tuple[Array, Array]:
    """Mean and sd (p + q,) of the logarithm of each factor's weight."""
    p, q = f.x.shape[1], f.levels.shape[1]
    names = f.names or ("",) * (p + q)
    both = [prior_of(name, part, word=j >= p) for j, name in enumerate(names)]
    mean, sd = np.array(both).reshape(-1, 2).T
    return np.clip(mean, *np.log(_W_BOUNDS)), sd


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


def kernel(
    h: Hyper, a: Factors, b: Factors, *, same: bool = False
) -> tuple[tuple[Array, Array], ...]:
    """For strength and for hue the covariance (n, m) of the rows of a with those of b, whole and
    its exponential part."""
    pairs, linear = _pair(a, b, same), _linear_part(a, b, h.in_linear, same)
    out = []
    for scales, _ in h.parts:
        e = _exp_part(scales.weights, pairs)
        out.append((1 + scales.linear * linear + e, e))
    return tuple(out)


def kernel_diagonal(h: Hyper, a: Factors) -> tuple[Array, ...]:
    """For strength and for hue the whole covariance of each row with itself (n,)."""
    xa = a.x[:, h.in_linear[0]] - 0.5
    numbers = 4 * (xa * xa + a.spread[:, h.in_linear[0]]).sum(axis=1)
    words = (a.levels[:, h.in_linear[1]] >= 0).sum(axis=1)
    return tuple(2 + scales.linear * (numbers + words) for scales, _ in h.parts)


class Objective:
    """What the fit of one part makes small, with its exact gradient:
    (n+2)/2 log|B| + c/2 log|K| + priors.

    theta holds the logarithms of the weights of the factors that vary, the pot spread and the
    linear share. f : n rows. z : (n, c) standardised depths of the part's channels. pots : (n, n),
    the pot's deviation two rows share. read : (n,), the readings' variance as a share of B.
    part : 0 for strength, 1 for hue.
    """

    def __init__(self, f: Factors, z: Array, pots: Array, read: Array, part: int) -> None:
        self.f, self.z, self.pots, self.part = f, z, pots, part
        self.use = active(f)
        self.on = np.flatnonzero(np.r_[self.use[0], self.use[1]])
        self._pairs = _pair(f, f, True).keep(self.on)
        self._linear = _linear_part(f, f, self.use, True)
        self._diagonal = np.diag(read + _JITTER)
        mean, sd = _weight_priors(f, part)
        self._mean = np.r_[mean[self.on], _NOISE_PRIOR[0], LINEAR[part][0]]
        self._sd = np.r_[sd[self.on], _NOISE_PRIOR[1], LINEAR[part][1]]
        edges = [_W_BOUNDS] * len(self.on) + [_NOISE_BOUNDS, _LINEAR_BOUNDS]
        self.bounds = np.log(np.array(edges))

    def theta_of(self, scales: Scales) -> Array:
        """Where to begin, from scales."""
        theta = np.log(np.r_[scales.weights[self.on], scales.pot, scales.linear])
        return np.asarray(np.clip(theta, self.bounds[:, 0], self.bounds[:, 1]))

    def _covariance(self, theta: Array) -> tuple[Array, Array]:
        w, pot, v = np.exp(theta[:-2]), np.exp(theta[-2]), np.exp(theta[-1])
        e = _exp_part(w, self._pairs)
        return 1 + v * self._linear + e + pot * self.pots + self._diagonal, e

    def _B(self, a: Array) -> Array:
        b = (self.z.T @ a + _B_PRIOR * np.eye(self.z.shape[1])) / (len(self.z) + _B_WEIGHT)
        return np.asarray((b + b.T) / 2)

    def __call__(self, theta: Array) -> tuple[float, Array]:
        """Value and gradient."""
        (n, c), w, pairs = self.z.shape, np.exp(theta[:-2]), self._pairs
        k, e = self._covariance(theta)
        factor = cholesky(k, lower=True)
        inverse = cho_solve((factor, True), np.eye(n))
        a = inverse @ self.z
        B = self._B(a)
        off = (theta - self._mean) / self._sd
        value = (n + _B_WEIGHT) / 2 * np.linalg.slogdet(B)[1]
        value += c * np.log(np.diag(factor)).sum() + 0.5 * (off**2).sum()
        g = 0.5 * (c * inverse - a @ np.linalg.inv(B) @ a.T)
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

    def scales(self, theta: Array) -> Scales:
        """The scales at theta, with B; factors that do not vary stay at their prior."""
        weights = np.exp(_weight_priors(self.f, self.part)[0])
        weights[self.on] = np.exp(theta[:-2])
        a = cho_solve(cho_factor(self._covariance(theta)[0], lower=True), self.z)
        return Scales(weights, float(np.exp(theta[-2])), float(np.exp(theta[-1])), self._B(a))


def fit_hyper(
    f: Factors, z: Array, pots: Array, read: Array, *, start: Hyper | None = None, steps: int = 60
) -> Hyper:
    """Learn the scales of n rows, from `start` or the priors' middle. z (n, 3) standardised
    depths; read (n, 2) the readings' variance as shares of each part's B; see Objective."""
    found = []
    for part, (scales, channels) in enumerate((start or prior_hyper(f)).parts):
        goal = Objective(f, z[:, channels], pots, read[:, part], part)
        best = minimize(
            goal,
            goal.theta_of(scales),
            jac=True,
            method="L-BFGS-B",
            bounds=goal.bounds,
            options={"maxiter": steps},
        )
        found.append(goal.scales(best.x))
    return Hyper(tuple(found), active(f))


class Posterior:
    """What the swatches say about other baths, given the scales.

    f, z : the n rows. noise : the readings' covariance in standardised depth, (3n, 3n) with the
    three channels of a row together, or (n, 2) as shares of each part's B (then parts separate).
    """

    def __init__(self, h: Hyper, f: Factors, z: Array, pots: Array, noise: Array) -> None:
        self.h, self.f, self.z, self.pots, self.noise = h, f, z, pots, noise
        n = len(z)
        self.separate = noise.shape == (n, 2)
        share = noise if self.separate else read_share(own_blocks(noise), h.B)
        kernels = kernel(h, f, f, same=True)
        if self.separate:
            self._factors, self._a = [], np.zeros((n, 3))
            for part, (scales, channels) in enumerate(h.parts):
                own = scales.pot * pots + np.diag(noise[:, part] + _JITTER)
                factor = cholesky(kernels[part][0] + own, lower=True)
                self._factors.append(factor)
                self._a[:, channels] = cho_solve((factor, True), z[:, channels])
        else:
            whole = noise + _JITTER * np.eye(3 * n)
            for (scales, channels), (k, _) in zip(h.parts, kernels, strict=True):
                _add(whole, k + scales.pot * pots, scales.B, channels)
            self._factors = [cholesky(whole, lower=True)]
            self._a = cho_solve((self._factors[0], True), z.ravel()).reshape(n, 3)
        self._e_factors = [
            cholesky(e + np.diag(scales.pot + share[:, part] + _JITTER), lower=True)
            for part, ((scales, _), (_, e)) in enumerate(zip(h.parts, kernels, strict=True))
        ]

    def mean(self, g: Factors) -> Array:
        """Expected standardised depth (m, 3)."""
        return self._mean([k for k, _ in kernel(self.h, g, self.f)])

    def _mean(self, kernels: list[Array]) -> Array:
        out = np.zeros((len(kernels[0]), 3))
        for (scales, channels), k in zip(self.h.parts, kernels, strict=True):
            a = self._a[:, channels]
            out[:, channels] = k @ (a if self.separate else a @ scales.B)
        return out

    def at(self, g: Factors, cross: Array | None = None) -> tuple[Array, Array, Array]:
        """Mean (m, 3), covariance (m, 3, 3) of the colour such a bath gives on average, and the
        share (m,), 0 to 1, of what was open before any swatch that is still open. Where that is
        much, the covariance is widened: times 1 + 2 share^2.

        cross : (3m, 3n), what errors of readings of these baths share with the swatches'; then
        mean and covariance are those of the reading, before its own doubt is added.
        """
        kernels, own = kernel(self.h, g, self.f), kernel_diagonal(self.h, g)
        share = np.zeros(len(g.x))
        for factor, (_, e), channels in zip(self._e_factors, kernels, PARTS, strict=True):
            left = solve_triangular(factor, e.T, lower=True)
            share += len(channels) / 3 * (1 - (left * left).sum(axis=0))
        whole = [k for k, _ in kernels]
        cov = np.zeros((len(g.x), 3, 3))
        for part, (scales, channels) in enumerate(self.h.parts):
            left_open = own[part]
            if self.separate:
                half = solve_triangular(self._factors[part], whole[part].T, lower=True)
                left_open = np.maximum(left_open - (half * half).sum(axis=0), 1e-12)
            cov[np.ix_(np.arange(len(cov)), channels, channels)] = (
                left_open[:, None, None] * scales.B
            )
        wider = (1 + _OPEN * share**2)[:, None, None]
        if self.separate:
            return self._mean(whole), wider * cov, share
        m, n = whole[0].shape
        wide = np.zeros((3 * m, 3 * n)) if cross is None else np.array(cross, dtype=float)
        for (scales, channels), k in zip(self.h.parts, whole, strict=True):
            _add(wide, k, scales.B, channels)
        half = solve_triangular(self._factors[0], wide.T, lower=True).reshape(3 * n, m, 3)
        cov = cov - half.transpose(1, 2, 0) @ half.transpose(1, 0, 2)
        return (wide @ self._a.ravel()).reshape(m, 3), wider * cov, share

    def carried(self, g: Factors, errors: Array) -> Array:
        """What errors (n, 3, k) of the rows' depths, each column common to all of them, do to the
        mean of baths: (m, 3, k). The mean is linear in the rows, so it is the mean of errors."""
        n, k = len(errors), errors.shape[2]
        kernels = [part for part, _ in kernel(self.h, g, self.f)]
        out = np.zeros((len(g.x), 3, k))
        if not self.separate:
            a = cho_solve((self._factors[0], True), errors.reshape(3 * n, k)).reshape(n, 3, k)
        for part, (scales, channels) in enumerate(self.h.parts):
            if self.separate:
                mine = errors[:, channels].reshape(n, -1)
                each = cho_solve((self._factors[part], True), mine).reshape(n, -1, k)
            else:
                each = np.einsum("ndk,dc->nck", a[:, channels], scales.B)
            out[:, channels] = np.einsum("mn,nck->mck", kernels[part], each)
        return out

    def likeness(self, g: Factors) -> Array:
        """(m, n): how like the rows' baths these are, 0 to 1."""
        return likeness(self.h, g, self.f)


def likeness(h: Hyper, a: Factors, b: Factors) -> Array:
    """(n, m): how like baths a and b are, 0 to 1, strength and hue together."""
    return _exp_part(h.weights, _pair(a, b, False))


def _add(whole: Array, k: Array, B: Array, channels: np.ndarray) -> None:
    """Add k (n, m) times B between the channels of a part to a covariance (3n, 3m), in place."""
    n, m = k.shape
    blocks = whole.reshape(n, 3, m, 3)
    for i, a in enumerate(channels):
        for j, b in enumerate(channels):
            blocks[:, a, :, b] += B[i, j] * k


def own_blocks(noise: Array) -> Array:
    """Each row's own covariance (n, 3, 3) out of (3n, 3n)."""
    n = len(noise) // 3
    return np.asarray(noise.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n)])


def read_share(blocks: Array, B: Array) -> Array:
    """Readings' covariances (n, 3, 3) as one number for each part (n, 2), in shares of B (3, 3).

    The root of the ratio of determinants: the volume of doubt is kept.
    """
    out = np.zeros((len(blocks), len(PARTS)))
    for part, channels in enumerate(PARTS):
        inner = np.ix_(channels, channels)
        mine = np.linalg.det(blocks[:, channels[:, None], channels])
        ratio = np.maximum(mine, 0) / np.linalg.det(B[inner])
        out[:, part] = ratio ** (1 / len(channels))
    return out


def lift(cov: Array) -> Array:
    """Symmetric, with no direction below a hair above zero (round-off)."""
    cov = (cov + np.swapaxes(cov, 1, 2)) / 2
    values, vectors = np.linalg.eigh(cov)
    return np.asarray((vectors * np.maximum(values, 1e-12)[:, None, :]) @ vectors.swapaxes(1, 2))
