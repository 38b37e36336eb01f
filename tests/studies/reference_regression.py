"""The plain regression that our model must beat: a sound small-data regression, nothing more.

Colours become the log of depth (as Kubelka and Munk have it) in three sharpened channels. One
Gaussian process, a linear and a squared-exponential part over fixed scales, is shared by the three
channels, with their covariance in closed form and weak priors on every hyperparameter; its final
pH is taken to be the dye bath's pH plus the step. Rows in ten blocks are left out in turn and all
is fitted anew; the 80 % quantile of their squared distances widens every covariance by one factor.

Written with numpy and scipy alone, apart from the package, so that one checks the other. Scales,
priors and bounds are fixed beforehand and stay as they are: it is what we measure against.

    model = fit(N, C, lab, white)            # N (n, 8), C (n, 4) as in the made-up houses
    lab, cov = model.predict(Nt, Ct)         # of a new reading; reading=False: of the bath's colour
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import minimize

# A published sharpening matrix, rescaled so that this white (D65, 10 degrees) gives ones.
_SHARP = np.array([[0.9507, 0.2829, -0.1714], [-0.7201, 1.6447, 0.0352], [0.0362, -0.0638, 0.9590]])
_SHARP_WHITE = np.array([94.8, 100.0, 107.3])
_FLOOR = 0.03
# Logarithms. The numbers' and categories' weights, noise, linear share: mean, sd, bounds.
_NUMBER, _WORD = (np.log(0.5), 1.5), (np.log(0.5), 1.0)
_NOISE, _LINEAR = (np.log(0.03), 1.2), (np.log(0.1), 1.5)
_BOUNDS = np.log([[0.001, 60], [0.001, 2], [1e-4, 20]])
_CHI2_80 = 4.64  # 80 % quantile of chi-square, 3 degrees of freedom


def lab_to_z(lab: np.ndarray, white: np.ndarray) -> np.ndarray:
    """Log depth (n, 3) of Lab. White is scaled to the sharpening matrix's (white gives ones)."""
    fy = (lab[:, 0] + 16) / 116
    f = np.stack([fy + lab[:, 1] / 500, fy, fy - lab[:, 2] / 200], axis=1)
    t = np.where(f > 6 / 29, f**3, (f - 4 / 29) * 108 / 841)
    xyz = np.clip(t, 1e-4, None) * white
    R = np.clip(xyz / white * _SHARP_WHITE / 100 @ _SHARP.T, 0.004, 0.995)
    return np.log((1 - R) ** 2 / (2 * R) + _FLOOR)


def z_to_lab(z: np.ndarray, white: np.ndarray) -> np.ndarray:
    k = np.clip(np.exp(z) - _FLOOR, 1e-5, None)
    R = 1 + k - np.sqrt(k**2 + 2 * k)
    xyz = 100 * R @ np.linalg.inv(_SHARP).T / _SHARP_WHITE * white
    t = np.clip(xyz / white, 1e-6, None)
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t * 841 / 108 + 4 / 29)
    return np.stack(
        [116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], axis=1
    )


def factors(N: np.ndarray) -> np.ndarray:
    """(n, 9) over fixed ranges of the trade."""
    pH, T, dye, mordant, iron, step, minutes, bath = np.asarray(N, float).T
    return np.stack(
        [
            (pH - 3.5) / 5.5, (T - 40) / 55, np.log(dye / 10) / np.log(20),
            np.log((mordant + 2) / 4) / np.log(22 / 4), np.log((iron + 0.25) / 0.25) / np.log(17),
            (step + 2) / 5, np.log(minutes / 15) / np.log(8), (bath - 1) / 2,
            (pH + step - 2.5) / 8,
        ],
        axis=1,
    )  # fmt: skip


def _parts(x, c, x2, c2):
    """Squared differences (n, m, d) and the linear part (n, m)."""
    same = c[:, None] == c2[None]
    d = np.concatenate([(x[:, None] - x2[None]) ** 2, ~same], axis=2)
    return d, 4 * (x - 0.5) @ (x2 - 0.5).T + same.sum(axis=2)


def _prior(p: int, q: int):
    """Mean, inverse covariance and bounds of theta = log [p numbers' w, q words' w, s2, v]."""
    mean, sd = np.repeat([_NUMBER, _WORD, _NOISE, _LINEAR], [p, q, 1, 1], axis=0).T
    likeness = np.eye(p + q + 2)
    likeness[: p + q, : p + q] += 0.6 * (1 - np.eye(p + q))
    bounds = _BOUNDS[np.repeat([0, 1, 2], [p + q, 1, 1])]
    return mean, np.linalg.inv(likeness * np.outer(sd, sd)), bounds


