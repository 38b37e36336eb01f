"""Two Gaussian processes, one for the strength and one for the two hues of log depth: likelihood,
fit, prediction. Their covariance is that of `kernel`, times a matrix B between the channels of a
part, estimated in closed form.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import cho_factor, cho_solve, cholesky, solve_triangular

from ...colorimetry.lab import Array
from ..features.encoder import Factors
from .kernel import (
    PARTS,
    WEIGHT_BOUNDS,
    Hyper,
    Scales,
    active,
    exponential_part,
    kernel,
    kernel_diagonal,
    kernel_similarity,
    linear_part,
    pairs_of,
    prior_hyper,
    weight_priors,
)
from .priors import LINEAR
from .trade_prior import TradePrior

# Prior of the pots' scatter, normal on the logarithm (mean, sd), and bounds; chosen in trials on a
# made-up dye house. Those of the weights and the linear share: `priors`.
_NOISE_PRIOR = (np.log(0.03), 1.2)
_NOISE_BOUNDS, _LINEAR_BOUNDS = (1e-3, 2.0), (1e-4, 20.0)
# Prior of the channel covariance: 0.6 I with the weight of 2 rows; from those trials.
_B_PRIOR, _B_WEIGHT = 0.6, 2.0
_JITTER = 1e-9
# How much wider the covariance is where nothing like a bath was dyed: times 1 + 2 fraction^2. How
# dyestuffs differ is known from a few of them only, which the covariance does not say; in
# tests/studies/score_shade_model.py colours with most still open were held 0.5 to 0.7 without it.
_OPEN = 2.0


class Objective:
    """What the fit of one part makes small, with its exact gradient:
    (n+2)/2 log|B| + c/2 log|K| + priors.

    theta holds the logarithms of the weights of the factors that vary, the pot spread and the
    linear share. f : n rows. z : (n, c) standardised depths of the part's channels. pots : (n, n),
    the pot's deviation two rows share. read : (n,), the readings' variance as a share of B.
    part : 0 for strength, 1 for hue. trade : what of common practice is not known, (n, n); z is
    then beside its mean.
    """

    def __init__(
        self, f: Factors, z: Array, pots: Array, read: Array, part: int, trade: Array | float = 0.0
    ) -> None:
        self.f, self.z, self.pots, self.part = f, z, pots, part
        self.use = active(f)
        self.on = np.flatnonzero(np.r_[self.use[0], self.use[1]])
        self._pairs = pairs_of(f, f, True).keep(self.on)
        self._linear = linear_part(f, f, self.use, True)
        self._fixed = np.diag(read + _JITTER) + trade
        mean, sd = weight_priors(f, part)
        self._mean = np.r_[mean[self.on], _NOISE_PRIOR[0], LINEAR[part][0]]
        self._sd = np.r_[sd[self.on], _NOISE_PRIOR[1], LINEAR[part][1]]
        edges = [WEIGHT_BOUNDS] * len(self.on) + [_NOISE_BOUNDS, _LINEAR_BOUNDS]
        self.bounds = np.log(np.array(edges))

    def theta_of(self, scales: Scales) -> Array:
        """Where to begin, from scales."""
        theta = np.log(np.r_[scales.weights[self.on], scales.pot, scales.linear])
        return np.asarray(np.clip(theta, self.bounds[:, 0], self.bounds[:, 1]))

    def _covariance(self, theta: Array) -> tuple[Array, Array]:
        w, pot, v = np.exp(theta[:-2]), np.exp(theta[-2]), np.exp(theta[-1])
        e = exponential_part(w, self._pairs)
        return 1 + v * self._linear + e + pot * self.pots + self._fixed, e

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
        weights = np.exp(weight_priors(self.f, self.part)[0])
        weights[self.on] = np.exp(theta[:-2])
        a = cho_solve(cho_factor(self._covariance(theta)[0], lower=True), self.z)
        return Scales(weights, float(np.exp(theta[-2])), float(np.exp(theta[-1])), self._B(a))


def fit_hyper(
    f: Factors,
    z: Array,
    pots: Array,
    read: Array,
    *,
    start: Hyper | None = None,
    steps: int = 60,
    trade: TradePrior | None = None,
) -> Hyper:
    """Learn the scales of n rows, from `start` or the priors' middle. z (n, 3) standardised
    depths; read (n, 2) the readings' variance as shares of each part's B; see Objective."""
    from scipy.optimize import minimize  # not needed where a stored fit is put back

    found = []
    off = z if trade is None else z - trade.mean(f)
    for part, (scales, channels) in enumerate((start or prior_hyper(f)).parts):
        open_still = 0.0 if trade is None else trade.kernel(part, f, f)
        goal = Objective(f, off[:, channels], pots, read[:, part], part, open_still)
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
    sd : (3,) the standard of the depths, for what is common practice; None for none of it.
    """

    def __init__(
        self, h: Hyper, f: Factors, z: Array, pots: Array, noise: Array, sd: Array | None = None
    ) -> None:
        self.h, self.f, self.z, self.pots, self.noise = h, f, z, pots, noise
        self.sd = sd
        self._trade = None if sd is None else TradePrior.of(sd, h.B, PARTS)
        n = len(z)
        self.separate = noise.shape == (n, 2)
        share = noise if self.separate else reading_share(own_blocks(noise), h.B)
        kernels = self._kernels(f, same=True)
        off = z if self._trade is None else z - self._trade.mean(f)
        if self.separate:
            self._factors, self._a = [], np.zeros((n, 3))
            for part, (scales, channels) in enumerate(h.parts):
                own = scales.pot * pots + np.diag(noise[:, part] + _JITTER)
                factor = cholesky(kernels[part][0] + own, lower=True)
                self._factors.append(factor)
                self._a[:, channels] = cho_solve((factor, True), off[:, channels])
        else:
            whole = noise + _JITTER * np.eye(3 * n)
            for (scales, channels), (k, _) in zip(h.parts, kernels, strict=True):
                _add(whole, k + scales.pot * pots, scales.B, channels)
            self._factors = [cholesky(whole, lower=True)]
            self._a = cho_solve((self._factors[0], True), off.ravel()).reshape(n, 3)
        self._e_factors = [
            cholesky(e + np.diag(scales.pot + share[:, part] + _JITTER), lower=True)
            for part, ((scales, _), (_, e)) in enumerate(zip(h.parts, kernels, strict=True))
        ]

    def mean(self, g: Factors) -> Array:
        """Expected standardised depth (m, 3)."""
        return self._mean(g, [k for k, _ in self._kernels(g)])

    def _kernels(self, g: Factors, *, same: bool = False) -> list[tuple[Array, Array]]:
        """As `kernel`, of baths with the rows, with what of common practice is not known."""
        found = kernel(self.h, g, self.f, same=same)
        if self._trade is None:
            return list(found)
        return [(k + self._trade.kernel(i, g, self.f), e) for i, (k, e) in enumerate(found)]

    def _own(self, g: Factors) -> list[Array]:
        """As `kernel_diagonal`, with the same."""
        found = kernel_diagonal(self.h, g)
        if self._trade is None:
            return list(found)
        return [k + self._trade.diagonal(i, g) for i, k in enumerate(found)]

    def _mean(self, g: Factors, kernels: list[Array]) -> Array:
        out = np.zeros((len(kernels[0]), 3)) if self._trade is None else self._trade.mean(g)
        for (scales, channels), k in zip(self.h.parts, kernels, strict=True):
            a = self._a[:, channels]
            out[:, channels] += k @ (a if self.separate else a @ scales.B)
        return out

    def at(self, g: Factors, cross: Array | None = None) -> tuple[Array, Array, Array]:
        """Mean (m, 3), covariance (m, 3, 3) of the colour such a bath gives on average, and the
        fraction (m,), 0 to 1, of the variance before any swatch that is still open. Where that is
        much, the covariance is widened: times 1 + 2 fraction^2.

        cross : (3m, 3n), what errors of readings of these baths share with the swatches'; then
        mean and covariance are those of the reading, before its own doubt is added.
        """
        kernels, own = self._kernels(g), self._own(g)
        fraction = np.zeros(len(g.x))
        for factor, (_, e), channels in zip(self._e_factors, kernels, PARTS, strict=True):
            left = solve_triangular(factor, e.T, lower=True)
            fraction += len(channels) / 3 * (1 - (left * left).sum(axis=0))
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
        wider = (1 + _OPEN * fraction**2)[:, None, None]
        if self.separate:
            return self._mean(g, whole), wider * cov, fraction
        m, n = whole[0].shape
        wide = np.zeros((3 * m, 3 * n)) if cross is None else np.array(cross, dtype=float)
        for (scales, channels), k in zip(self.h.parts, whole, strict=True):
            _add(wide, k, scales.B, channels)
        half = solve_triangular(self._factors[0], wide.T, lower=True).reshape(3 * n, m, 3)
        cov = cov - half.transpose(1, 2, 0) @ half.transpose(1, 0, 2)
        mean = (wide @ self._a.ravel()).reshape(m, 3)
        return mean if self._trade is None else mean + self._trade.mean(g), wider * cov, fraction

    def joint(self, g: Factors) -> Array:
        """Covariance (3m, 3m) of the colours that such baths give on average, all m of them
        together, the three channels of a bath beside each other; not widened where much is open."""
        within, across = kernel(self.h, g, g, same=True), [k for k, _ in self._kernels(g)]
        m, n = across[0].shape
        out, wide = np.zeros((3 * m, 3 * m)), np.zeros((3 * m, 3 * n))
        for part, ((scales, channels), (own, _)) in enumerate(
            zip(self.h.parts, within, strict=True)
        ):
            k = own if self._trade is None else own + self._trade.kernel(part, g, g)
            if self.separate:
                half = solve_triangular(self._factors[part], across[part].T, lower=True)
                k = k - half.T @ half
            _add(out, k, scales.B, channels)
            _add(wide, across[part], scales.B, channels)
        if not self.separate:
            half = solve_triangular(self._factors[0], wide.T, lower=True)
            out -= half.T @ half
        return out

    def carried(self, g: Factors, errors: Array) -> Array:
        """What errors (n, 3, k) of the rows' depths, each column common to all of them, do to the
        mean of baths: (m, 3, k). The mean is linear in the rows, so it is the mean of errors."""
        n, k = len(errors), errors.shape[2]
        kernels = [part for part, _ in self._kernels(g)]
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

    def told_of(self, errors: Array) -> tuple[Array, Array]:
        """What the rows tell of unknowns of variance 1 that are part of their errors: the mean (k,)
        and the covariance taken off (k, k). errors (n, 3, k) : loadings on them of the rows'
        depths, which the noise, given whole, counts in."""
        flat = errors.reshape(3 * len(errors), -1)
        half = solve_triangular(self._factors[0], flat, lower=True)
        return flat.T @ self._a.ravel(), half.T @ half

    def kernel_similarity(self, g: Factors) -> Array:
        """(m, n): how like the rows' baths these are, 0 to 1."""
        return kernel_similarity(self.h, g, self.f)

    def believing(self, g: Factors) -> Posterior:
        """As if this one bath had been dyed and gave its expected colour, read as usual."""
        z = np.concatenate([self.z, self.at(g)[0]])
        n = len(self.z)
        pots = np.eye(n + 1)
        pots[:n, :n] = self.pots
        if self.separate:
            noise = np.concatenate([self.noise, np.median(self.noise, axis=0)[None]])
        else:
            usual = np.median(own_blocks(self.noise), axis=0)
            noise = np.zeros((3 * n + 3, 3 * n + 3))
            noise[: 3 * n, : 3 * n] = self.noise
            noise[3 * n :, 3 * n :] = np.diag(np.diag(usual))
        return Posterior(self.h, self.f.joined(g), z, pots, noise, self.sd)


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


def reading_share(blocks: Array, B: Array) -> Array:
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


def nearest_psd(cov: Array) -> Array:
    """Symmetric, with no direction below a hair above zero (round-off)."""
    cov = (cov + np.swapaxes(cov, 1, 2)) / 2
    values, vectors = np.linalg.eigh(cov)
    return np.asarray((vectors * np.maximum(values, 1e-12)[:, None, :]) @ vectors.swapaxes(1, 2))
