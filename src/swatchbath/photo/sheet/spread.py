"""Which of many colours stand for all of them: a few, spread so that each colour has one near."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...colorimetry.lab import Array
from ...errors import BadValue

# Of more colours so many, spread themselves, are looked at; 1500 take about a second.
_LOOKED_AT = 1500


def spread_over(labs: Array, count: int) -> NDArray[np.intp]:
    """Positions of `count` of the colours (n, 3), ascending, so that every colour has one near.

    The farthest from those chosen is added until there are enough (Gonzalez, "Clustering to
    minimize the maximum intercluster distance", Theoretical Computer Science 38, 1985; from
    memory): then no choice of as many covers the colours in less than half the distance in Lab.
    Within that reach they are exchanged until the mean squared distance from a colour to the
    nearest of them is least. The same colours give the same answer. Raises BadValue where there
    are fewer than `count`.
    """
    points = np.asarray(labs, dtype=float).reshape(-1, 3)
    if not 1 <= count <= len(points):
        raise BadValue(f"{count} colours cannot be chosen of {len(points)}.")
    if len(points) > _LOOKED_AT:
        some = np.sort(_farthest_first(points, _LOOKED_AT))
        return np.asarray(some[spread_over(points[some], count)])
    chosen = _farthest_first(points, count)
    apart = np.linalg.norm(points[:, None] - points[None], axis=-1)
    reach = apart[:, chosen].min(axis=1).max()
    cost = float((apart[:, chosen].min(axis=1) ** 2).sum())
    while True:
        best, swap = cost, None
        for i in range(count):
            rest = np.delete(chosen, i)
            others = apart[:, rest].min(axis=1) if count > 1 else np.full(len(points), np.inf)
            near = np.minimum(others[:, None], apart)
            costs = np.where(near.max(axis=0) <= reach, (near**2).sum(axis=0), np.inf)
            costs[rest] = np.inf
            j = int(costs.argmin())
            if costs[j] < best * (1 - 1e-9):
                best, swap = float(costs[j]), (i, j)
        if swap is None:
            return np.sort(chosen)
        chosen[swap[0]], cost = swap[1], best


def _farthest_first(points: Array, count: int) -> NDArray[np.intp]:
    """Positions, beginning with the colour nearest to the mean; each next is the farthest."""
    chosen = [int(((points - points.mean(axis=0)) ** 2).sum(axis=1).argmin())]
    near = np.linalg.norm(points - points[chosen[0]], axis=1)
    near[chosen[0]] = -1
    while len(chosen) < count:
        chosen.append(int(near.argmax()))
        near = np.minimum(near, np.linalg.norm(points - points[chosen[-1]], axis=1))
        near[chosen[-1]] = -1
    return np.array(chosen, dtype=np.intp)
