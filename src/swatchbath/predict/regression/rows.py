"""The rows a fit learns from: checked, in one order however the table was sorted."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Self

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...conditions.table import as_table, check_conditions, in_a_vat
from ...errors import NotEnoughSwatches
from ..features.derived import Words
from ..features.encoder import Encoder, Factors
from ..features.lot_mates import filled_from_lot
from .groups import Groups, groups_of
from .keys import row_keys
from .many_observations import parse_any_labs
from .observations import Observations

# Fewer swatches than this teach nothing (in trials, median errors of 8 to 19 CIEDE2000).
FEWEST = 12
# A record whose colours all lie so near each other (CIEDE2000) has nothing to learn from.
_LEAST_SPREAD = 1.0


@dataclass(frozen=True, eq=False, repr=False)
class TrainingRows:
    """n checked rows to learn from, and how they hang together.

    encoder : the table's factors. factors, table, observations, groups : of the rows. words : what
    each word factor says, by name. order (n,) : each row's position in the table as given. labels :
    its index there. keys : a hash of each row given (see `row_keys`), also of those left out.
    row_notes : what was left out or could not be checked, in sentences. seed : of random draws.
    """

    encoder: Encoder
    factors: Factors
    table: pd.DataFrame
    words: Words
    observations: Observations
    groups: Groups
    order: np.ndarray
    labels: tuple[Hashable, ...]
    keys: tuple[str, ...]
    row_notes: tuple[str, ...]
    seed: int

    def take(self, rows: np.ndarray) -> Self:
        """Some of the rows; what was learnt from all of them stays."""
        return replace(
            self,
            factors=self.factors.take(rows),
            table=self.table.iloc[rows].reset_index(drop=True),
            words={name: [cells[i] for i in rows] for name, cells in self.words.items()},
            observations=self.observations.take(rows),
            groups=self.groups.take(rows),
            order=self.order[rows],
            labels=tuple(self.labels[i] for i in rows),
        )


def training_rows(
    conditions: Any,
    labs: ArrayLike | Sequence[Measurement],
    covariances: ArrayLike | None,
    seed: int,
) -> TrainingRows:
    """Check what was given to learn from; rows without a colour or from a vat are left out.

    Arguments and errors as in `ShadeModel.fit`.
    """
    given = as_table(conditions)
    checked = check_conditions(given)
    observed = parse_any_labs(labs, covariances, len(given))
    notes = list(checked.sentences)
    vats = in_a_vat(checked.table)
    used = np.flatnonzero(np.isfinite(observed.lab).all(axis=1) & ~vats)
    if vats.any():
        notes.append(
            f"{vats.sum()} {'row was' if vats.sum() == 1 else 'rows were'} dipped in a vat and "
            "left out: vats are recorded, and not foreseen."
        )
    colourless = np.flatnonzero(~np.isfinite(observed.lab).all(axis=1)) + 2
    if colourless.size:
        which = ", ".join(str(i) for i in colourless[:10]) + (" ..." * (colourless.size > 10))
        notes.append(f"Rows that have no colour are left out: {which}.")
    order = _order(checked.table, observed.lab, used)
    table = checked.table.iloc[order]
    groups = groups_of(table, [observed.photos[i] for i in order])
    table, observed = filled_from_lot(table.reset_index(drop=True)), observed.take(order)
    _enough(observed, groups, int(vats.sum()))
    encoder = Encoder.learn(table)
    f = encoder.encode(table)
    if not (np.ptp(f.x, axis=0) > 1e-9).any() and not (f.levels != f.levels[:1]).any():
        raise NotEnoughSwatches(
            "Every swatch has the same conditions, so nothing can be learnt about changing "
            "them; add swatches with another amount, pH or after-bath."
        )
    return TrainingRows(
        encoder=encoder,
        factors=f,
        table=table,
        words=encoder.values(table)[1],
        observations=observed,
        groups=groups,
        order=order,
        labels=tuple(given.index[i] for i in order),
        keys=tuple(row_keys(given, labs, covariances)),
        row_notes=tuple(notes),
        seed=seed,
    )


def _order(rows: pd.DataFrame, lab: Array, used: np.ndarray) -> np.ndarray:
    """One order for one set of swatches, however the table was sorted."""
    names = sorted(rows.columns)
    cells = list(zip(*([str(v) for v in rows[c]] for c in names), strict=True))
    keys = [(tuple(lab[i]), cells[i]) for i in used]
    return used[sorted(range(len(used)), key=keys.__getitem__)]


def _enough(observed: Observations, groups: Groups, vats: int) -> None:
    pieces = len(np.unique(groups.pot))
    if pieces < FEWEST:
        beside = f" ({vats} more were dipped in a vat, which is recorded and not foreseen)"
        raise NotEnoughSwatches(
            f"There {'is 1 swatch' if pieces == 1 else f'are {pieces} swatches'} with a bath "
            f"and a dry reading{beside if vats else ''}; at least {FEWEST} are needed to learn "
            "from. Dye and measure more; swatchbath find lists those that are near."
        )
    middle = np.median(observed.lab, axis=0)
    if float(delta_e2000(observed.lab, middle).max()) < _LEAST_SPREAD:
        raise NotEnoughSwatches(
            "All swatches have the same colour, so nothing can be learnt about how a bath "
            "changes it; add swatches that differ."
        )
