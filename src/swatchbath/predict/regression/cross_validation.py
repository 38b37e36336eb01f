"""Honest scores: predictions of swatches whose lot, dye day and photo were left out, and how much
the doubt must be widened for them to be held as often as it says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ..features.encoder import Factors
from ..features.novelty import BEYOND
from .depth import depth_jacobian
from .gp import nearest_psd
from .groups import Groups
from .kernel import Hyper
from .observations import Observations
from .regression import Regression, learn

Fold = tuple[NDArray[np.intp], NDArray[np.intp]]  # row numbers left out, and learnt from

# Under so many blocks the doubt is called model-based.
FEW_BLOCKS = 9
# Most refits; lots are joined beyond. More where training drops other lots too (dye days, photos),
# since joined lots drop all that either does.
_MOST_FOLDS, _MOST_FOLDS_APART = 12, 30
# Rows a training part must keep for its block to count.
_LEAST_TRAINING = 8
# 85 % of left-out readings within the 85 % point of chi-square with 3 degrees (5.317): in trials on
# made-up dye houses it held fresh readings more evenly than 80 or 90 %, at no worse energy scores.
_QUANTILE, _CHI2_85, _CHI2_90 = 0.85, 5.317, 6.251
# Where the splits could not be made, the doubt is widened at least so much (our own choice).
_LEAST_UNCHECKED = 1.5
_MOST_WIDENED = 16.0


@dataclass(frozen=True)
class CrossValidation:
    """Predictions of swatches left out with their lot, dye day and photo.

    Attributes
    ----------
    lab, covariance : (n, 3), (n, 3, 3)
        Expected CIELAB, and the widened covariance of the reading; NaN for a row that could not be
        left out.
    delta_e2000 : (n,)
        CIEDE2000 from the reading.
    distance : (n,)
        Squared, in standard deviations as widened.
    median, p95 : float
        Of delta_e2000.
    coverage : float
        Share of readings within the 90 % region.
    blocks : int
        Lots left out, the size of this sample.
    nearest : float
        Median CIEDE2000 of the colour of the most alike swatch left in, for comparison.
    covariance_inflation : float
        What the model's own covariance was multiplied by.
    outside : (n,) bool
        Had something that no swatch left in had.
    checked : bool
        False where the blocks are too few to check the doubt, which then rests on the model.
    note : str
        A sentence.
    """

    lab: Array
    covariance: Array
    delta_e2000: Array
    distance: Array
    median: float
    p95: float
    coverage: float
    blocks: int
    nearest: float
    covariance_inflation: float
    outside: np.ndarray
    checked: bool
    note: str

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON, without the rows."""
        return {
            "median": self.median,
            "p95": self.p95,
            "coverage_90": self.coverage,
            "blocks": self.blocks,
            "nearest_swatch_median": self.nearest,
            "widened_by": self.covariance_inflation,
            "checked": self.checked,
            "note": self.note,
        }


