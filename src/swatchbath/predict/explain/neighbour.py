"""The swatch whose bath is most like another's, and what sets the two apart."""

from __future__ import annotations

from typing import Any

import numpy as np

from ..regression.fit import Fit
from ..regression.kernel import kernel_similarity
from ..search.columns import Bath, is_unknown
from ..search.precedents import differs_in


def nearest_bath(fit: Fit, row: int) -> tuple[int, tuple[str, ...]] | None:
    """The row, by its position as given, whose bath is most like that of `row`, of another pot;
    and what `row` has that it has not, in short phrases. None where there is none.

    How like two baths are is learnt with the rest: what matters little sets little apart.
    """
    places = np.flatnonzero(fit.order == row)
    if not len(places):
        return None
    i = int(places[0])
    others = np.flatnonzero(fit.groups.pot != fit.groups.pot[i])
    if not len(others):
        return None
    like = kernel_similarity(fit.regression.hyper, fit.factors.take(places[:1]), fit.factors)[0]
    best = int(others[np.argmax(like[others])])
    return int(fit.order[best]), differs_in(_bath(fit, i), _bath(fit, best))


def _bath(fit: Fit, i: int) -> Bath:
    row: dict[str, Any] = {str(n): v for n, v in fit.table.iloc[i].items()}
    groups = ("swatch", "lot", "session", "photo")
    return {n: v for n, v in row.items() if n not in groups and not is_unknown(v)}
