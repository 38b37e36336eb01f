"""How deep a vat dyes: from dips and minutes, by her own vat swatches and a wide guess.

The strength of the colour (see `regression.depth`) is taken to rise evenly with the logarithm of
the dips and of the minutes of each; its hue stays. Bayesian linear regression with one strength
for each vat and fibre (Rasmussen and Williams 2006, section 2.1; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.lab import Array
from ..regression.depth import depth_to_lab, lab_jacobian, lab_to_depth

# What a doubling of the dips, and of the minutes of a dip, adds to the strength, times 1 / ln 2;
# mean and standard deviation. Common practice, no source: from one dip to five wool goes from a
# light to a dark blue, about L* 62 to 38; a longer dip does less than another one.
_BY_DIPS, _BY_MINUTES = (1.0, 0.45), (0.3, 0.3)
# How pots of one vat scatter in strength, and in the two hues (standard deviations): a vat grows
# weak and is fed again. Common practice, no source.
_SCATTER, _HUE_SCATTER = 0.3, (0.1, 0.2)


@dataclass(frozen=True)
class VatDepth:
    """What a dip more does: slope (2,) of the strength on the logarithm of dips and of minutes,
    and its covariance (2, 2)."""

    slope: Array
    covariance: Array

    @classmethod
    def learn(
        cls, labs: ArrayLike, dips: ArrayLike, minutes: ArrayLike, vats: Sequence[str]
    ) -> Self:
        """labs : (n, 3) of vat swatches, n >= 0. dips, minutes : (n,), NaN unknown. vats : what
        must be alike for two to be compared (the vat, the fibre)."""
        mean = np.array([_BY_DIPS[0], _BY_MINUTES[0]])
        precision = np.diag([_BY_DIPS[1] ** -2.0, _BY_MINUTES[1] ** -2.0])
        pull = precision @ mean
        lab = np.reshape(np.asarray(labs, dtype=float), (-1, 3))
        strength = lab_to_depth(lab)[:, 0]
        steps = np.stack([_log(dips), _log(minutes)], axis=1)
        for vat in dict.fromkeys(vats):
            mine = np.array([v == vat for v in vats]) & np.isfinite(steps[:, 0])
            if mine.sum() < 2:
                continue
            x = np.nan_to_num(steps[mine] - _middle(steps[mine]))
            y = strength[mine] - strength[mine].mean()
            precision = precision + x.T @ x / _SCATTER**2
            pull = pull + x.T @ y / _SCATTER**2
        covariance = np.linalg.inv(precision)
        return cls(covariance @ pull, covariance)

    def after(
        self, lab: ArrayLike, dips: tuple[float, float], minutes: tuple[float, float] = (1.0, 1.0)
    ) -> tuple[Array, Array]:
        """Lab (3,) and covariance (3, 3) of the next dyeing like one of colour lab, with other
        dips and minutes: each (before, after)."""
        step = np.log([dips[1] / dips[0], minutes[1] / minutes[0]])
        z = lab_to_depth(lab)
        z = z + [float(step @ self.slope), 0.0, 0.0]
        own = float(step @ self.covariance @ step) + 2 * _SCATTER**2
        wide = np.diag([own, *np.square(_HUE_SCATTER)])
        there = lab_jacobian(z)
        return depth_to_lab(z), np.asarray(there @ wide @ there.T)


def _log(values: ArrayLike) -> Array:
    known = np.array(values, dtype=float)
    known[~(known > 0)] = np.nan
    return np.asarray(np.log(known))


def _middle(steps: Array) -> Array:
    """The mean (2,) of what is known of each column, 0 where nothing is."""
    count = np.isfinite(steps).sum(axis=0)
    return np.asarray(np.nansum(steps, axis=0) / np.maximum(count, 1))
