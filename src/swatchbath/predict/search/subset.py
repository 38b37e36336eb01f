"""The part of a large record that bears on one question: swatches near the shade, and of every
kind and extreme at least one, so that ranges and what was never tried stay as they are."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ..regression.training import WHOLE_ROWS
from .request import Limits, read_limits, read_target

if TYPE_CHECKING:
    from ..model import ShadeModel

__all__ = ["near_to"]

# Swatches looked at for a suggestion, of at most so many pairs of fibre and dyestuff; in trials
# on a made-up dye house six pairs held the best bath.
_MOST, _PAIRS = 400, 8


def near_to(
    model: ShadeModel, target: ArrayLike | Measurement | None, limits: Limits | None
) -> ShadeModel:
    """The same model with fewer rows to look through; itself where it has few."""
    n = len(model._f.x)
    if n <= WHOLE_ROWS:
        return model
    if target is None:
        far = np.random.default_rng(model.seed).permutation(n).astype(float)
    else:
        far = delta_e2000(model._readings.lab, read_target(target).lab)
    rows = _rows(model, np.asarray(far), limits)
    near = copy.copy(model)
    near._f, near._readings = model._f.take(rows), model._readings.take(rows)
    near._table = model._table.iloc[rows].reset_index(drop=True)
    near._groups, near._order_ = model._groups.take(rows), model._order_[rows]
    near._labels = [model._labels[i] for i in rows]
    near._words = {name: [cells[i] for i in rows] for name, cells in model._words.items()}
    return near


def _rows(model: ShadeModel, far: Array, limits: Limits | None) -> np.ndarray:
    f, words = model._f, model._encoder.words
    places = [words.index(w) for w in ("fibre", "dyestuff") if w in words]
    pair = _ids(f.levels[:, places])
    may = np.ones(len(far), bool)
    for name, limit in read_limits(limits).items():
        if name in model._table and limit.choices and name in ("fibre", "dyestuff"):
            words_here = model._table[name]
            holds = np.array([isinstance(w, str) and limit.holds(name, w) for w in words_here])
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
