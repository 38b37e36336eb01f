"""What two dyeings on one fibre give together, from what each gives by itself.

Colorants on a fibre add their absorption: Kubelka and Munk's K/S of the two together is the sum of
theirs, less once that of the fibre, which both hold (Kubelka and Munk 1931, as in `regression.
depth`). It is a guess, as a mordant or a dye below may take up less of the one above.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ..regression.depth import (
    absorption_to_lab,
    lab_jacobian,
    lab_to_absorption,
    lab_to_depth,
)

# Lab of undyed scoured wool, where no colour of the fibre is on record; common practice, no
# source.
UNDYED = (88.0, 0.0, 10.0)
# Doubt of such a guess, standard deviation of each log depth (strength, redness, yellowness): half
# as much or as much again of what is dyed over; our own choice, as no overdye was tested.
OVERDYE_SD = (0.3, 0.25, 0.35)


def overdyed(under: ArrayLike, over: ArrayLike, base: ArrayLike = UNDYED) -> Array:
    """Lab (..., 3) of fibre dyed twice. under, over : Lab (..., 3) of each dyeing on undyed fibre
    of colour base; broadcast. D65 and the 2 degree observer."""
    each = [lab_to_absorption(lab) for lab in (under, over)]
    bare = lab_to_absorption(base)
    total = np.maximum(each[0] + each[1] - bare, np.minimum(each[0], each[1]))
    return absorption_to_lab(total)


def diluted(lab: ArrayLike, share: ArrayLike, base: ArrayLike = UNDYED) -> Array:
    """Lab (..., 3) of a dyeing with so large a share (...) of its dye on the fibre."""
    bare, part = lab_to_absorption(base), np.asarray(share, dtype=float)[..., None]
    return absorption_to_lab(bare + part * np.maximum(lab_to_absorption(lab) - bare, 0.0))


def overdye_covariance(lab: ArrayLike) -> Array:
    """What is not known of such a guess, (..., 3, 3) in Lab, at Lab (..., 3)."""
    slope = lab_jacobian(lab_to_depth(lab))
    return np.asarray((slope * np.square(OVERDYE_SD)) @ np.swapaxes(slope, -1, -2))


def best_layers(
    under: ArrayLike, over: ArrayLike, target: ArrayLike, base: ArrayLike = UNDYED, k: int = 3
) -> list[tuple[int, int, Array, float]]:
    """The k pairs of dyeings that come nearest to a target (3,): the row of each, the Lab of both
    together and its CIEDE2000 from it. under : (n, 3), over : (m, 3), by themselves."""
    one, two = (np.reshape(np.asarray(x, dtype=float), (-1, 3)) for x in (under, over))
    if not len(one) or not len(two):
        return []
    both = overdyed(one[:, None], two[None], base)
    away = delta_e2000(both, np.asarray(target, dtype=float))
    order = np.argsort(away, axis=None, kind="stable")[:k]
    where = [np.unravel_index(i, away.shape) for i in order.tolist()]
    return [(int(i), int(j), both[i, j], float(away[i, j])) for i, j in where]
