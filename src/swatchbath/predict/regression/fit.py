"""The fitted state: the rows learnt from and what was learnt from them.

Everything under `predict` takes a Fit and gives a Fit or a value. A Fit never changes; another one
(fewer rows, a corrected delivery) is made from it with `dataclasses.replace`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Self

import numpy as np

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ..features.encoder import Factors
from .cross_validation import CrossValidation
from .gp import nearest_psd
from .observations import Observations
from .provenance import meta_of
from .regression import Regression
from .rows import TrainingRows

# From so far off the very swatches it was learnt from (median CIEDE2000) a fit stands back: on
# made-up untidy records read by card photos it is 0.9 to 2.1, and where no photo says which camera
# took it, 10 (tests/studies/score_first_idea.py).
STANDS_BACK = 4.0
# Rows looked at for that.
_LOOKED_AT = 100
# More than half of the variance still open is "unsure"; from trials on a made-up dye house.
UNSURE = 0.5


@dataclass(frozen=True, eq=False, repr=False)
class Fit(TrainingRows):
    """What was learnt from n rows; see TrainingRows for the rows themselves.

    Attributes
    ----------
    encoder, factors, table, words, observations, groups, order, labels, keys, row_notes, seed
        The rows, as TrainingRows has them.
    regression : Regression
        Fitted to all of them.
    extra_noise : (n,)
        Added reading variance of each row, in shares of the channels' covariance.
    covariance_inflation : float
        What the regression's covariance is multiplied by.
    cross_validation : CrossValidation
        Scores, in the order of the rows as given.
    outliers : (m,) int
        Positions, as given, that no other swatch explains; their weight was lowered.
    fit_notes : tuple of str
        How it was learnt and tested, in sentences.
    """

    regression: Regression
    extra_noise: Array
    covariance_inflation: float
    cross_validation: CrossValidation
    outliers: np.ndarray
    fit_notes: tuple[str, ...]

    def take(self, rows: np.ndarray) -> Self:
        """Fewer rows to look through; what was learnt from all of them stays."""
        return replace(super().take(rows), extra_noise=self.extra_noise[rows])

    @property
    def stands_back(self) -> bool:
        """Whether it misses the very swatches it was learnt from; then they say more than it."""
        return misses_by(self.regression, self.factors, self.observations) > STANDS_BACK

    @property
    def notes(self) -> tuple[str, ...]:
        """Sentences about what was left out, could not be checked, and how it was tested."""
        return self.row_notes + self.fit_notes

    @property
    def meta(self) -> dict[str, Any]:
        """A hash of the rows, the seed and the versions: what every answer depends on."""
        return meta_of(self.keys, len(self.order), self.seed)

    def __repr__(self) -> str:
        scored = self.cross_validation
        return (
            f"Fit(swatches={len(self.order)}, factors={len(self.factors.names)}, "
            f"left out: median {scored.median:.1f}, blocks {scored.blocks})"
        )


@dataclass(frozen=True, eq=False)
class Carried:
    """What is known of m baths beside what the regression says of such baths: shift (m, 3) of the
    standardised depth, and the share left (m,), 0 to 1, of what is not known."""

    shift: Array
    left: Array

    def of(self, mean: Array, c: Array) -> tuple[Array, Array]:
        """Mean (m, 3) and covariance (m, 3, 3) with it."""
        return mean + self.shift, self.left[:, None, None] * c


def pot_depth_covariance(fit: Fit, cov: Array) -> Array:
    """Covariance (m, 3, 3) of the depth of a pot of each bath, standardised: what is not known of
    the bath (`cov`, as `Posterior.at` gives it), inflated, and the pots' scatter."""
    return fit.covariance_inflation * nearest_psd(cov) + fit.regression.hyper.pot


def misses_by(got: Regression, f: Factors, observed: Observations) -> float:
    """How far what was learnt lies from the readings it was learnt from: the median CIEDE2000, 0 or
    more, of at most 100 rows."""
    rows = np.unique(np.linspace(0, len(f.x) - 1, min(len(f.x), _LOOKED_AT)).astype(int))
    fitted = got.to_lab(got.posterior.mean(f.take(rows)))
    return float(np.median(delta_e2000(fitted, observed.lab[rows])))


def colours_of(
    fit: Fit, f: Factors, carried: Carried | None = None
) -> tuple[Array, Array, Array, Array]:
    """Of m baths: Lab (m, 3), covariance (m, 3, 3) of a reading and of the true colour, and the
    fraction (m,), 0 to 1, of the variance before any swatch that is still open."""
    got, observed = fit.regression, fit.observations
    mean, c, fraction = got.posterior.at(f)
    if carried is not None:
        mean, c = carried.of(mean, c)
    lab, pot = got.lab_moments(mean, pot_depth_covariance(fit, c))
    if observed.errors is None:
        return lab, pot, pot.copy(), fraction
    # The reading nearest in colour stands for a new one's own error.
    like = [int(delta_e2000(observed.lab, x).argmin()) for x in lab]
    truth = pot.copy()
    for loads in got.lasting_of(f).values():
        truth += loads @ loads.swapaxes(1, 2)
    return lab, nearest_psd(pot + observed.own()[like]), nearest_psd(truth), fraction


def regression_from(fit: Fit, rows: np.ndarray) -> Regression:
    """What would be known from these rows alone, with the scales as they are."""
    few = fit.take(rows)
    return fit.regression.on(few.factors, few.observations, few.groups, few.extra_noise)