def folds_of(groups: Groups, rng: np.random.Generator) -> tuple[list[Fold], int, bool]:
    """(test, train) row numbers for each refit, the number of blocks, and whether the splits
    hold lot, dye day and photo apart (False: too few of them, so only lots are held apart).

    scikit-learn's splitters by group are not used here: they know one group a row, while a lot's
    training part also drops every row of its dye day and of its photos; and GroupKFold joins
    groups by their size, which would change every figure.
    """
    for strict in (True, False):
        blocks = _blocks(groups, strict)
        kept = [(t, d) for t, d in blocks if (~d).sum() >= max(_LEAST_TRAINING, len(d) // 3)]
        if strict and len(kept) < min(FEW_BLOCKS, len(blocks)):
            continue
        return _joined(kept, rng), len(kept), strict
    return [], 0, False


def _blocks(groups: Groups, strict: bool) -> list[tuple[np.ndarray, np.ndarray]]:
    """For each lot, masks of its rows and of all rows that training must drop with it."""
    out = []
    for lot in np.unique(groups.lot):
        test = groups.lot == lot
        drop = test.copy()
        if strict:
            for ids in (groups.session, *groups.photo):
                drop |= np.isin(ids, np.unique(ids[test & (ids >= 0)])) & (ids >= 0)
        out.append((test, drop))
    return out


def _joined(blocks: list[tuple[np.ndarray, np.ndarray]], rng: np.random.Generator) -> list[Fold]:
    """Lots with the same training part share a refit; beyond the most refits they are joined."""
    same: dict[bytes, list[np.ndarray]] = {}
    for test, drop in blocks:
        if drop.tobytes() in same:
            same[drop.tobytes()][0] |= test
        else:
            same[drop.tobytes()] = [test.copy(), drop.copy()]
    parts = list(same.values())
    order = rng.permutation(len(parts))
    apart = any((test != drop).any() for test, drop in parts)
    most = _MOST_FOLDS_APART if apart else _MOST_FOLDS
    if len(parts) > most:
        bins = np.array_split(order, most)
    else:
        bins = [np.array([i]) for i in order]
    folds = []
    for members in bins:
        test = np.any([parts[i][0] for i in members], axis=0)
        drop = np.any([parts[i][1] for i in members], axis=0)
        if (~drop).sum() >= _LEAST_TRAINING:
            folds.append((np.flatnonzero(test), np.flatnonzero(~drop)))
    return folds


def cross_validate(
    f: Factors,
    readings: Observations,
    groups: Groups,
    extra: Array,
    start: Hyper,
    *,
    seed: int,
    pair: tuple[int, int] | None = None,
) -> CrossValidation:
    """Refit without each part and predict it; see CrossValidation. pair : see `beyond_all`."""
    n = len(f.x)
    folds, blocks, strict = folds_of(groups, np.random.default_rng(seed))
    nearest, outside = np.full(n, np.nan), np.zeros(n, bool)
    parts: list[_Part] = []
    for test, train in folds:
        part = readings.take(train)
        got = learn(f.take(train), part, groups.take(train), extra[train], start=start, steps=15)
        g = f.take(test)
        mean, c, _ = got.posterior.at(g)
        own = np.zeros((len(test), 3, 3))
        if readings.errors is not None:
            own = readings.errors[test, test]
            shared = readings.errors[np.ix_(test, train)]
            if shared.any() and not got.posterior.separate:
                mean, less = got.reading(g, part, shared, depth_jacobian(readings.lab[test]), c)
                own = own + less
        parts.append(_Part(test, got, mean, c, own))
        outside[test] = beyond_all(f.take(train), g, pair)
        k = got.posterior.kernel_similarity(g)
        nearest[test] = delta_e2000(part.lab[k.argmax(axis=1)], readings.lab[test])
    return _scored(parts, readings.lab, groups.lot, outside, nearest, blocks, strict)


@dataclass(frozen=True)
class _Part:
    """Rows predicted from a refit without them: depth, its covariance, the readings' own."""

    rows: NDArray[np.intp]
    regression: Regression
    mean: Array
    c: Array
    own: Array

    def reading(self, inflation: float) -> tuple[Array, Array]:
        """Lab (k, 3) and covariance (k, 3, 3), the model's own multiplied by `inflation`."""
        h = self.regression.hyper
        lab, cov = self.regression.lab_moments(self.mean, inflation * nearest_psd(self.c) + h.pot)
        return lab, nearest_psd(cov + self.own)


def _scored(
    parts: list[_Part],
    read: Array,
    lots: np.ndarray,
    outside: np.ndarray,
    nearest: Array,
    blocks: int,
    strict: bool,
) -> CrossValidation:
    n = len(read)
    checked = strict and blocks >= FEW_BLOCKS
    done = ~np.isnan(nearest)

    def at(inflation: float) -> tuple[Array, Array, Array]:
        lab, cov = np.full((n, 3), np.nan), np.full((n, 3, 3), np.nan)
        distance = np.full(n, np.nan)
        for part in parts:
            lab[part.rows], cov[part.rows] = part.reading(inflation)
        off = (read - lab)[done]
        distance[done] = np.einsum(
            "ni,ni->n", off, np.linalg.solve(cov[done], off[..., None])[..., 0]
        )
        return lab, cov, distance

    # Judged on what was not flagged; where nearly all was, on everything.
    judged = done & ~outside
    if len(np.unique(lots[judged])) < FEW_BLOCKS:
        judged = done
    inflation = inflation_for(lambda a: at(a)[2][judged], lots[judged])
    if not checked:
        inflation = max(inflation, _LEAST_UNCHECKED)
    lab, cov, distance = at(inflation)
    error = np.full(n, np.nan)
    error[done] = delta_e2000(lab[done], read[done])

    def figure(values: Array, q: float) -> float:
        return float(np.quantile(values[done], q)) if done.any() else float("nan")

    return CrossValidation(
        lab=lab,
        covariance=cov,
        delta_e2000=error,
        distance=distance,
        median=figure(error, 0.5),
        p95=figure(error, 0.95),
        coverage=float(np.mean(distance[done] <= _CHI2_90)) if done.any() else float("nan"),
        blocks=blocks,
        nearest=figure(nearest, 0.5),
        covariance_inflation=inflation,
        outside=outside,
        checked=checked,
        note=_note(blocks, strict, checked),
    )


def _note(blocks: int, strict: bool, checked: bool) -> str:
    if checked:
        return f"Checked on {blocks} lots left out with their dye day and photos."
    if not strict and blocks:
        return (
            f"Only the lots themselves could be left out ({blocks}), not their dye days and "
            "photos, so the doubt rests on the model; it may be too small."
        )
    return f"Too few lots ({blocks}) to check the doubt by leaving them out; it rests on the model."


def inflation_for(squared: Callable[[float], Array], lots: np.ndarray) -> float:
    """What the model's own covariance is multiplied by, 1 to 16, for left-out readings to be held.

    squared : from an inflation to squared Mahalanobis distances (n,). lots : (n,); each lot counts
    once. The doubt of pots and readings is not widened: leaving out does not enlarge it.
    """
    if not len(lots):
        return _LEAST_UNCHECKED
    weight = np.array([1 / np.sum(lots == lot) for lot in lots])

    def excess(inflation: float) -> float:
        d = squared(inflation)
        order = np.argsort(d, kind="stable")
        run = np.cumsum(weight[order])
        at = min(int(np.searchsorted(run, _QUANTILE * (run[-1] + 1) - 1e-9)), len(run) - 1)
        return float(d[order][at]) - _CHI2_85

    if excess(1.0) <= 0:
        return 1.0
    if excess(_MOST_WIDENED) > 0:
        return _MOST_WIDENED
    from scipy.optimize import brentq  # not needed where a stored fit is put back

    return float(brentq(excess, 1.0, _MOST_WIDENED, xtol=1e-2))


def beyond_all(train: Factors, test: Factors, pair: tuple[int, int] | None) -> np.ndarray:
    """Which rows (m,) have a word, a pair of words or a number that the others never had.

    pair : the two word factors (fibre and dyestuff) that must have occurred together.
    """
    low, high = train.x.min(axis=0) - BEYOND, train.x.max(axis=0) + BEYOND
    out = np.asarray(((test.x < low) | (test.x > high)).any(axis=1))
    for j in range(test.levels.shape[1]):
        out |= ~np.isin(test.levels[:, j], train.levels[:, j])
    if pair is not None:
        seen = {tuple(row) for row in train.levels[:, pair]}
        out |= np.array([tuple(row) not in seen for row in test.levels[:, pair]], bool)
    return out
