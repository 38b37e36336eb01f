"""The swatches whose colours are predicted worst, and what may be the reason of each.

A reason is only given where the record bears it out; where none is, that is said too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.lab import Array
from ...colorimetry.words import difference_words
from ..regression.fit import Fit
from .reasons import reasons_of

# Misses told at the most; one is looked into when it is this far off, squared, in standard
# deviations (1 in 10 by chance, chi-square with 3 degrees).
_MOST, _FAR = 8, 6.251
# Of misses that lie within their doubt so many are enough to show it; our own choice.
_WITHIN, _ENOUGH = "It lies within the give or take that was told.", 3
_NOTHING = "Nothing on record tells why; look at the swatch and its notes."


@dataclass(frozen=True, eq=False)
class Residual:
    """A swatch that was missed: its row position and label, the colour read and the colour
    predicted without its lot, how far off (CIEDE2000), how the reading looks beside what was
    predicted, and likely reasons, in sentences."""

    row: int
    label: Any
    measured: Array
    predicted: Array
    delta_e2000: float
    words: str
    reasons: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "row": self.row,
            "label": str(self.label),
            "measured": self.measured.tolist(),
            "foreseen": self.predicted.tolist(),
            "delta_e2000": self.delta_e2000,
            "words": self.words,
            "reasons": list(self.reasons),
        }


def worst_residuals(fit: Fit, most: int = _MOST) -> list[Residual]:
    """The swatches missed by most, each once, the worst first, with likely reasons. Those that lie
    within their doubt are told of among the first few only."""
    scored = fit.cross_validation
    error = scored.delta_e2000[fit.order]
    done = np.flatnonzero(~np.isnan(error))
    order = done[np.argsort(-error[done], kind="stable")]
    out: list[Residual] = []
    seen: set[int] = set()
    for i in order.tolist():
        pot = int(fit.groups.pot[i])
        if len(out) == most:
            break
        if pot in seen:
            continue
        seen.add(pot)
        found = _residual(fit, i)
        if found.reasons == (_WITHIN,) and len(out) >= _ENOUGH:
            continue
        out.append(found)
    return out


def residual_of(fit: Fit, row: int) -> Residual | None:
    """What is to be said of one row, by its position as given; None where it was not learnt from or
    could not be left out."""
    places = np.flatnonzero(fit.order == row)
    if not len(places) or np.isnan(fit.cross_validation.delta_e2000[row]):
        return None
    return _residual(fit, int(places[0]))


def _residual(fit: Fit, i: int) -> Residual:
    scored, row = fit.cross_validation, int(fit.order[i])
    read, lab = fit.observations.lab[i], scored.lab[row]
    why = reasons_of(fit, i)
    if not why:
        within = float(scored.distance[row]) <= _FAR
        why = [_WITHIN if within else _NOTHING]
    return Residual(
        row,
        fit.labels[i],
        read,
        lab,
        float(scored.delta_e2000[row]),
        difference_words(read, lab),
        tuple(why),
    )
