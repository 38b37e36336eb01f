"""What is predicted of baths: their colours, how sure that is, and why not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import DTypeLike

from ..colorimetry.lab import Array
from ..conditions.table import as_table, check_conditions, in_a_vat
from ..errors import BadValue
from .features.assumptions import assumptions
from .features.novelty import never_tried
from .regression.fit import UNSURE, Fit, colours_of

Conditions = pd.DataFrame | Mapping[str, Any] | Sequence[Mapping[str, Any]]
# Baths worked out at a time, so that memory stays small.
_CHUNK = 400


@dataclass(frozen=True, eq=False, repr=False)
class Prediction:
    """Expected colours of n baths.

    `np.asarray` of it is the Lab, so that it can be scored as an array can; an index gives a
    Prediction of that row, a slice, mask or list of those rows.

    Attributes
    ----------
    lab : (n, 3)
        CIELAB, D65/2.
    covariance : (n, 3, 3)
        Of a new swatch's reading, as such rows were measured.
    pot_covariance : (n, 3, 3)
        Of its true colour: what the model does not know and how pots of one recipe scatter. Where
        the readings came without a doubt of their own, the two are equal.
    unsure, outside : (n,) bool
        Too few alike; never tried.
    reasons, notes : lists, one for each row
        Why; what had to be assumed.
    """

    lab: Array
    covariance: Array
    pot_covariance: Array
    unsure: np.ndarray
    outside: np.ndarray
    reasons: list[list[str]]
    notes: list[list[str]]

    def __len__(self) -> int:
        return len(self.lab)

    def __getitem__(self, rows: Any) -> Prediction:
        where = np.atleast_1d(np.arange(len(self))[rows])
        return Prediction(
            self.lab[where],
            self.covariance[where],
            self.pot_covariance[where],
            self.unsure[where],
            self.outside[where],
            [self.reasons[i] for i in where],
            [self.notes[i] for i in where],
        )

    def __iter__(self) -> Iterator[Prediction]:
        return (self[i] for i in range(len(self)))

    def __array__(self, dtype: DTypeLike | None = None, copy: bool | None = None) -> Array:
        return np.array(self.lab, dtype=dtype, copy=True if copy is None else copy)

    def __repr__(self) -> str:
        if len(self) != 1:
            odd = int(self.outside.sum()), int(self.unsure.sum())
            return f"Prediction({len(self)} baths; {odd[0]} outside, {odd[1]} unsure)"
        lab = ", ".join(f"{v:.1f}" for v in self.lab[0])
        why = f"; {'; '.join(self.reasons[0])}" if self.reasons[0] else ""
        return f"Prediction(Lab {lab}{why})"

    def to_frame(self) -> pd.DataFrame:
        """One row a bath: L, a, b, the standard deviations of its true colour L_sd, a_sd, b_sd,
        unsure, outside, and its reasons and notes in one text each."""
        sd = np.sqrt(np.diagonal(self.pot_covariance, axis1=1, axis2=2))
        return pd.DataFrame(
            {name: self.lab[:, i] for i, name in enumerate("Lab")}
            | {f"{name}_sd": sd[:, i] for i, name in enumerate("Lab")}
            | {"unsure": self.unsure, "outside": self.outside}
            | {"reasons": ["; ".join(r) for r in self.reasons]}
            | {"notes": ["; ".join(n) for n in self.notes]}
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "lab": self.lab.tolist(),
            "covariance": self.covariance.tolist(),
            "pot_covariance": self.pot_covariance.tolist(),
            "unsure": self.unsure.tolist(),
            "outside": self.outside.tolist(),
            "reasons": self.reasons,
            "notes": self.notes,
        }


def predict(fit: Fit, conditions: Conditions) -> Prediction:
    """Colours of baths; see `ShadeModel.predict`."""
    table = check_conditions(as_table(conditions)).table.reset_index(drop=True)
    vats = np.flatnonzero(in_a_vat(table))
    if vats.size:
        raise BadValue(
            f"Row {vats[0] + 1} of the baths is dipped in a vat: vats are recorded, and not "
            "foreseen. Leave it out, or ask for the bath without the vat."
        )
    f, n = fit.encoder.encode(table), len(table)
    chunks = [np.arange(i, min(i + _CHUNK, n)) for i in range(0, n, _CHUNK)]
    pieces = [colours_of(fit, f.take(rows)) for rows in chunks]
    lab, cov, pot, fraction = (
        np.concatenate([p[k] for p in pieces]) if pieces else np.zeros((0, *shape))
        for k, shape in enumerate([(3,), (3, 3), (3, 3), ()])
    )
    reasons, outside = never_tried(fit.encoder, fit.words, table, f, fit.table)
    unsure = np.asarray(fraction > UNSURE)
    for i in np.flatnonzero(unsure):
        reasons[i].append("few swatches are like this bath")
    notes = assumptions(fit.encoder, table, f, fit.table)
    return Prediction(lab, cov, pot, unsure, outside, reasons, notes)
