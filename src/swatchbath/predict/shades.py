"""What was learnt from dyed swatches, and all that can be asked of it.

`ShadeModel` is the same as a scikit-learn estimator; whoever needs no estimator starts faster with
`Shades`, for scikit-learn is the longest of all imports.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.measurement import Measurement
from ..errors import BadValue
from .delivery.correction import NewLot, new_lot
from .delivery.lots import check_recipes
from .prediction import Conditions, Prediction, predict
from .regression.cross_validation import CrossValidation
from .regression.fit import Fit
from .regression.rows import training_rows
from .regression.stored_fit import has_outlier, parse_fit, restore, write_fit
from .regression.training import train
from .search.batch import ROOM, Room
from .search.experiment import next_samples
from .search.limits import Limits
from .search.request import parse_seed
from .search.sample import Samples
from .search.suggested import Suggestions
from .search.suggestion import suggest

NOT_YET = "This model has not learnt from any swatches yet; call fit first."


class NotLearnt(BadValue):
    """Something was asked of a model that has not learnt yet."""


class Shades:
    """A regression learnt from one person's swatches: X is a table of conditions, y Lab (n, 3) or a
    list of Measurements.

    Parameters
    ----------
    seed : whole number of 0 or more; of the random draws. With the same rows, seed and versions
        every answer is the same.

    Attributes, after `fit`
    -----------------------
    fit_ : the Fit, all that was learnt.
    cross_validation_ : CrossValidation; predictions of swatches left out with their lot, dye day
        and photo, in the order of the rows given.
    outliers_ : positions of rows that no other swatch explains; their weight was lowered.
    used_rows_ : positions of the rows learnt from.
    notes_ : sentences about what was left out or could not be checked.
    meta_ : a hash of the rows, the seed and the versions.
    restored_ : whether a stored fit was used.
    """

    def __init__(self, *, seed: int = 0) -> None:
        self.seed = seed

    @classmethod
    def of(cls, fit: Fit) -> Self:
        """A model that has learnt this already (fit), as a new delivery's corrected one."""
        model = cls(seed=fit.seed)
        model.fit_, model.restored_ = fit, False
        return model

    def fit(
        self,
        conditions: Conditions,
        labs: ArrayLike | Sequence[Measurement],
        *,
        covariances: ArrayLike | None = None,
        stored: str | None = None,
    ) -> Self:
        """Learn from n swatches and test it on lots left out; forgets what was learnt before.

        Parameters
        ----------
        conditions : one row a swatch (columns: `swatchbath.conditions.columns`); only fibre and
            dyestuff are required, an empty cell is unknown. lot, session, photo and swatch say
            which rows hang together and are never learnt from.
        labs : (n, 3) L*, a*, b* under D65 for the 2 degree observer, NaN for none; or n
            Measurements, whose shared errors are then used. Rows without a colour are left out.
        covariances : (n, 3, 3) of the errors of `labs`, for an array.
        stored : a fit of these rows, or of most of them, as `fitted` gave it; where it does not
            belong to them all is learnt anew.

        Raises
        ------
        BadTable, BadValue, ShapeError; NotEnoughSwatches under 12 swatches or where they are all
        alike.

        Two Gaussian processes on log depth (Kubelka and Munk 1931); see `regression.kernel`.
        """
        rows = training_rows(conditions, labs, covariances, parse_seed(self.seed))
        known = None if stored is None else parse_fit(stored)
        self.restored_ = known is not None and known.fits(rows.keys, rows.seed)
        if known is not None and self.restored_:
            self.fit_ = restore(known, rows)
            self.restored_ = not has_outlier(self.fit_, known)
        if not self.restored_:
            self.fit_ = train(rows)
        return self

    def fitted(self) -> str:
        """What was learnt, as text for `fit(stored=...)`. Raises BadValue before `fit`."""
        return write_fit(self._fitted())

    @property
    def cross_validation_(self) -> CrossValidation:
        """Predictions of swatches left out with their lot, dye day and photo."""
        return self.fit_.cross_validation

    @property
    def outliers_(self) -> np.ndarray:
        """Positions of rows that no other swatch explains."""
        return self.fit_.outliers

    @property
    def used_rows_(self) -> np.ndarray:
        """Positions of the rows learnt from."""
        return np.sort(self.fit_.order)

    @property
    def notes_(self) -> list[str]:
        """Sentences about what was left out or could not be checked."""
        return list(self.fit_.notes)

    @property
    def meta_(self) -> dict[str, Any]:
        """A hash of the rows, the seed and the versions."""
        return self.fit_.meta

    @property
    def feature_names_in_(self) -> np.ndarray:
        """The columns of the table learnt from."""
        return np.asarray(self.fit_.table.columns, dtype=object)

    @property
    def n_features_in_(self) -> int:
        """How many columns that table had."""
        return len(self.fit_.table.columns)

    def predict(self, conditions: Conditions) -> Prediction:
        """Colours of n baths, with how sure they are.

        conditions : as in `fit`; a dict for one bath. Gives a Prediction: `.lab` (n, 3) in L*, a*,
        b* (D65, 2 degrees), `.covariance` and `.pot_covariance` (n, 3, 3), `.unsure`, `.outside`,
        `.reasons`. Raises BadTable, BadValue.
        """
        return predict(self._fitted(), conditions)

    def suggest(
        self,
        target: ArrayLike | Measurement,
        *,
        limits: Limits | None = None,
        rounding: Mapping[str, float] | None = None,
        tolerance: float = 2.0,
        k: int = 5,
        seed: int = 0,
    ) -> Suggestions:
        """Up to k different baths for a shade, the most promising first.

        Parameters
        ----------
        target : Lab (3,), D65 and 2 degrees, taken as exact; or a Measurement, whose uncertainty
            enters.
        limits : {column: value | (low, high) | [choices]}, ends included, in the column's unit.
        rounding : {column: step}; None is exact.
        tolerance : CIEDE2000 above 0 within which a pot is a hit.
        k : 1 or more. seed : 0 or more.

        Gives Suggestions, a list with `.reach`, `.best_chance`, `.nearest` and `.to_frame()`.
        Raises BadValue where limits and caps leave nothing, NotFound for a column that is none,
        ShapeError, ValueOutOfRange.

        Ranked by how often a bath comes near (CIEDE2000, CIE 142-2001) over what is not known; the
        baths of the nearest swatches, as they were and with more or less dyestuff, stand among them
        (`.of_row`, `.scaled`).
        """
        return suggest(
            self._fitted(),
            target,
            limits=limits,
            rounding=rounding,
            tolerance=tolerance,
            k=k,
            seed=seed,
        )

    def next_samples(
        self,
        k: int = 3,
        *,
        target: ArrayLike | Measurement | None = None,
        limits: Limits | None = None,
        rounding: Mapping[str, float] | None = None,
        tolerance: float = 2.0,
        room: Room | None = None,
        seed: int = 0,
    ) -> Samples:
        """Up to k baths to dye together, by dye pot, the pot of the best first.

        With a target each is the bath that is expected to improve most on the best so far
        (expected improvement, Mockus 1975), without one that about which most is open.

        k : 1 or more. target, limits, rounding, tolerance, seed : as in `suggest`. room : how many
        dye pots and jars there are. Gives Samples, a list with `.to_frame()`. Raises as `suggest`.
        """
        return next_samples(
            self._fitted(),
            k,
            target=target,
            limits=limits,
            rounding=rounding,
            tolerance=tolerance,
            room=room or ROOM,
            seed=seed,
        )

    def check_recipes(self, dyestuff: str, k: int = 3) -> list[dict[str, Any]]:
        """k recipes on record (1 to 5) that tell most about a new delivery of a dyestuff, from
        deep to pale: column -> value, without the delivery's name. Raises NotFound, BadValue."""
        return check_recipes(self._fitted(), dyestuff, k)

    def new_lot(
        self,
        name: str,
        conditions: Conditions,
        labs: ArrayLike | Sequence[Measurement],
        *,
        covariances: ArrayLike | None = None,
    ) -> NewLot:
        """What check swatches tell of a new delivery of a dyestuff.

        name : as `dyestuff_lot` will say. conditions : the baths of one to five check swatches,
        all with one dyestuff; labs, covariances : as in `fit`. Gives a NewLot; its `.fit` knows the
        delivery, and `ShadeModel.of(lot.fit)` is a model of it. Raises BadValue where deliveries on
        record are not named, or the name is taken; NotFound for a dyestuff not on record.
        """
        return new_lot(self._fitted(), name, conditions, labs, covariances=covariances)

    def _fitted(self) -> Fit:
        if not hasattr(self, "fit_"):
            raise NotLearnt(NOT_YET)
        return self.fit_
