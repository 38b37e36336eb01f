"""ShadeModel: learn from dyed swatches as any scikit-learn regressor does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.exceptions import NotFittedError

from ..colorimetry.difference import delta_e2000
from ..colorimetry.measurement import Measurement
from ..conditions.table import as_table
from ..errors import BadValue
from .prediction import Conditions
from .regression.fit import Fit
from .regression.many_observations import parse_any_labs
from .shades import NOT_YET, NotLearnt, Shades


class NotFitted(NotLearnt, NotFittedError):  # type: ignore[misc]
    """Something was asked of an estimator that has not learnt yet."""


class ShadeModel(Shades, RegressorMixin, BaseEstimator):  # type: ignore[misc]
    """`Shades` as a scikit-learn regressor: parameters, attributes and methods are its, and
    scikit-learn's clone, pipelines and cross-validation take it.

    Parameters
    ----------
    seed : int
        0 or more; of the random draws. With the same rows, seed and versions every answer is the
        same.

    Source: Gaussian processes on log depth (Kubelka and Munk 1931); see `regression.kernel`.

    Examples
    --------
    >>> ShadeModel(seed=3).get_params()
    {'seed': 3}
    """

    def __init__(self, *, seed: int = 0) -> None:
        super().__init__(seed=seed)

    def set_params(self, **params: Any) -> Self:
        """Change the settings (params by name); what was learnt stays until the next fit. Raises
        BadValue."""
        try:
            super().set_params(**params)
        except ValueError as error:
            raise BadValue(f"A ShadeModel has no setting but seed; {error}") from error
        return self

    def __sklearn_tags__(self) -> Any:
        tags = super().__sklearn_tags__()
        tags.input_tags.string = tags.input_tags.categorical = tags.input_tags.allow_nan = True
        tags.target_tags.multi_output, tags.target_tags.single_output = True, False
        return tags

    def score(self, conditions: Conditions, labs: ArrayLike | Sequence[Measurement]) -> float:
        """Minus the median CIEDE2000 between predicted and given colours, at most 0: greater is
        better.

        conditions, labs : as in `fit`; rows without a colour do not count. Raises as `fit`, and
        BadValue where none has one.
        """
        table = as_table(conditions)
        lab = parse_any_labs(labs, None, len(table)).lab
        known = np.isfinite(lab).all(axis=1)
        if not known.any():
            raise BadValue("None of these rows has a colour, so there is nothing to score.")
        return -float(np.median(delta_e2000(self.predict(table).lab[known], lab[known])))

    def _fitted(self) -> Fit:
        if not hasattr(self, "fit_"):
            raise NotFitted(NOT_YET)
        return self.fit_
