"""Verdicts on many pairs of readings at once, the same as `compare` gives on each.

A pile of 500 skeins has 125 000 pairs. Most are settled by how far the readings lie apart; only
those near the tolerance are looked at closely, with fewer directions than one pair is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..colorimetry.covariance import degrees_of_sum
from ..colorimetry.difference import delta_e2000
from ..colorimetry.interval import reaches_beyond
from ..colorimetry.lab import Array
from ..colorimetry.measurement import (
    FROM_PHOTO_TO_PHOTO,
    Measurement,
    depends_on_colour,
)

# Pairs looked at closely in one go: some tens of megabytes.
_AT_ONCE = 4000


@dataclass(frozen=True, eq=False)
class Pairs:
    """n readings against each other, by matrices (n, n): delta_e2000 as read; match, no_match :
    whether the verdict within `tolerance` is that; a pair of neither cannot be told."""

    delta_e2000: Array
    match: np.ndarray
    no_match: np.ndarray
    tolerance: float


def compare_all(
    readings: Sequence[Measurement], *, tolerance: float = 2.0, level: float = 0.9
) -> Pairs:
    """Every reading beside every other. Readings of one light and observer; tolerance, level as
    in `compare`."""
    n = len(readings)
    lab = np.array([r.lab for r in readings], dtype=float).reshape(n, 3)
    i, j = np.triu_indices(n, 1)
    difference = delta_e2000(lab[i], lab[j])
    cov = np.array([r.covariance for r in readings]).reshape(n, 3, 3)
    degrees = _degrees(readings, cov, i, j)
    fixed, stretch = _covariances(readings, cov)
    match, no_match = np.zeros(len(i), bool), np.zeros(len(i), bool)
    for one in np.unique(degrees):
        of = np.flatnonzero(degrees == one)
        for part in np.array_split(of, len(of) // _AT_ONCE + 1):
            one_of, other = i[part], j[part]
            match[part], no_match[part] = reaches_beyond(
                lab[one_of], lab[other], fixed[one_of, other], tolerance,
                level=level, degrees=float(one), stretch=stretch[one_of, other],
            )  # fmt: skip
    return Pairs(
        _square(n, i, j, difference, 0.0),
        _square(n, i, j, match, True),
        _square(n, i, j, no_match, False),
        float(tolerance),
    )


def _square(n: int, i: np.ndarray, j: np.ndarray, values: Array, own: float | bool) -> Array:
    out = np.full((n, n), own, dtype=values.dtype)
    out[i, j] = out[j, i] = values
    return out


def _covariances(readings: Sequence[Measurement], cov: Array) -> tuple[Array, Array]:
    """(n, n, 3, 3) twice, of the errors of the differences, what both readings share taken off:
    the part that is there however alike they are, and that which grows (`difference_covariance`).
    """
    n = len(readings)
    shared, stretch = np.zeros((2, n, n, 3, 3))
    for name in sorted({s for r in readings for s in r.shared}):
        have = [r.shared.get(name) for r in readings]
        shape = next(h.shape for h in have if h is not None)
        loads = np.concatenate([np.zeros(shape) if h is None else h for h in have])
        both = (loads @ loads.T).reshape(n, 3, n, 3).transpose(0, 2, 1, 3)
        shared += both
        if depends_on_colour(name):
            own = both[np.arange(n), np.arange(n)]
            known = np.array([h is not None for h in have])
            apart = own[:, None] + own[None] - both - both.swapaxes(2, 3)
            stretch += np.where((known[:, None] & known)[..., None, None], apart, 0.0)
    total = cov[:, None] + cov[None] - shared - shared.swapaxes(2, 3)
    photo = np.array([str(r.photo) for r in readings], dtype=object)
    named = np.array([r.photo is not None for r in readings], dtype=bool)
    named = named[:, None] & named
    one = ((photo[:, None] == photo) & named)[..., None, None]
    total = total + np.where(one | ~named[..., None, None], 0, 2 * FROM_PHOTO_TO_PHOTO**2) * np.eye(
        3
    )
    stretch = np.where(one, stretch, 0.0)
    return total - stretch, stretch


def _degrees(readings: Sequence[Measurement], cov: Array, i: np.ndarray, j: np.ndarray) -> Array:
    """Degrees of freedom of each difference's error; see `compare.degrees_of_difference`."""
    own = np.array([r.degrees for r in readings], dtype=float)
    if np.isinf(own).all():
        return np.full(len(i), np.inf)
    photos: dict[str, int] = {}
    photo = np.array(
        [-1 - k if r.photo is None else photos.setdefault(r.photo, len(photos))
         for k, r in enumerate(readings)]
    )  # fmt: skip
    out = np.minimum(own[i], own[j])
    k = np.flatnonzero((photo[i] != photo[j]) & np.isfinite(out))
    wide = np.trace(cov, axis1=1, axis2=2)
    out[k] = degrees_of_sum(wide[i[k]], wide[j[k]], own[i[k]], own[j[k]])
    return np.asarray(out)
