"""Whether a shade drifts away from its kept standard: one multivariate chart over its lots.

An exponentially weighted moving average of the differences, judged by T squared (Lowry, Woodall,
Champ and Rigdon 1992, from memory), with the spread pooled from repeats: taken from a few first
lots it alarms falsely four times as often.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.difference import lightness_chroma_hue
from ..colorimetry.lab import Array, triples
from ..colorimetry.words import difference_words
from ..errors import ShapeError

# Weight of the newest lot, and the limit of T squared: under 5 % false alarms in 20 lots, and a
# shift of 3 CIELAB caught within 6 lots in 4 of 5 where a lot scatters by 1.6
# (tests/match/test_drift.py simulates both).
WEIGHT, LIMIT = 0.25, 14.2


@dataclass(frozen=True, eq=False)
class Point:
    """One lot in the history of a shade. standard (3,), mean (3,) : Lab, and the smoothed
    difference from it. t2, limit : how far that is from none, and from where on it drifts. first :
    the history begins anew with it."""

    standard: Array
    mean: Array
    t2: float
    limit: float
    first: bool

    @property
    def drifts(self) -> bool:
        """Whether the shade has left its standard by then."""
        return self.t2 > self.limit

    @property
    def parts(self) -> tuple[float, float, float]:
        """dL*, dC*, dH* of the smoothed colour from the standard."""
        dL, dC, dH = lightness_chroma_hue(self.standard, self.standard + self.mean).tolist()
        return dL, dC, dH

    @property
    def words(self) -> str:
        """How it has come to look beside the standard."""
        return difference_words(self.standard + self.mean, self.standard)


def history(
    standard: ArrayLike,
    labs: ArrayLike,
    covariances: ArrayLike,
    *,
    common: ArrayLike | None = None,
    degrees: float = np.inf,
    anew: Sequence[bool] | None = None,
) -> list[Point]:
    """The lots of a shade in their order, each with whether it drifts.

    standard : Lab (3,). labs : (k, 3) of the lots. covariances : (k, 3, 3), of what each differs
    by from lot to lot where nothing has changed, pooled from repeats, with its own reading's error;
    independent of each other. common : (3, 3), of an error that all differences share, as the
    standard's own reading. degrees : of freedom of the pooled spread. anew : (k,) whether the
    history begins anew with a lot: another camera, card or way of measuring. Raises ShapeError.
    """
    from scipy.special import chdtr, fdtri

    middle, values = triples(standard), triples(labs).reshape(-1, 3)
    cov = np.asarray(covariances, dtype=float)
    if cov.shape != (len(values), 3, 3):
        raise ShapeError(f"{len(values)} lots need as many covariances (3, 3).")
    shared = np.zeros((3, 3)) if common is None else np.asarray(common, dtype=float)
    begins = [False] * len(values) if anew is None else list(anew)
    limit = LIMIT
    if np.isfinite(degrees):
        # Hotelling's, with the same chance as the limit has where the spread is known.
        below = max(degrees - 2, 1.0)
        limit = float(3 * degrees / below * fdtri(3, below, chdtr(3, LIMIT)))
    out: list[Point] = []
    mean, own, k = np.zeros(3), np.zeros((3, 3)), 0
    for lab, c, new in zip(values, cov, begins, strict=True):
        if new:
            mean, own, k = np.zeros(3), np.zeros((3, 3)), 0
        k += 1
        mean = (1 - WEIGHT) * mean + WEIGHT * (lab - middle)
        own = (1 - WEIGHT) ** 2 * own + WEIGHT**2 * c
        reached = 1 - (1 - WEIGHT) ** k  # of a lasting difference
        wide = own + reached**2 * shared
        t2 = float(mean @ np.linalg.pinv(wide) @ mean)
        out.append(Point(middle, mean / reached, t2, limit, new or k == 1))
    return out
