"""Doubt as numbers: covariance matrices, and the interval of a colour difference."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from ..errors import BadValue, ShapeError
from .difference import delta_e2000
from .lab import Array, triples

# Directions on the sphere at which a region of doubt is searched; at this number the extremes
# are found within 0.5 % (chosen by doubling until the second figure stood still).
_DIRECTIONS = 600
# Of many pairs at once, but for those whose limit comes so close to the tolerance, in its shares;
# and the most that CIEDE2000 changes by a unit of plain difference (1.47 in 200 000 drawn pairs).
_FEW_DIRECTIONS, _CLOSE, _STEEPEST = 60, 0.03, 1.6


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
        draws = draws * np.sqrt(_scale_share(degrees) / scale)[:, None]
    draws.setflags(write=False)
    return np.asarray(draws)


def region_radius(level: float, degrees: float = np.inf) -> float:
    """Squared radius, in units of the covariance, of the ellipsoid that holds a true colour at
    `level`: Hotelling's, 3 F(3, degrees) (from memory), or chi-square's where Gaussian."""
    from scipy.special import chdtri, fdtri  # scipy.stats is slow to load

    if not np.isfinite(degrees):
        return float(chdtri(3, 1 - level))
    return float(3 * fdtri(3, degrees, level) * _scale_share(degrees))


def _scale_share(degrees: float) -> float:
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


@lru_cache(maxsize=2)
def _sphere(number: int = _DIRECTIONS) -> Array:
    """Evenly spread unit vectors (n, 3): a Fibonacci lattice."""
    i = np.arange(number) + 0.5
    z = 1 - 2 * i / number
    angle = np.pi * (1 + np.sqrt(5)) * i
    ring = np.sqrt(1 - z * z)
    return np.stack([ring * np.cos(angle), ring * np.sin(angle), z], axis=-1)


# Squared radius (in standard deviations) of the region whose nearest point to "no difference"
# gives the lower limit, by how far the limit lies from zero in standard deviations. At zero the
# whole of three dimensions could have moved the reading (chi-square, 3 degrees), far away only
# one (normal). In between: the quantile of the length of a unit normal vector shifted by tau,
# less tau, squared (a noncentral chi variable with 3 degrees).
@lru_cache(maxsize=64)
def _lower_radii(tail: float, degrees: float) -> Callable[[float], float]:
    """The radius by tau, in standard deviations; of a Student's t in units of its scale, the mean
    over how large that may be."""
    from scipy.special import chdtri, chndtr, chndtrix

    if not np.isfinite(degrees):
        return lambda tau: float(np.sqrt(chndtrix(1 - tail, 3, max(tau * tau, 1e-12))) - tau)
    # Evenly spaced quantiles of the scale.
    size = np.sqrt(degrees / chdtri(degrees, (np.arange(200)[::-1] + 0.5) / 200))
    taus = np.array([0, 0.1, 0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4, 6, 10, 20, 50])

    # The radius beyond which the tail lies, by halving: all taus at once, to 200 / 2**50.
    low, high = np.zeros(len(taus)), np.full(len(taus), 200.0)
    for _ in range(50):
        r = ((low + high) / 2)[:, None]
        shifted = np.maximum((taus[:, None] / size) ** 2, 1e-12)
        held = chndtr(((r + taus[:, None]) / size) ** 2, 3, shifted).mean(axis=1)
        low, high = (
            np.where(held < 1 - tail, r[:, 0], low),
            np.where(held < 1 - tail, high, r[:, 0]),
        )
    radii = (low + high) / 2
    return lambda tau: float(np.interp(np.log1p(tau), np.log1p(taus), radii))


def difference_interval(
    lab1: ArrayLike,
    lab2: ArrayLike,
    covariance: ArrayLike,
    *,
    level: float = 0.9,
    degrees: float = np.inf,
) -> tuple[float, float]:
    """Confidence interval of the true CIEDE2000 between two colours read with doubt.

    lab1, lab2 : (3,), as read. covariance : (3, 3), of the error of lab1 - lab2 (what both
    errors share taken off). level : of the interval; each end holds with (1 + level) / 2. degrees :
    of the error's Student's t, inf where it is Gaussian.
    Returns (lower, upper), lower <= upper; lower is exactly 0 where the readings agree within
    their doubt.

    The ends are the least and the greatest CIEDE2000 over regions of true differences that the
    readings do not rule out. Upper: the profile-likelihood region (one dimension), which errs on
    the wide side near zero. Lower: a true difference t is ruled out when a reading this far from
    all colours within t would be rarer than the tail (see `_lower_radii`).
    Quantiles of draws around the readings would never reach 0, and are not used.
    """
    if not 0 < level < 1:
        raise BadValue(f"The level is {level}; it must lie between 0 and 1, as 0.9.")
    from scipy.special import ndtri, stdtrit

    one, two = triples(lab1), triples(lab2)
    c = nearest_covariance(covariance)
    tail = (1 - level) / 2
    middle, gap = (one + two) / 2, one - two
    c = c * _scale_share(degrees)
    root = square_root(c)
    observed = float(delta_e2000(one, two))
    if not np.any(root > 1e-12):
        return observed, observed
    steps = _sphere() @ root.T

    def on_shell(radius: float) -> Array:
        d = gap + radius * steps
        return delta_e2000(middle + d / 2, middle - d / 2)

    furthest = stdtrit(degrees, 1 - tail) if np.isfinite(degrees) else ndtri(1 - tail)
    upper = max(observed, float(on_shell(float(furthest)).max()))

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

    radius_at = _lower_radii(tail, degrees)
    low_r, high_r = radius_at(1e3), radius_at(0.0)
    if least(high_r) > 0 or zero_at > high_r:
        for _ in range(16):
            r = (low_r + high_r) / 2
            if r >= radius_at(least(r) / max(widest, 1e-12)):
                high_r = r
            else:
                low_r = r
    lower = least(high_r)
    return min(lower, upper), upper


def reaches_beyond(
    lab1: Array, lab2: Array, covariance: Array, tolerance: float, *, level: float, degrees: float
) -> tuple[np.ndarray, np.ndarray]:
    """For many pairs, whether the interval that `difference_interval` gives ends at or under a
    tolerance, and whether it begins over it, two (m,) of bool.

    lab1, lab2 : (m, 3). covariance : (m, 3, 3), of the differences' errors. The rest as there, one
    for all pairs. Only pairs near the tolerance are searched, in fewer directions.
    """
    from scipy.special import ndtri, stdtrit

    tail = (1 - level) / 2
    observed = delta_e2000(lab1, lab2)
    within, beyond = observed <= tolerance, observed > tolerance
    c = covariance * _scale_share(degrees)
    furthest = float(stdtrit(degrees, 1 - tail) if np.isfinite(degrees) else ndtri(1 - tail))
    radius_at = _lower_radii(tail, degrees)
    sphere = _sphere(_FEW_DIRECTIONS)
    # The most that doubt can change CIEDE2000 by, roughly: what lies further off is settled.
    widest = np.sqrt(np.maximum(np.trace(c, axis1=1, axis2=2), 0)) * _STEEPEST

    def shell(rows: np.ndarray, root: Array, radius: Array | float) -> Array:
        """The differences (m, d) on a shell of doubt."""
        steps = np.asarray(radius).reshape(-1, 1, 1) * (sphere @ root.swapaxes(1, 2))
        middle = ((lab1[rows] + lab2[rows]) / 2)[:, None]
        half = ((lab1[rows] - lab2[rows])[:, None] + steps) / 2
        return delta_e2000(middle + half, middle - half)

    near = np.flatnonzero(within & (observed + furthest * widest > tolerance))
    if len(near):
        values, vectors = np.linalg.eigh(c[near])
        root = vectors * np.sqrt(np.maximum(values, 0))[:, None, :]
        end = shell(near, root, furthest).max(axis=1)
        close = np.flatnonzero(np.abs(end / tolerance - 1) < _CLOSE)
        if len(close):
            sphere = _sphere()
            end[close] = shell(near[close], root[close], furthest).max(axis=1)
            sphere = _sphere(_FEW_DIRECTIONS)
        within[near] = end <= tolerance
    near = np.flatnonzero(beyond & (observed - radius_at(0.0) * widest <= tolerance))
    if len(near):
        values, vectors = np.linalg.eigh(c[near])
        root = vectors * np.sqrt(np.maximum(values, 0))[:, None, :]
        still = ((lab1[near] + lab2[near]) / 2)[:, None]
        step = 0.025 * (sphere @ root.swapaxes(1, 2))
        slope = delta_e2000(still + step, still - step).max(axis=1) / 0.05
        slope = np.maximum(slope, (shell(near, root, 0.05).max(axis=1) - observed[near]) / 0.05)
        radius = np.array([radius_at(tolerance / max(s, 1e-12)) for s in slope.tolist()])
        # Is "no difference" within that radius? Directions without doubt rule it out.
        doubtful = values > 1e-12 * np.maximum(values.max(axis=1, keepdims=True), 1e-300)
        gap = (lab1[near] - lab2[near])[:, :, None]
        along = (vectors.swapaxes(1, 2) @ gap)[..., 0]
        parts = along**2 / np.where(doubtful, values, 1.0)
        zero_at = np.sqrt(np.where(doubtful, parts, 0.0).sum(axis=1))
        zero_at[np.any(~doubtful & (np.abs(along) > 1e-9), axis=1)] = np.inf
        least = np.where(radius >= zero_at, 0.0, shell(near, root, radius).min(axis=1))
        close = np.flatnonzero(np.abs(least / tolerance - 1) < _CLOSE)
        if len(close):
            sphere = _sphere()
            least[close] = shell(near[close], root[close], radius[close]).min(axis=1)
        beyond[near] = least > tolerance
    return within, beyond
