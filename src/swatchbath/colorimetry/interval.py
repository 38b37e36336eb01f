"""The interval of a colour difference, of one pair or of many.

The error of a difference has two parts. One is there however alike the colours are: texture, light
that differs between two places, noise. The other is what a camera makes of the difference itself,
which it stretches or shrinks: nothing where the colours are equal, and more the more unlike they
are. So whether the true difference may be t is judged by the doubt that a difference of t has, and
not by that of the one which was read: two skeins read 6 apart are not perhaps alike because a
camera may be 2 off at 6 apart.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from ..errors import BadValue
from .covariance import error_draws, nearest_covariance, scale_share
from .difference import delta_e2000
from .lab import Array, triples

# Directions on the sphere at which a region of doubt is searched; at this number the extremes
# are found within 0.5 % (chosen by doubling until the second figure stood still).
_DIRECTIONS = 600
# Of many pairs at once, but for those whose limit comes so close to the tolerance, in its shares;
# and the most that CIEDE2000 changes by a unit of plain difference (1.47 in 200 000 drawn pairs).
_FEW_DIRECTIONS, _CLOSE, _STEEPEST = 60, 0.03, 1.6
# How far apart colours lie, in Lab, before a camera's errors at them are no longer one stretch: the
# length of the kernel that states them (`alike` in photo/correction/typical_camera.json).
_ALIKE = 12.0
# Steps of halving, and of the upper end's search, which settles by a third or more at each.
_HALVINGS, _STEPS = 24, 20
Formula = Callable[[Array, Array], Array]
# The farthest that CIEDE2000 is told: black from white.
_FARTHEST = 100.0


def stretched_to(there: ArrayLike, read: ArrayLike) -> Array:
    """(...): by how much the part of a difference's covariance that grows with it is larger at a
    true difference `there` than as stated at the one `read`, both in Lab.

    Beyond what was read it goes with the square, until a camera's errors at the two colours have
    no more to do with each other. Short of it as the geometric mean of both, for a camera that
    makes three of one is as rare as one that makes a third.
    """
    far, near = (1 - np.exp(-((np.asarray(d) / _ALIKE) ** 2) / 2) for d in (there, read))
    times = np.asarray(far) / np.maximum(near, 1e-12)
    return np.asarray(np.where(times > 1, times, np.sqrt(times)))


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


def _furthest(tail: float, degrees: float) -> float:
    from scipy.special import ndtri, stdtrit

    return float(stdtrit(degrees, 1 - tail) if np.isfinite(degrees) else ndtri(1 - tail))


# Readings by chance of a true difference tau along one of these directions, in standard deviations
# of the widest doubt; the other two are `shares` of it. Draws behind each: 5 % of them are 200.
_TAUS = np.array([0.0, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0, 6.0, 10.0, 30.0])
_SHARES = np.linspace(0.0, 1.0, 6)
_READINGS = 4000
# In standard deviations of the widest doubt, what readings can always hide: two that happen to come
# out equal would else seem surer than they are. Our own choice.
_LEAST = 1.0


@lru_cache(maxsize=16)
def _nearest_by_chance(tail: float, degrees: float) -> Array:
    """(taus, shares, shares): how near to none a difference of tau is read in one case of `tail`,
    in the direction where that is the nearest. In standard deviations, the scale of a Student's t
    that of its covariance."""
    errors, rank = error_draws(_READINGS, degrees), int(tail * _READINGS)
    out = np.empty((len(_TAUS), len(_SHARES), len(_SHARES)))
    for j, second in enumerate(_SHARES):
        for k, third in enumerate(_SHARES[: j + 1]):
            e = errors * [1.0, second, third]
            square = np.sum(e * e, axis=1)
            for i, tau in enumerate(_TAUS):
                # The widest and the next axis, and midway between the two.
                ways = (e[:, 0], e[:, 1], (e[:, 0] + e[:, 1]) * np.sqrt(0.5))
                read = [square + 2 * tau * way + tau * tau for way in ways]
                least = min(float(np.partition(r, rank)[rank]) for r in read)
                out[i, j, k] = out[i, k, j] = np.sqrt(max(least, 0.0))
    return out


def _could_hide(
    read: Array, t: float, form: Array, doubt: Array, tail: float, degrees: float
) -> np.ndarray:
    """(m,): whether a difference as small as `read` (m,) is no rarer than the tail where the truth
    is t. form, doubt (m, 3, 3) : see `_local_form`, and the covariance of such a difference."""
    from scipy.ndimage import map_coordinates

    values, vectors = np.linalg.eigh(doubt)
    root = vectors * np.sqrt(np.maximum(values, 0))[:, None, :]
    sizes = np.linalg.eigvalsh(root.swapaxes(1, 2) @ form @ root)
    sizes = np.sqrt(np.maximum(sizes[:, ::-1], 1e-18))
    tau = np.asarray(t) / sizes[:, 0]
    at = np.stack(
        [
            np.interp(tau, _TAUS, np.arange(len(_TAUS))),
            sizes[:, 1] / sizes[:, 0] * (len(_SHARES) - 1),
            sizes[:, 2] / sizes[:, 0] * (len(_SHARES) - 1),
        ]
    )
    nearest = map_coordinates(_nearest_by_chance(tail, degrees), at, order=1, mode="nearest")
    nearest = nearest + np.maximum(tau - _TAUS[-1], 0)
    least = np.asarray(t) < _LEAST * sizes[:, 0]
    return np.asarray((read > nearest * sizes[:, 0]) | least, dtype=bool)


def _local_form(middle: Array, formula: Formula) -> Array:
    """(m, 3, 3): the square of a small difference about colours, as a quadratic form."""
    step = 0.1 * np.eye(3)
    form = np.empty((len(middle), 3, 3))
    for i in range(3):
        for j in range(i, 3):
            both, across = (step[i] + step[j]) / 2, (step[i] - step[j]) / 2
            form[:, i, j] = formula(middle - both / 2, middle + both / 2) ** 2
            form[:, i, j] -= formula(middle - across / 2, middle + across / 2) ** 2
            form[:, j, i] = form[:, i, j]
    return form / 0.1**2


def difference_interval(
    lab1: ArrayLike,
    lab2: ArrayLike,
    covariance: ArrayLike,
    *,
    level: float = 0.9,
    degrees: float = np.inf,
    stretch: ArrayLike | None = None,
    formula: Formula = delta_e2000,
) -> tuple[float, float]:
    """Confidence interval of the true difference between two colours read with doubt.

    lab1, lab2 : (3,), as read. covariance : (3, 3), of the error of lab1 - lab2 (what both
    errors share taken off). level : of the interval; each end holds with (1 + level) / 2. degrees :
    of the error's Student's t, inf where it is Gaussian. stretch : (3, 3), a further part of the
    covariance that grows with the true difference, as it is at the one read (`stretched_to`).
    formula : what the difference is told in, of the second colour, the standard, and the first.
    Returns (lower, upper), lower <= upper; lower is exactly 0 where the readings agree within
    their doubt.

    The ends are the least and the greatest difference over regions of true differences that the
    readings do not rule out. Upper: the profile-likelihood region (one dimension), which errs on
    the wide side near zero, or where a reading this small would be rarer than the tail, the nearer
    of the two. Lower: a true difference t is ruled out when a reading this far from
    all colours within t would be rarer than the tail (see `_lower_radii`).
    Quantiles of draws around the readings would never reach 0, and are not used.
    """
    if not 0 < level < 1:
        raise BadValue(f"The level is {level}; it must lie between 0 and 1, as 0.9.")
    one, two = triples(lab1), triples(lab2)
    share = scale_share(degrees)
    fixed = nearest_covariance(covariance) * share
    grows = np.zeros((3, 3)) if stretch is None else nearest_covariance(stretch) * share
    tail = (1 - level) / 2
    middle, gap = (one + two) / 2, one - two
    observed = float(formula(two, one))
    if not np.any(np.abs(fixed + grows) > 1e-24):
        return observed, observed
    plain = float(np.linalg.norm(gap))

    def doubt(t: float) -> tuple[Array, Array]:
        """Values and axes of the covariance of a difference whose truth is t."""
        times = float(stretched_to(t * plain / observed, plain)) if observed > 0 else 0.0
        values, vectors = np.linalg.eigh(fixed + times * grows)
        return np.maximum(values, 0), vectors

    def on_shell(root: Array, radius: float) -> Array:
        d = gap + radius * (_sphere() @ root.T)
        return formula(middle - d / 2, middle + d / 2)

    radius, upper = _furthest(tail, degrees), observed
    for _ in range(_STEPS):
        values, vectors = doubt(upper)
        end = float(on_shell(vectors * np.sqrt(values), radius).max())
        if end <= upper * 1.001 or not grows.any():
            upper = max(upper, end)
            break
        upper = min(end, _FARTHEST)

    # Near none that region errs wide. How rarely a reading comes out so near tells the same where
    # the doubt is no longer small beside the difference.
    form = _local_form(middle[None], formula)

    def hides(t: float) -> bool:
        times = float(stretched_to(t * plain / observed, plain)) if observed > 0 else 0.0
        there = (fixed + times * grows) / share
        return bool(_could_hide(np.array([observed]), t, form, there[None], tail, degrees)[0])

    if upper > observed and not hides(upper):
        low, high = observed, upper
        for _ in range(_HALVINGS):
            half = (low + high) / 2
            low, high = (half, high) if hides(half) else (low, half)
        upper = high

    radius_at = _lower_radii(tail, degrees)

    def ruled_out(t: float) -> bool:
        """Whether a reading like this is rarer than the tail where the truth is within t."""
        values, vectors = doubt(t)
        root = vectors * np.sqrt(values)
        still = 0.05 * (_sphere() @ root.T)
        slope = float(formula(middle - still / 2, middle + still / 2).max()) / 0.05
        if observed > 0:
            slope = max(slope, float(on_shell(root, 0.05).max() - observed) / 0.05)
        radius = radius_at(t / max(slope, 1e-12))
        # "No difference" within that radius? Solve on the directions that have doubt.
        sure = values <= 1e-12 * max(float(values.max()), 1e-300)
        along = vectors.T @ gap
        zero_at = float(np.sqrt(np.sum(along[~sure] ** 2 / values[~sure])))
        if np.any(np.abs(along[sure]) > 1e-9):
            zero_at = np.inf
        return radius < zero_at and float(on_shell(root, radius).min()) > t

    if not ruled_out(0.0):
        return 0.0, upper
    low, high = 0.0, observed
    for _ in range(_HALVINGS):
        half = (low + high) / 2
        low, high = (half, high) if ruled_out(half) else (low, half)
    return min(low, upper), upper


def reaches_beyond(
    lab1: Array,
    lab2: Array,
    covariance: Array,
    tolerance: float,
    *,
    level: float,
    degrees: float,
    stretch: Array | None = None,
) -> tuple[np.ndarray, np.ndarray]:
    """For many pairs, whether the interval that `difference_interval` gives ends at or under a
    tolerance, and whether it begins over it, two (m,) of bool.

    lab1, lab2 : (m, 3). covariance, stretch : (m, 3, 3), of the differences' errors. The rest as
    there, one for all pairs. Only pairs near the tolerance are searched, in fewer directions.
    """
    tail = (1 - level) / 2
    observed = delta_e2000(lab1, lab2)
    within, beyond = observed <= tolerance, observed > tolerance
    c = covariance * scale_share(degrees)
    if stretch is not None:  # the doubt of a difference as large as the tolerance
        plain = np.linalg.norm(lab1 - lab2, axis=1)
        there = tolerance * plain / np.maximum(observed, 1e-12)
        times = np.where(observed > 0, stretched_to(there, plain), 0.0)
        c = c + times[:, None, None] * stretch * scale_share(degrees)
    furthest = _furthest(tail, degrees)
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
        wide = near[~within[near]]
        form = _local_form((lab1[wide] + lab2[wide]) / 2, delta_e2000)
        there = c[wide] / scale_share(degrees)
        within[wide] = ~_could_hide(observed[wide], tolerance, form, there, tail, degrees)
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
