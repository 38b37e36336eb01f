"""Which blank pH, heat or time to fill in, and what that would gain."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...colorimetry.covariance import give_or_take
from ..features.encoder import Factors
from ..features.labels import label_of
from ..regression.fit import Fit, colours_of, regression_from

# What a bath is often not told of, each with the factors that are worked out from it.
_COLUMNS = {
    "pH": ("pH", "final_pH", "pH_step"),
    "temperature_C": ("temperature_C",),
    "minutes": ("minutes",),
}
# A gain is worth the trouble from this on (CIEDE2000, of the give or take, which is told to a
# tenth); and lots that are left out in turn to find it, at the most. Our own choice.
_WORTH, _LOTS = 0.1, 12


@dataclass(frozen=True)
class Blank:
    """A number that is blank for some swatches: column, its label, positions of those rows as
    given, the most telling first, and the give or take (CIEDE2000, in the median) within which a
    bath like theirs, in a lot of its own, is expected: as it is and if all were filled in."""

    column: str
    label: str
    rows: tuple[int, ...]
    before: float
    after: float

    @property
    def worth(self) -> bool:
        """Whether filling it in gains enough for the trouble."""
        return bool(self.before - self.after >= _WORTH)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "column": self.column,
            "label": self.label,
            "rows": list(self.rows),
            "before": self.before,
            "after": self.after,
            "worth": self.worth,
        }


def blanks(fit: Fit) -> list[Blank]:
    """Numbers that are blank for some swatches, what would gain most if filled in first.

    What a Gaussian process does not know depends on where its rows lie, not on their colours, so
    that a blank is filled in with what it is taken to be now, known for sure.
    """
    out = []
    names = list(fit.factors.names[: fit.factors.x.shape[1]])
    for column, factors in _COLUMNS.items():
        on = [names.index(n) for n in factors if n in names]
        if not on:
            continue
        blank = np.flatnonzero((fit.factors.spread[:, on] > 0).any(axis=1))
        if not len(blank):
            continue
        spread = fit.factors.spread.copy()
        spread[:, on] = 0
        filled = replace(fit.factors, spread=spread)
        full = replace(fit, factors=filled)
        looked = _one_a_lot(fit, blank)
        before, after = (_left_out(f, filled, looked) for f in (fit, full))
        first = looked[np.argsort(after - before, kind="stable")]
        order = np.concatenate([first, blank[~np.isin(blank, first)]])
        out.append(
            Blank(
                column,
                label_of(column)[0],
                tuple(int(fit.order[i]) for i in order),
                float(np.median(before)),
                float(np.median(after)),
            )
        )
    return sorted(out, key=lambda b: b.after - b.before)


def _one_a_lot(fit: Fit, rows: np.ndarray) -> np.ndarray:
    """One row of each of so many lots at the most, spread over them."""
    one = rows[np.unique(fit.groups.lot[rows], return_index=True)[1]]
    return np.asarray(one[np.unique(np.linspace(0, len(one) - 1, _LOTS).round().astype(int))])


def _left_out(fit: Fit, asked: Factors, rows: np.ndarray) -> np.ndarray:
    """The give or take (k,) within which each row's bath is expected without its lot."""
    out = []
    for i in rows.tolist():
        others = np.flatnonzero(fit.groups.lot != fit.groups.lot[i])
        part = replace(fit, regression=regression_from(fit, others))
        lab, _, pot, _ = colours_of(part, asked.take(np.array([i])))
        out.append(give_or_take(lab[0], pot[0]))
    return np.array(out)
