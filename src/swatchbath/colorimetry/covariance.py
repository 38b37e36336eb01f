"""Doubt as numbers: covariance matrices, and the interval of a colour difference."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from ..errors import BadValue, ShapeError
from .difference import delta_e2000
from .lab import Array, triples

# Directions on the sphere at which a region of doubt is searched; at this number the extremes
# are found within 0.5 % (chosen by doubling until the second figure stood still).
_DIRECTIONS = 600


def nearest_covariance(matrix: ArrayLike) -> Array:
    """A symmetric, positive semidefinite copy of a (3, 3) matrix; refuses what is far from one."""
    c = np.array(matrix, dtype=float)
    if c.shape != (3, 3):
        raise ShapeError(f"A covariance of a colour has the shape (3, 3); this has {c.shape}.")
    if not np.isfinite(c).all():
        raise BadValue("A covariance holds a cell that is not a number.")
    scale = max(float(np.abs(c).max()), 1e-12)
    if np.abs(c - c.T).max() > 1e-6 * scale:
        raise BadValue("A covariance must be symmetric; this one is not.")
    c = (c + c.T) / 2
    values, vectors = np.linalg.eigh(c)
    if values.min() < -1e-6 * scale:
        raise BadValue("A covariance cannot be negative in any direction; this one is.")
    # Rounding alone is left as it is, so that a stored covariance reads back unchanged.
    if values.min() < -1e-12 * scale:
        c = (vectors * np.maximum(values, 0)) @ vectors.T
    return np.asarray(c)


def square_root(covariance: Array) -> Array:
    """(3, 3) S with S @ S.T = covariance, also where the covariance is singular."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0)))


# Share of true colours that "give or take" holds: two in three, as one standard deviation does in
# one dimension. Draws behind it: their scatter moves it by about 2 %.
_GIVE_OR_TAKE = 0.68
_DRAWS = 2000


def give_or_take(lab: ArrayLike, covariance: ArrayLike) -> float:
    """How far off a colour may well be, in CIEDE2000: two true colours in three lie within it.

    lab : (3,). covariance : (3, 3) of its error. The same input gives the same answer.
    """
    root = square_root(nearest_covariance(covariance))
    around = triples(lab) + _normals() @ root.T
    return float(np.quantile(delta_e2000(around, lab), _GIVE_OR_TAKE))


@lru_cache(maxsize=1)
def _normals() -> Array:
    return np.random.default_rng(0).standard_normal((_DRAWS, 3))


@lru_cache(maxsize=1)
def _sphere() -> Array:
    """Evenly spread unit vectors (n, 3): a Fibonacci lattice."""
    i = np.arange(_DIRECTIONS) + 0.5
    z = 1 - 2 * i / _DIRECTIONS
    angle = np.pi * (1 + np.sqrt(5)) * i
    ring = np.sqrt(1 - z * z)
    return np.stack([ring * np.cos(angle), ring * np.sin(angle), z], axis=-1)


# Squared radius (in standard deviations) of the region whose nearest point to "no difference"
# gives the lower limit, by how far the limit lies from zero in standard deviations. At zero the
# whole of three dimensions could have moved the reading (chi-square, 3 degrees), far away only
# one (normal). In between: the quantile of the length of a unit normal vector shifted by tau,
# less tau, squared (a noncentral chi variable with 3 degrees).
def _lower_radius(tau: float, tail: float) -> float:
    from scipy.stats import ncx2

    return float(np.sqrt(ncx2.ppf(1 - tail, 3, max(tau * tau, 1e-12))) - tau)


def difference_interval(
    lab1: ArrayLike, lab2: ArrayLike, covariance: ArrayLike, *, level: float = 0.9
) -> tuple[float, float]:
    """Confidence interval of the true CIEDE2000 between two colours read with doubt.

    lab1, lab2 : (3,), as read. covariance : (3, 3), of the error of lab1 - lab2 (what both
    errors share taken off). level : of the interval; each end holds with (1 + level) / 2.
    Returns (lower, upper), lower <= upper; lower is exactly 0 where the readings agree within
    their doubt.

    The ends are the least and the greatest CIEDE2000 over regions of true differences that the
    readings do not rule out. Upper: the profile-likelihood region (one dimension), which errs on
    the wide side near zero. Lower: a true difference t is ruled out when a reading this far from
    all colours within t would be rarer than the tail (see `_lower_radius`).
    Quantiles of draws around the readings would never reach 0, and are not used.
    """
    if not 0 < level < 1:
        raise BadValue(f"The level is {level}; it must lie between 0 and 1, as 0.9.")
    from scipy.stats import norm

    one, two = triples(lab1), triples(lab2)
    c = nearest_covariance(covariance)
    tail = (1 - level) / 2
    middle, gap = (one + two) / 2, one - two
    root = square_root(c)
    observed = float(delta_e2000(one, two))
    if not np.any(root > 1e-12):
        return observed, observed
    steps = _sphere() @ root.T

    def on_shell(radius: float) -> Array:
        d = gap + radius * steps
        return delta_e2000(middle + d / 2, middle - d / 2)

    upper = max(observed, float(on_shell(float(norm.ppf(1 - tail))).max()))

    # Is "no difference" within the region of radius r? Solve on the directions that have doubt.
    values, vectors = np.linalg.eigh(c)
    sure = values <= 1e-12 * max(values.max(), 1e-300)
    along = vectors.T @ gap
    zero_at = float(np.sqrt(np.sum(along[~sure] ** 2 / values[~sure])))
    if np.any(np.abs(along[sure]) > 1e-9):
        zero_at = np.inf
    widest = float(on_shell(0.05).max() - observed) / 0.05 if observed > 0 else 0.0
    null = delta_e2000(middle + 0.05 * steps / 2, middle - 0.05 * steps / 2)
    widest = max(widest, float(null.max()) / 0.05)

    def least(radius: float) -> float:
        return 0.0 if radius >= zero_at else min(observed, float(on_shell(radius).min()))

    low_r, high_r = _lower_radius(1e3, tail), _lower_radius(0.0, tail)
    if least(high_r) > 0 or zero_at > high_r:
        for _ in range(16):
            r = (low_r + high_r) / 2
            if r >= _lower_radius(least(r) / max(widest, 1e-12), tail):
                high_r = r
            else:
                low_r = r
    lower = least(high_r)
    return min(lower, upper), upper