def _objective(theta, d, linear, Z, mean, inverse):
    """Minus the log posterior and its gradient; the channels' covariance in closed form."""
    n = len(Z)
    w, s2, v = np.exp(theta[:-2]), np.exp(theta[-2]), np.exp(theta[-1])
    rbf = np.exp(-d @ w)
    chol = cho_factor(1 + v * linear + rbf + s2 * np.eye(n), lower=True)
    Ki = cho_solve(chol, np.eye(n))
    a = Ki @ Z
    B = (Z.T @ a + 0.6 * np.eye(3)) / (n + 2)
    off = theta - mean
    value = (n + 2) / 2 * np.linalg.slogdet(B)[1] + 3 * np.log(np.diag(chol[0])).sum()
    G = (3 * Ki - a @ np.linalg.solve(B, a.T)) / 2
    by_w = -w * np.einsum("ij,ijk->k", G * rbf, d)
    grad = np.concatenate([by_w, [s2 * np.trace(G), v * np.sum(G * linear)]])
    return value + off @ inverse @ off / 2, grad + inverse @ off


class Reference:
    """Fitted to rows; `factor` multiplies every covariance."""

    def __init__(self, N, C, lab, white, start=None):
        self.white, self.factor = np.asarray(white, float), 1.0
        x, c = factors(N), np.asarray(C)
        self.vary = np.ptp(x, axis=0) > 1e-12, np.ptp(c, axis=0) > 0
        self.x, self.c = x[:, self.vary[0]], c[:, self.vary[1]]
        z = lab_to_z(np.asarray(lab, float), self.white)
        self.mean, self.sd = z.mean(axis=0), z.std(axis=0)
        self.Z = (z - self.mean) / self.sd
        d, linear = _parts(self.x, self.c, self.x, self.c)
        mean, inverse, bounds = _prior(self.x.shape[1], self.c.shape[1])
        start = start if start is not None and len(start) == len(mean) else mean
        self.theta = minimize(
            _objective, start, (d, linear, self.Z, mean, inverse), method="L-BFGS-B", jac=True,
            bounds=bounds, options={"maxiter": 60},
        ).x  # fmt: skip
        self.w, self.s2, self.v = np.exp(self.theta[:-2]), *np.exp(self.theta[-2:])
        K = 1 + self.v * linear + np.exp(-d @ self.w) + self.s2 * np.eye(len(self.Z))
        self.chol = cho_factor(K, lower=True)
        self.a = cho_solve(self.chol, self.Z)
        self.B = (self.Z.T @ self.a + 0.6 * np.eye(3)) / (len(self.Z) + 2)

    def predict(self, Nt, Ct, reading=True):
        """Lab (m, 3) and its covariance (m, 3, 3)."""
        xt, ct = factors(Nt)[:, self.vary[0]], np.asarray(Ct)[:, self.vary[1]]
        d, linear = _parts(xt, ct, self.x, self.c)
        k = 1 + self.v * linear + np.exp(-d @ self.w)
        own = 4 * ((xt - 0.5) ** 2).sum(axis=1) + ct.shape[1]
        share = 2 + self.v * own - np.sum(k * cho_solve(self.chol, k.T).T, axis=1)
        share = np.clip(share, 1e-9, None) + self.s2 * reading
        z = self.mean + k @ self.a * self.sd
        steps = 1e-4 * np.eye(3)
        both = [z_to_lab(z + h, self.white) - z_to_lab(z - h, self.white) for h in steps]
        J = np.stack(both, axis=2) / 2e-4  # (m, Lab, z): the delta method
        cov = share[:, None, None] * (
            J @ (self.B * np.outer(self.sd, self.sd)) @ J.swapaxes(-1, -2)
        )
        return z_to_lab(z, self.white), self.factor * (cov + 1e-9 * np.eye(3))


def fit(N, C, lab, white, folds: int = 10) -> Reference:
    """Fit, then set the factor from blocks of consecutive rows left out in turn."""
    N, C, lab = np.asarray(N, float), np.asarray(C), np.asarray(lab, float)
    model, n, scores = Reference(N, C, lab, white), len(N), []
    for out in np.array_split(np.arange(n), folds):
        rest = np.setdiff1d(np.arange(n), out)
        part = Reference(N[rest], C[rest], lab[rest], white, start=model.theta)
        got, cov = part.predict(N[out], C[out])
        e = lab[out] - got
        scores.extend(np.einsum("ni,nij,nj->n", e, np.linalg.inv(cov), e))
    place = min(int(np.ceil(0.8 * (n + 1))), n) - 1
    model.factor = max(1.0, float(np.sort(scores)[place] / _CHI2_80))
    return model
