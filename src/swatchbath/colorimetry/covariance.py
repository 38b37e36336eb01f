"""Doubt as numbers: covariance matrices, and how far they reach."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from ..errors import BadValue, ShapeError
from .difference import delta_e2000
from .lab import Array, triples


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
# From so many degrees of freedom on a Student's t is taken as Gaussian: its 95 % point is within
# 1 % of that.
_AS_GAUSSIAN = 100


def give_or_take(lab: ArrayLike, covariance: ArrayLike, degrees: float = np.inf) -> float:
    """How far off a colour may well be, in CIEDE2000: two true colours in three lie within it.

    lab : (3,). covariance : (3, 3) of its error. degrees : of the error's Student's t, inf where it
    is Gaussian. The same input gives the same answer.
    """
    root = square_root(nearest_covariance(covariance))
    around = triples(lab) + error_draws(_DRAWS, degrees) @ root.T
    return float(np.quantile(delta_e2000(around, lab), _GIVE_OR_TAKE))


@lru_cache(maxsize=8)
def error_draws(number: int, degrees: float = np.inf) -> Array:
    """(number, 3): errors of mean 0 and covariance 1, of a Student's t of so many degrees (inf:
    Gaussian), one scale for the three axes. The same numbers at every call."""
    rng = np.random.default_rng(0)
    draws = rng.standard_normal((number, 3))
    if np.isfinite(degrees):
        scale = rng.chisquare(degrees, number) / degrees
        draws = draws * np.sqrt(scale_share(degrees) / scale)[:, None]
    draws.setflags(write=False)
    return np.asarray(draws)


def region_radius(level: float, degrees: float = np.inf) -> float:
    """Squared radius, in units of the covariance, of the ellipsoid that holds a true colour at
    `level`: Hotelling's, 3 F(3, degrees) (from memory), or chi-square's where Gaussian."""
    from scipy.special import chdtri, fdtri  # scipy.stats is slow to load

    if not np.isfinite(degrees):
        return float(chdtri(3, 1 - level))
    return float(3 * fdtri(3, degrees, level) * scale_share(degrees))


def scale_share(degrees: float) -> float:
    """A Student's t's squared scale over its variance, of which it has none at 2 degrees."""
    return (degrees - 2) / degrees if np.isfinite(degrees) else 1.0


def joined_degrees(first: ArrayLike, second: ArrayLike, one: float, two: float) -> float:
    """Degrees of freedom of a difference of two errors with covariances `first` and `second`
    (3, 3) and degrees `one` and `two` (Welch 1947 and Satterthwaite 1946, from memory)."""
    a, b = np.trace(np.asarray(first)), np.trace(np.asarray(second))
    return float(degrees_of_sum(a, b, one, two))


def degrees_of_sum(a: ArrayLike, b: ArrayLike, one: ArrayLike, two: ArrayLike) -> Array:
    """`joined_degrees` of variances (the traces), for many at once; they broadcast."""
    a, b, one, two = (np.asarray(v, dtype=float) for v in (a, b, one, two))
    spread = a * a / one + b * b / two
    with np.errstate(divide="ignore", invalid="ignore"):
        # Whole ones: what follows is kept for each.
        whole = np.round((a + b) ** 2 / spread)
    return np.where((spread > 0) & (whole < _AS_GAUSSIAN), whole, np.inf)
