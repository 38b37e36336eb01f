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
    """One lot in the history of a shade. mean (3,) : smoothed difference from the standard, in Lab.
    t2, limit : how far it is from none, and from where on it drifts. parts : dL*, dC*, dH* of the
    smoothed colour from the standard. words : how it has come to look beside it. first : the
    history begins anew with it."""

    mean: Array
    t2: float
    limit: float
    parts: tuple[float, float, float]
    words: str
    first: bool

    @property
    def drifts(self) -> bool:
        """Whether the shade has left its standard by then."""
        return self.t2 > self.limit


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
        now = middle + mean / reached
        parts = lightness_chroma_hue(middle, now)
        out.append(
            Point(
                mean / reached,
                float(mean @ np.linalg.pinv(wide) @ mean),
                limit,
                (float(parts[0]), float(parts[1]), float(parts[2])),
                difference_words(now, middle),
                new or k == 1,
            )
        )
    return out
