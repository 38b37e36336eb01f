"""From rows to a Fit: scales, odd rows, scores on lots left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ...colorimetry.lab import Array
from .cross_validation import CrossValidation, cross_validate
from .depth import depth_jacobian
from .fit import STANDS_BACK, Fit, misses_by
from .gp import reading_share
from .observations import WHOLE_ROWS
from .regression import learn
from .rows import TrainingRows

# With more rows than are solved whole, scales are learnt from so many; from trials on a made-up
# dye house.
_SCALE_ROWS = 250
# A left-out reading this far off, squared and in standard deviations, is odd: 1 in 65 000 by
# chance (chi-square, 3 degrees). At most a tenth of the rows can be.
OUTLIER_DISTANCE, _ODD_SHARE = 25.0, 0.1


def train(rows: TrainingRows) -> Fit:
    """Learn from rows: the scales, which rows are odd, and how far off it is on lots left out."""
    n = len(rows.factors.x)
    part = np.arange(n)
    notes: list[str] = []
    if n > WHOLE_ROWS:
        part = np.sort(np.random.default_rng(rows.seed).permutation(n)[:_SCALE_ROWS])
        notes.append(
            f"How much each condition matters was learnt from {_SCALE_ROWS} of {n} swatches."
        )
    f, observed = rows.factors.take(part), rows.observations.take(part)
    groups = rows.groups.take(part)
    extra = np.zeros(len(part))
    words = rows.encoder.words
    pair = (words.index("fibre"), words.index("dyestuff"))
    got = learn(f, observed, groups, extra)
    scored = cross_validate(f, observed, groups, extra, got.hyper, seed=rows.seed, pair=pair)
    odd = _odd_rows(np.where(scored.outside, 0.0, scored.distance))
    if odd.size:
        # An odd row's noise grows until it is about as far off as it may be.
        j = depth_jacobian(observed.lab[odd]) / got.sd[:, None]
        wide = j @ scored.covariance[odd] @ j.swapaxes(1, 2)
        extra[odd] = reading_share(wide, got.hyper.B).mean(axis=1) * scored.distance[odd] / 3
        got = learn(f, observed, groups, extra, start=got.hyper)
        scored = cross_validate(f, observed, groups, extra, got.hyper, seed=rows.seed, pair=pair)
    extra_noise = np.zeros(n)
    extra_noise[part] = extra
    if n > len(part):
        got = got.on(rows.factors, rows.observations, rows.groups, extra_noise)
    off = misses_by(got, rows.factors, rows.observations)
    if off > STANDS_BACK:
        notes.append(
            f"What was learnt is {off:.0f} off for half of the very swatches it was learnt from: "
            "the errors of their photos are not told from the dyeing. Say which camera took each "
            "photo, or photograph some swatches of each once more in one frame. Until then your "
            "nearest swatches lead."
        )
    where = rows.order[part]
    return Fit(
        **vars(rows),
        regression=got,
        extra_noise=extra_noise,
        covariance_inflation=scored.covariance_inflation,
        cross_validation=_as_given(scored, where, len(rows.keys)),
        outliers=np.sort(where[odd]),
        fit_notes=(*notes, scored.note),
    )


def _odd_rows(distance: Array) -> np.ndarray:
    known = np.where(np.isnan(distance), 0, distance)
    odd = np.flatnonzero(known > OUTLIER_DISTANCE)
    most = int(_ODD_SHARE * len(distance))
    return np.sort(odd[np.argsort(-known[odd], kind="stable")][:most])


def _as_given(scored: CrossValidation, where: np.ndarray, n: int) -> CrossValidation:
    """Scores of rows `where` of n, in the order of all rows as given."""

    def spread(values: Array) -> Array:
        out = np.full((n, *values.shape[1:]), np.nan)
        out[where] = values
        return out

    return replace(
        scored,
        lab=spread(scored.lab),
        covariance=spread(scored.covariance),
        delta_e2000=spread(scored.delta_e2000),
        distance=spread(scored.distance),
        outside=np.nan_to_num(spread(scored.outside.astype(float))).astype(bool),
    )
