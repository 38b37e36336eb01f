"""The part of a large record that bears on one question: swatches near the shade, and of every
kind and extreme at least one, so that ranges and what was never tried stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ..regression.fit import Fit
from ..regression.observations import WHOLE_ROWS
from .limits import Limits, parse_limits
from .request import parse_target

# Swatches looked at for a suggestion, of at most so many pairs of fibre and dyestuff; in trials
# on a made-up dye house six pairs held the best bath.
_MOST, _PAIRS = 400, 8


def near_to(fit: Fit, target: ArrayLike | Measurement | None, limits: Limits | None) -> Fit:
    """The same fit with fewer rows to look through; itself where it has few."""
    n = len(fit.factors.x)
    if n <= WHOLE_ROWS:
        return fit
    if target is None:
        far = np.random.default_rng(fit.seed).permutation(n).astype(float)
    else:
        far = delta_e2000(fit.observations.lab, parse_target(target).lab)
    return fit.take(_rows(fit, np.asarray(far), limits))


def _rows(fit: Fit, far: Array, limits: Limits | None) -> np.ndarray:
    f, words = fit.factors, fit.encoder.words
    places = [words.index(w) for w in ("fibre", "dyestuff") if w in words]
    pair = _ids(f.levels[:, places])
    may = np.ones(len(far), bool)
    for name, limit in parse_limits(limits).items():
        if name in fit.table and limit.choices and name in ("fibre", "dyestuff"):
            holds = np.array([isinstance(w, str) and limit.holds(name, w) for w in fit.table[name]])
            may &= holds if (may & holds).any() else True
    nearest = np.full(pair.max() + 1, np.inf)
    np.minimum.at(nearest, pair[may], far[may])
    best = np.argsort(nearest, kind="stable")[:_PAIRS]
    best = best[np.isfinite(nearest[best])]
    mine = np.flatnonzero(may & np.isin(pair, best))
    keep = list(mine[np.argsort(far[mine], kind="stable")][:_MOST])
    return np.unique(np.array([*keep, *_one_of_each(f.x, _ids(f.levels), far)], dtype=int))


def _one_of_each(x: Array, kinds: np.ndarray, far: Array) -> Sequence[Any]:
    """The nearest row of each kind, and the rows at both ends of each number."""
    order = np.lexsort([far, kinds])
    first = np.r_[True, np.diff(kinds[order]) > 0]
    return [*order[first], *x.argmin(axis=0), *x.argmax(axis=0)]


def _ids(levels: np.ndarray) -> np.ndarray:
    return np.asarray(np.unique(levels, axis=0, return_inverse=True)[1]).ravel()
