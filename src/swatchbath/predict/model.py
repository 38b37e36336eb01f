"""ShadeModel: learn from dyed swatches, say what colour a bath gives and how sure that is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from ..colorimetry.difference import delta_e2000
from ..colorimetry.lab import Array
from ..colorimetry.measurement import Measurement
from ..conditions.table import as_table, check_conditions, in_a_vat
from ..errors import BadValue, NotEnoughSwatches
from .features.encoder import Encoder, Factors
from .features.novelty import never_tried, not_given
from .prediction import Prediction
from .regression.cross_validation import LeftOut, leave_out
from .regression.depth import depth_jacobian
from .regression.gp import lift, read_share
from .regression.local_gp import condition, read_many
from .regression.observations import Groups, Readings, groups_of
from .regression.persistence import put_back, read_fit, row_keys, surprised, write_fit
from .regression.provenance import meta_of
from .regression.training import WHOLE_ROWS, learn
from .search.request import read_seed

if TYPE_CHECKING:
    from .delivery.correction import NewLot
    from .search.batch import Room
    from .search.experiment import NextSample
    from .search.suggestion import Idea, Limits

__all__ = ["FEWEST", "ShadeModel"]

# Fewer swatches than this teach nothing (in trials, median errors of 8 to 19 CIEDE2000).
FEWEST = 12
# A record whose colours all lie so near each other (CIEDE2000) has nothing to learn from.
_LEAST_SPREAD = 1.0
# With more rows than are solved whole, scales are learnt from so many; from those trials.
_SCALE_ROWS = 250
# More than half still open is "unsure"; from those trials.
_UNSURE = 0.5
# A left-out reading this far off, squared and in standard deviations, is odd: 1 in 65 000 by
# chance (chi-square, 3 degrees). At most a tenth of the rows can be.
_ODD, _ODD_SHARE = 25.0, 0.1
_CHUNK = 400

Conditions = pd.DataFrame | Mapping[str, Any] | Sequence[Mapping[str, Any]]


class ShadeModel:
    """A regression learnt from one person's swatches.

    After `fit`: `left_out_` (LeftOut, in the order of the rows given), `odd_rows_` (row positions
    that no other swatch explains; their weight was lowered), `used_rows_` (positions learnt
    from), `notes_` (sentences about what was left out or could not be checked), `meta_` (a hash of
    the rows, the seed and the versions: with the same, every answer is the same).
    """

    def __init__(self, *, seed: int = 0) -> None:
        self.seed = read_seed(seed)

    def get_params(self, deep: bool = True) -> dict[str, Any]:
        """The settings, as scikit-learn asks for them."""
        return {"seed": self.seed}

    def set_params(self, **params: Any) -> ShadeModel:
        """Change the settings; what was learnt stays until the next fit. Raises BadValue."""
        for name, value in params.items():
            if name not in self.get_params():
                raise BadValue(f"A ShadeModel has no setting called {name}; it has seed.")
            setattr(self, name, value)
        return self

    def score(self, conditions: Conditions, labs: ArrayLike | Sequence[Measurement]) -> float:
        """Minus the median CIEDE2000 between foretold and given colours: greater is better."""
        table = as_table(conditions)
        lab = read_many(labs, None, len(table)).lab
        known = np.isfinite(lab).all(axis=1)
        if not known.any():
            raise BadValue("None of these rows has a colour, so there is nothing to score.")
        return -float(np.median(delta_e2000(self.predict(table).lab[known], lab[known])))

    # -- learning ----------------------------------------------------------------------------

    def fit(
        self,
        conditions: Conditions,
        labs: ArrayLike | Sequence[Measurement],
        *,
        covariances: ArrayLike | None = None,
        stored: str | None = None,
    ) -> ShadeModel:
        """Learn from n swatches and score it on lots left out.

        conditions : one row a swatch (see `swatchbath.predict.COLUMNS`). labs : (n, 3), or a list
        of Measurements, whose shared errors are then used. covariances : (n, 3, 3), for arrays.
        Rows without a colour are left out, and said. Forgets what was learnt before.
        stored : a fit of these rows, or of most of them, as `fitted` gave it; where it does not
        belong to them all is learnt anew.
        Raises BadTable, BadValue, ShapeError; NotEnoughSwatches under 12 swatches or where they
        are all alike.
        """
        read_seed(self.seed)
        table = as_table(conditions)
        checked = check_conditions(table)
        readings = read_many(labs, covariances, len(table))
        self.notes_: list[str] = list(checked.sentences)
        vats = in_a_vat(checked.table)
        used = np.flatnonzero(np.isfinite(readings.lab).all(axis=1) & ~vats)
        if vats.any():
            self.notes_.append(
                f"{vats.sum()} rows were dipped in a vat and are left out: vats are recorded, and "
                "not foreseen."
            )
        colourless = np.flatnonzero(~np.isfinite(readings.lab).all(axis=1)) + 2
        if colourless.size:
            which = ", ".join(str(i) for i in colourless[:10]) + (" ..." * (colourless.size > 10))
            self.notes_.append(f"Rows that have no colour are left out: {which}.")
        rows = checked.table
        order = self._order(rows, readings.lab, used)
        groups = groups_of(rows.iloc[order], [readings.photos[i] for i in order])
        table_, readings = rows.iloc[order].reset_index(drop=True), readings.take(order)
        self._enough(table_, readings, groups)
        encoder = Encoder.learn(table_)
        f = encoder.encode(table_)
        if not (np.ptp(f.x, axis=0) > 1e-9).any() and not (f.levels != f.levels[:1]).any():
            raise NotEnoughSwatches(
                "Every swatch has the same conditions, so nothing can be learnt about changing "
                "them; add swatches with another amount, pH or after-bath."
            )
        self._encoder, self._f, self._table = encoder, f, table_
        self._words = encoder.values(table_)[1]
        self._readings, self._groups, self._order_ = readings, groups, order
        self._labels = [table.index[i] for i in order]
        self.used_rows_ = np.sort(order)
        self._keys = row_keys(table, labs, covariances)
        self.meta_ = meta_of(self._keys, len(order), self.seed)
        kept = None if stored is None else read_fit(stored)
        self.put_back_ = kept is not None and kept.fits(self._keys, self.seed)
        if kept is not None and self.put_back_:
            put_back(self, kept, self._keys)
            self.put_back_ = not surprised(self, kept, self._keys, _ODD)
        if self.put_back_:
            self.notes_ += self._fit_notes
        else:
            self._learn_all(len(table))
        return self

    def fitted(self) -> str:
        """What was learnt, as text for `fit(stored=...)`; see `predict.regression.persistence`."""
        self._need_fit()
        return write_fit(self, self._keys)

    def _order(self, rows: pd.DataFrame, lab: Array, used: np.ndarray) -> np.ndarray:
        """One order for one set of swatches, however the table was sorted."""
        names = sorted(rows.columns)
        cells = list(zip(*([str(v) for v in rows[c]] for c in names), strict=True))
        keys = [(tuple(lab[i]), cells[i]) for i in used]
        return used[sorted(range(len(used)), key=keys.__getitem__)]

    @staticmethod
    def _enough(table: pd.DataFrame, readings: Readings, groups: Groups) -> None:
        pieces = len(np.unique(groups.pot))
        if pieces < FEWEST:
            raise NotEnoughSwatches(
                f"There {'is 1 swatch' if pieces == 1 else f'are {pieces} swatches'} with a bath "
                f"and a dry reading; at least {FEWEST} are needed to learn from. Dye and measure "
                "more; swatchbath find lists those that are near."
            )
        middle = np.median(readings.lab, axis=0)
        if float(delta_e2000(readings.lab, middle).max()) < _LEAST_SPREAD:
            raise NotEnoughSwatches(
                "All swatches have the same colour, so nothing can be learnt about how a bath "
                "changes it; add swatches that differ."
            )

    def _learn_all(self, n_given: int) -> None:
        n = len(self._f.x)
        part = np.arange(n)
        self._fit_notes: list[str] = []
        if n > WHOLE_ROWS:
            part = np.sort(np.random.default_rng(self.seed).permutation(n)[:_SCALE_ROWS])
            self._fit_notes.append(
                f"How much each condition matters was learnt from {_SCALE_ROWS} of {n} swatches."
            )
        f, readings, groups = self._f.take(part), self._readings.take(part), self._groups.take(part)
        extra = np.zeros(len(part))
        words = self._encoder.words
        pair = (words.index("fibre"), words.index("dyestuff"))
        got = learn(f, readings, groups, extra)
        left = leave_out(f, readings, groups, extra, got.hyper, seed=self.seed, pair=pair)
        odd = _odd_rows(np.where(left.outside, 0.0, left.distance))
        if odd.size:
            # An odd row's noise grows until it is about as far off as it may be.
            j = depth_jacobian(readings.lab[odd]) / got.sd[:, None]
            doubt = j @ left.covariance[odd] @ j.swapaxes(1, 2)
            extra[odd] = read_share(doubt, got.hyper.B).mean(axis=1) * left.distance[odd] / 3
            got = learn(f, readings, groups, extra, start=got.hyper)
            left = leave_out(f, readings, groups, extra, got.hyper, seed=self.seed, pair=pair)
        self._extra = np.zeros(n)
        self._extra[part] = extra
        if n > len(part):
            got = condition(
                got.hyper,
                got.middle,
                got.sd,
                self._f,
                self._readings,
                self._groups,
                self._extra,
            )
        self._learnt, self._factor = got, left.factor
        where = self._order_[part]
        self.odd_rows_ = np.sort(where[odd])
        self.left_out_ = _in_order(left, where, n_given)
        self._fit_notes.append(left.note)
        self.notes_ += self._fit_notes

    # -- foretelling --------------------------------------------------------------------------

    def predict(self, conditions: Conditions) -> Prediction:
        """Colours of baths, with doubt; see Prediction. Raises BadTable, BadValue."""
        self._need_fit()
        table = check_conditions(as_table(conditions)).table.reset_index(drop=True)
        vats = np.flatnonzero(in_a_vat(table))
        if vats.size:
            raise BadValue(
                f"Row {vats[0] + 1} of the baths is dipped in a vat: vats are recorded, and not "
                "foreseen. Leave it out, or ask for the bath without the vat."
            )
        f = self._encoder.encode(table)
        pieces = [self._colours(f.take(rows)) for rows in _chunks(len(table))]
        lab, cov, pot, share = (
            np.concatenate([p[k] for p in pieces]) if pieces else np.zeros((0, *shape))
            for k, shape in enumerate([(3,), (3, 3), (3, 3), ()])
        )
        reasons, outside = never_tried(self._encoder, self._words, table, f, self._table)
        unsure = np.asarray(share > _UNSURE)
        for i in np.flatnonzero(unsure):
            reasons[i].append("few swatches are like this bath")
        return Prediction(
            lab, cov, pot, unsure, outside, reasons, not_given(self._encoder, table, f, self._table)
        )

    def _colours(self, f: Factors) -> tuple[Array, Array, Array, Array]:
        """Lab, covariance of a reading, covariance of the true colour, share still open."""
        got = self._learnt
        mean, c, share = got.posterior.at(f)
        wide = self._factor * lift(c) + got.hyper.pot
        lab, pot = got.lab_moments(mean, wide)
        if self._readings.errors is None:
            return lab, pot, pot.copy(), share
        # The reading nearest in colour stands for a new one's own doubt.
        like = [int(delta_e2000(self._readings.lab, x).argmin()) for x in lab]
        truth = pot.copy()
        for loads in got.lasting_of(f).values():
            truth += loads @ loads.swapaxes(1, 2)
        return lab, lift(pot + self._readings.own()[like]), lift(truth), share

    def suggest(
        self,
        target: ArrayLike | Measurement,
        *,
        limits: Limits | None = None,
        rounding: Mapping[str, float] | None = None,
        tolerance: float = 2.0,
        k: int = 5,
        seed: int = 0,
    ) -> list[Idea]:
        """Baths for a shade, the most promising first; see `predict.search.suggestion`."""
        from .search.subset import near_to
        from .search.suggestion import suggest

        self._need_fit()
        return suggest(
            near_to(self, target, limits),
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
    ) -> list[NextSample]:
        """What to dye next; see `swatchbath.predict.search.experiment`."""
        from .search.batch import ROOM
        from .search.experiment import next_samples
        from .search.subset import near_to

        self._need_fit()
        return next_samples(
            near_to(self, target, limits),
            k,
            target=target,
            limits=limits,
            rounding=rounding,
            tolerance=tolerance,
            room=room or ROOM,
            seed=seed,
        )

    def check_recipes(self, dyestuff: str, k: int = 3) -> list[dict[str, Any]]:
        """Recipes for check swatches of a new delivery; see `swatchbath.predict.delivery.lots`."""
        from .delivery.lots import check_recipes

        self._need_fit()
        return check_recipes(self, dyestuff, k)

    def new_lot(
        self,
        name: str,
        conditions: Conditions,
        labs: ArrayLike | Sequence[Measurement],
        *,
        covariances: ArrayLike | None = None,
    ) -> NewLot:
        """A new delivery of a dyestuff from check swatches; see `predict.delivery.correction`."""
        from .delivery.correction import new_lot

        self._need_fit()
        return new_lot(self, name, conditions, labs, covariances=covariances)

    def _need_fit(self) -> None:
        if not hasattr(self, "_learnt"):
            raise BadValue("This model has not learnt from any swatches yet; call fit first.")


def _odd_rows(distance: Array) -> np.ndarray:
    known = np.where(np.isnan(distance), 0, distance)
    odd = np.flatnonzero(known > _ODD)
    most = int(_ODD_SHARE * len(distance))
    return np.sort(odd[np.argsort(-known[odd], kind="stable")][:most])


def _in_order(left: LeftOut, where: np.ndarray, n: int) -> LeftOut:
    from dataclasses import replace

    def spread(values: Array) -> Array:
        out = np.full((n, *values.shape[1:]), np.nan)
        out[where] = values
        return out

    return replace(
        left,
        lab=spread(left.lab),
        covariance=spread(left.covariance),
        delta_e2000=spread(left.delta_e2000),
        distance=spread(left.distance),
        outside=np.nan_to_num(spread(left.outside.astype(float))).astype(bool),
    )


def _chunks(n: int) -> list[np.ndarray]:
    return [np.arange(i, min(i + _CHUNK, n)) for i in range(0, n, _CHUNK)]
