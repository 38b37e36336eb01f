"""How much spread is normal: variance components from repeats, each with an interval.

Readings of one swatch differ by measuring, swatches of one lot by what happens within a pot, lots
of one recipe by the dyer's day, and deliveries of a dyestuff by the plant. Restricted maximum
likelihood (Patterson and Thompson 1971, from memory) tells them apart where the record can.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.lab import Array
from ..errors import BadValue, ShapeError

# Two components are not told apart where the record informs about one of their mixtures by less
# than this share of what it informs about the best. Chosen so that one repeat in forty is enough.
_BLIND = 1e-3
# Rows that are solved whole: some seconds.
_MOST = 800


@dataclass(frozen=True)
class Component:
    """One source of spread: its name ("rest" for what is left), variance in the unit of y squared,
    and the interval that holds it at the level asked for, (low, high). not_told_from : the names
    of those it cannot be separated from; then variance and interval are NaN."""

    name: str
    variance: float
    interval: tuple[float, float]
    not_told_from: tuple[str, ...] = ()


def variance_components(
    y: ArrayLike,
    groups: Mapping[str, Sequence[object]],
    *,
    fixed: Sequence[object] | None = None,
    level: float = 0.9,
    restricted: bool = True,
) -> list[Component]:
    """Variances of random groups and of the rest, in that order.

    y : (n,) or (n, c); c columns are taken to spread alike, as a colour's three in units of equal
    difference. groups : name -> which of its groups each row is in. fixed : which mean of its own
    each row has (a recipe); one for all unless given. restricted : False for maximum likelihood.
    Intervals are profile-likelihood ones (chi-square with 1 degree). Raises ShapeError, BadValue
    where nothing is repeated or over 800 rows are given.
    """
    from scipy.special import chdtri

    values = np.asarray(y, dtype=float)
    values = values[:, None] if values.ndim == 1 else values
    n = len(values)
    if values.ndim != 2 or any(len(ids) != n for ids in groups.values()):
        raise ShapeError("Each row needs its values and its group in every grouping.")
    if not np.isfinite(values).all():
        raise BadValue("A value among the repeats is not a number.")
    if n > _MOST:
        raise BadValue(f"At most {_MOST} readings are told apart at once; these are {n}.")
    means = _indicator(fixed if fixed is not None else [0] * n)
    if n - means.shape[1] < 2:
        raise BadValue("Nothing is repeated: no recipe was dyed or read twice.")
    names = [*groups, "rest"]
    spread = [_indicator(ids) @ _indicator(ids).T for ids in groups.values()] + [np.eye(n)]
    if restricted:
        free = np.linalg.qr(means, mode="complete")[0][:, means.shape[1] :].T
        values, spread = free @ values, [free @ k @ free.T for k in spread]
    else:
        values = values - means @ np.linalg.lstsq(means, values, rcond=None)[0]
    blind = _not_told_apart(names, spread)
    told = [i for i, name in enumerate(names) if not blind[name]]
    # What cannot be told apart is fitted as one: the first of each such set stands for it.
    kept = [i for i, name in enumerate(names) if not blind[name] or name < min(blind[name])]
    if not told:
        kept = [len(names) - 1]
    goal = _Likelihood(values, [spread[i] for i in kept])
    best, top = goal.best()
    found = {}
    drop = float(chdtri(1, 1 - level)) / 2
    for place, i in enumerate(kept):
        if i in told:
            found[names[i]] = (float(best[place]), goal.ends(place, best, top - drop))
    nan = float("nan")
    return [
        Component(n, *found[n]) if n in found else Component(n, nan, (nan, nan), tuple(blind[n]))
        for n in names
    ]


def _indicator(ids: Sequence[object]) -> Array:
    """(n, groups): 1 where a row is in a group."""
    place: dict[object, int] = {}
    at = [place.setdefault(v, len(place)) for v in ids]
    return np.asarray(np.eye(len(place))[at])


def _not_told_apart(names: Sequence[str], spread: Sequence[Array]) -> dict[str, list[str]]:
    """Which components the record cannot separate, by name: directions among them about which
    their information (of variances all alike) is nil."""
    size = np.array([np.sqrt(max(float(np.sum(k * k)), 1e-300)) for k in spread])
    about = np.array([[float(np.sum(a * b)) for a in spread] for b in spread])
    about /= np.outer(size, size)
    out: dict[str, list[str]] = {n: [] for n in names}
    nothing = [i for i, k in enumerate(spread) if np.abs(k).max() < 1e-9]
    for i in nothing:  # one group alone, or one for each mean: nothing is left of it
        out[names[i]] = ["what its recipe gives"]
    values, vectors = np.linalg.eigh(about)
    for vector in _fewest_each(vectors[:, values <= _BLIND * values.max()].T):
        mixed = [i for i in np.flatnonzero(np.abs(vector) > 0.1).tolist() if i not in nothing]
        for i in mixed:
            out[names[i]] += [names[j] for j in mixed if j != i and names[j] not in out[names[i]]]
    return out


def _fewest_each(directions: Array) -> Array:
    """The same span by directions that mix few components each (reduced row echelon form): two
    pairs that are confounded each in itself are not told as four."""
    rows, done = np.array(directions, dtype=float), 0
    for column in range(rows.shape[1]):
        if done == len(rows):
            break
        best = done + int(np.argmax(np.abs(rows[done:, column])))
        if abs(rows[best, column]) < 1e-6:
            continue
        rows[[done, best]] = rows[[best, done]]
        rows[done] /= rows[done, column]
        for other in range(len(rows)):
            if other != done:
                rows[other] -= rows[other, column] * rows[done]
        done += 1
    return rows[:done]


class _Likelihood:
    """Log-likelihood of variances of components with structures `spread`, for values of mean 0."""

    def __init__(self, values: Array, spread: Sequence[Array]) -> None:
        self.values, self.spread = values, list(spread)
        self.scale = float(np.mean(values**2)) or 1.0

    def at(self, variances: Array) -> tuple[float, Array]:
        """It and its slope by each variance."""
        from scipy.linalg import cho_factor, cho_solve

        v = sum(s * k for s, k in zip(variances, self.spread, strict=True))
        v = v + 1e-8 * (self.scale + float(np.sum(variances))) * np.eye(len(self.values))
        factor = cho_factor(v, lower=True)
        inverse = cho_solve(factor, np.eye(len(v)))
        a = inverse @ self.values
        c = self.values.shape[1]
        log = -0.5 * float(np.sum(self.values * a)) - c * float(np.log(np.diag(factor[0])).sum())
        slope = [0.5 * float(np.sum(a * (k @ a)) - c * np.sum(inverse * k)) for k in self.spread]
        return log, np.array(slope)

    def best(
        self, held: int | None = None, value: float = 0.0, near: Array | None = None
    ) -> tuple[Array, float]:
        """The most likely variances, one of them held at a value, and the log-likelihood; sought
        from `near`, if given, alone."""
        from scipy.optimize import minimize

        free = [i for i in range(len(self.spread)) if i != held]

        def whole(part: Array) -> Array:
            out = np.full(len(self.spread), value / self.scale)
            out[free] = part
            return out * self.scale

        def goal(part: Array) -> tuple[float, Array]:
            log, slope = self.at(whole(part))
            return -log, -slope[free] * self.scale

        if not free:
            return whole(np.empty(0)), self.at(whole(np.empty(0)))[0]
        starts = [np.full(len(free), s) for s in (0.3, 1.0)]
        rough = near is not None
        if near is not None:
            starts = [np.maximum(near[free] / self.scale, 1e-6)]
        options = {"ftol": 1e-7 if rough else 1e-12, "gtol": 1e-4 if rough else 1e-8}
        found = [
            minimize(
                goal, start, jac=True, method="L-BFGS-B", options=options,
                bounds=[(0, None)] * len(free),
            )
            for start in starts
        ]  # fmt: skip
        one = min(found, key=lambda f: float(f.fun))
        return whole(one.x), -float(one.fun)

    def ends(self, place: int, best: Array, least: float) -> tuple[float, float]:
        """Where the likelihood, the others chosen anew, falls to `least` below and above."""
        top = float(best[place])

        def falls(value: float) -> bool:
            return self.best(place, value, best)[1] < least

        low = 0.0
        if top > 0 and falls(0.0):
            below, above = 0.0, top
            for _ in range(30):
                middle = (below + above) / 2
                below, above = (middle, above) if falls(middle) else (below, middle)
                if above - below < 1e-2 * top:
                    break
            low = below
        above = 2 * max(top, 1e-3 * self.scale)
        for _ in range(40):
            if falls(above):
                break
            above *= 2
        else:
            return low, float("inf")
        below = max(top, above / 2) if above > 2 * max(top, 1e-3 * self.scale) else top
        for _ in range(30):
            middle = (below + above) / 2
            below, above = (below, middle) if falls(middle) else (middle, above)
            if above - below < 1e-2 * above:
                break
        return low, above
