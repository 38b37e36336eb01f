"""Lab to log depth and back: the space in which dye amounts act evenly.

Three sharpened channels of XYZ stand for reflectances R; Kubelka and Munk's K/S = (1-R)^2 / 2R
grows in proportion to the colorant (Kubelka and Munk 1931), so its logarithm is nearly even in the
logarithm of the amounts. A floor keeps pale colours from being stretched. The three logarithms are
told as strength (their mean: how much dye is on the fibre) and two hues (how much deeper the green
than the red channel is, and the blue than both): a weaker bath changes the first alone.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.lab import WHITE_D65, Array, lab_to_xyz, triples, xyz_to_lab

# Bradford's sharpened responses (ICC.1:2022 annex E), each scaled so that white gives 1.
_SHARP = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_TO_R = _SHARP / (_SHARP @ WHITE_D65)[:, None]
_FROM_R = np.linalg.inv(_TO_R)
# The darkest and lightest R that is told apart, and the floor of K/S; chosen in trials on a
# made-up dye house (floors from 0.01 to 0.10 differ by 5 % of the error at the most).
_R_RANGE = (0.004, 0.995)
_FLOOR = 0.03
_LEAST_KS = 1e-5
_STEP = 1e-4
# Strength, redness and yellowness of the log depths of the red, green and blue channel.
_TOLD_AS = np.array([[1 / 3, 1 / 3, 1 / 3], [-1.0, 1.0, 0.0], [-0.5, -0.5, 1.0]])
_CHANNELS = np.linalg.inv(_TOLD_AS)


def lab_to_depth(lab: ArrayLike) -> Array:
    """Log depth z (..., 3) of Lab (..., 3), D65 and the 2 degree observer: strength, redness,
    yellowness.

    >>> (lab_to_depth([49.4961, 0.0, 0.0]).round(3) + 0.0).tolist()
    [0.641, 0.0, 0.0]
    """
    return np.asarray(np.log(lab_to_absorption(lab)) @ _TOLD_AS.T)


def lab_to_absorption(lab: ArrayLike) -> Array:
    """K/S plus the floor (..., 3) of Lab (..., 3), in the red, green and blue channel: what
    colorants add to one another."""
    r = np.clip(lab_to_xyz(triples(lab)) @ _TO_R.T, *_R_RANGE)
    return np.asarray((1 - r) ** 2 / (2 * r) + _FLOOR)


def absorption_to_lab(k: ArrayLike) -> Array:
    """Lab (..., 3) of K/S plus the floor (..., 3): the inverse of `lab_to_absorption`."""
    k = np.maximum(np.asarray(k, dtype=float) - _FLOOR, _LEAST_KS)
    r = 1 + k - np.sqrt(k * k + 2 * k)
    return xyz_to_lab(r @ _FROM_R.T)


def depth_to_lab(z: ArrayLike) -> Array:
    """Lab (..., 3) of log depth z (..., 3): the inverse of `lab_to_depth` within its range."""
    channels = triples(z, "depths") @ _CHANNELS.T
    return absorption_to_lab(np.exp(np.clip(channels, -20, 12)))


def depth_jacobian(lab: ArrayLike) -> Array:
    """dz/dLab (..., 3, 3) at Lab (..., 3), by central differences."""
    return _jacobian(lab_to_depth, triples(lab), 1e-2)


def lab_jacobian(z: ArrayLike) -> Array:
    """dLab/dz (..., 3, 3) at z (..., 3), by central differences."""
    return _jacobian(depth_to_lab, triples(z), _STEP)


# Gauss and Hermite's three points for a unit normal, in three dimensions: 27 nodes, weights.
_POINTS, _WEIGHTS = np.sqrt(3.0) * np.array([-1.0, 0.0, 1.0]), np.array([1.0, 4.0, 1.0]) / 6
_NODES = np.stack(np.meshgrid(_POINTS, _POINTS, _POINTS, indexing="ij"), -1).reshape(-1, 3)
_NODE_WEIGHTS = np.einsum("i,j,k->ijk", _WEIGHTS, _WEIGHTS, _WEIGHTS).ravel()


def lab_moments(z: ArrayLike, cov: ArrayLike) -> tuple[Array, Array]:
    """Mean (..., 3) and covariance (..., 3, 3) in Lab of normal depths, by 27-point quadrature.

    z : (..., 3); cov : (..., 3, 3). Near white and black, where Lab no longer follows depth, this
    keeps the doubt that a slope at the mean would lose.
    """
    values, vectors = np.linalg.eigh(np.asarray(cov, dtype=float))
    root = vectors * np.sqrt(np.maximum(values, 0))[..., None, :]
    lab = depth_to_lab(triples(z)[..., None, :] + _NODES @ np.swapaxes(root, -1, -2))
    mean = np.einsum("n,...ni->...i", _NODE_WEIGHTS, lab)
    off = lab - mean[..., None, :]
    return mean, np.einsum("n,...ni,...nj->...ij", _NODE_WEIGHTS, off, off)


def _jacobian(f: Callable[[Array], Array], x: Array, step: float) -> Array:
    columns = []
    for j in range(3):
        d = np.zeros(3)
        d[j] = step
        columns.append((f(x + d) - f(x - d)) / (2 * step))
    return np.stack(columns, axis=-1)
