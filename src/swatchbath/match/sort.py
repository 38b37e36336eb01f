"""Sorting a pile: which skeins go together, in what order they run, and which is the odd one.

All on differences between readings (`pairs.Pairs`); nothing here knows of skeins.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations
from math import comb

import numpy as np

from ..colorimetry.lab import Array
from ..errors import ValueOutOfRange
from .pairs import Pairs

# Up to so many, all ways to group and to order are weighed; beyond, good ones are sought. Up to so
# many choices of k are weighed all.
_EXACT, _EXACT_ORDER, _CHOICES = 14, 12, 20_000


def groups(pairs: Pairs) -> list[list[int]]:
    """As few groups as can be without a pair of *no match* in any; of those ways the one whose
    squared differences within groups sum to least. Positions, the largest group first.

    Exact to 14; beyond, what may go together is first cut where no pair holds across, each part
    grouped by complete linkage, and single ones moved while that helps.
    """
    out: list[list[int]] = []
    for part in _parts(~pairs.no_match):
        cost = pairs.delta_e2000[np.ix_(part, part)] ** 2
        apart = pairs.no_match[np.ix_(part, part)]
        found = _grouped(cost, apart) if len(part) <= max(_EXACT, 1) else _near_grouped(cost, apart)
        out += [[int(part[i]) for i in group] for group in found]
    return sorted((sorted(g) for g in out), key=lambda g: (-len(g), g))


def doubtful_pairs(pairs: Pairs, group: Sequence[int]) -> list[tuple[int, int]]:
    """The pairs of a group that cannot be told to match, the furthest apart first."""
    found = [(i, j) for i, j in combinations(sorted(group), 2) if not pairs.match[i, j]]
    return sorted(found, key=lambda p: (-pairs.delta_e2000[p], p))


def gradient(pairs: Pairs) -> list[int]:
    """All in one row, so that the squared steps from each to the next sum to least: exact to 12,
    beyond a good row made better by turning and moving stretches. Begins with the lower position
    of its two ends."""
    cost = pairs.delta_e2000**2
    n = len(cost)
    if n < 3:
        return list(range(n))
    row = _best_row(cost) if n <= _EXACT_ORDER else _good_row(cost)
    return row if row[0] < row[-1] else row[::-1]


def best_k(pairs: Pairs, k: int) -> list[int]:
    """The k that match best: the greatest difference among them is least, then the sum.

    All choices are weighed where there are few; else each is tried with its k - 1 nearest, and
    single ones exchanged while that helps. Raises ValueOutOfRange for k under 2 or over n.
    """
    d = pairs.delta_e2000
    n = len(d)
    if not 2 <= k <= n:
        raise ValueOutOfRange(f"From {n} any number from 2 to {n} can be picked; this is {k}.")

    def worth(chosen: Iterable[int]) -> tuple[float, float]:
        on = list(chosen)
        among = d[np.ix_(on, on)]
        return float(among.max()), float(among.sum())

    if comb(n, k) <= _CHOICES:
        return list(min(combinations(range(n), k), key=worth))
    starts = (np.argsort(d[i], kind="stable")[:k].tolist() for i in range(n))
    best = min(starts, key=worth)
    while True:
        far = max(best, key=lambda i: (d[i, best].max(), d[i, best].sum()))
        rest = [i for i in best if i != far]
        others = [i for i in range(n) if i not in rest]
        new = [*rest, min(others, key=lambda i: (d[i, rest].max(), d[i, rest].sum()))]
        if worth(new) >= worth(best):
            return sorted(best)
        best = new


def odd_one(pairs: Pairs) -> int | None:
    """The one that differs from most others (*no match* with more than half of them) while those
    do not differ among themselves like that; None where there is no such one."""
    n = len(pairs.no_match)
    if n < 3:
        return None
    share = pairs.no_match.sum(axis=1) / (n - 1)
    odd = np.flatnonzero(share > 0.5)
    return int(odd[0]) if len(odd) == 1 else None


def _parts(together: np.ndarray) -> list[np.ndarray]:
    """Positions that hang together by pairs that may go together."""
    left, out = set(range(len(together))), []
    while left:
        seen = {min(left)}
        new = set(seen)
        while new:
            new = set(np.flatnonzero(together[sorted(new)].any(axis=0)).tolist()) - seen
            seen |= new
        out.append(np.array(sorted(seen)))
        left -= seen
    return out


def _grouped(cost: Array, apart: np.ndarray) -> list[list[int]]:
    """The best way to group, over all sets of members as bits."""
    n = len(cost)
    if not apart.any():
        return [list(range(n))]
    bad = [sum(1 << int(j) for j in np.flatnonzero(apart[i])) for i in range(n)]
    # Sets that may go together with their costs, by their lowest member; a group more costs more
    # than all differences can.
    one_more = float(cost.sum()) + 1
    bits: list[list[int]] = [[] for _ in range(n)]
    worth: list[list[float]] = [[] for _ in range(n)]
    for low in range(n):
        grown = [(1 << low, one_more, bad[low], [low])]
        while grown:
            set_, sum_, no, members = grown.pop()
            bits[low].append(set_)
            worth[low].append(sum_)
            for i in range(members[-1] + 1, n):
                if not no >> i & 1:
                    more = sum_ + float(cost[i, members].sum())
                    grown.append((set_ | 1 << i, more, no | bad[i], [*members, i]))
    sets, price = [np.array(b) for b in bits], [np.array(w) for w in worth]
    best, first = np.zeros(1 << n), np.zeros(1 << n, int)
    for left in range(1, 1 << n):
        low = (left & -left).bit_length() - 1
        on = (sets[low] & ~left) == 0
        total = price[low][on] + best[left & ~sets[low][on]]
        k = int(np.argmin(total))
        best[left], first[left] = total[k], sets[low][on][k]
    out, left = [], (1 << n) - 1
    while left:
        group = int(first[left])
        out.append([i for i in range(n) if group >> i & 1])
        left &= ~group
    return out


def _near_grouped(cost: Array, apart: np.ndarray) -> list[list[int]]:
    """A good way to group many: complete linkage, and then single ones moved and groups joined or
    emptied while the count or the cost falls."""
    from scipy.cluster.hierarchy import fcluster, linkage
    from scipy.spatial.distance import squareform

    far = float(cost.max()) + 1
    distance = np.where(apart, 10 * far, cost)
    np.fill_diagonal(distance, 0)
    label = fcluster(linkage(squareform(distance, checks=False), "complete"), far, "distance") - 1
    label = np.unique(label, return_inverse=True)[1]
    member = np.eye(int(label.max()) + 1)[label]
    clash, sums = apart.astype(float) @ member, cost @ member
    # A small group is emptied where each of its members has another group to go to.
    for g in np.argsort(member.sum(axis=0), kind="stable").tolist():
        no, sum_, to = clash.copy(), sums.copy(), label.copy()
        no[:, g] = np.inf
        for i in np.flatnonzero(label == g).tolist():
            open_ = np.flatnonzero(no[i] == 0)
            open_ = open_[np.isin(open_, to)]
            if not len(open_):
                break
            h = int(open_[np.argmin(sum_[i, open_])])
            to[i] = h
            no[:, h] += apart[:, i]
            sum_[:, h] += cost[:, i]
        else:
            label, clash, sums = to, no, sum_
    # Single ones go where they cost least, while that helps.
    empty = np.flatnonzero(~np.isin(np.arange(member.shape[1]), label))
    clash[:, empty] = np.inf
    for _ in range(10 * len(label)):
        own = sums[np.arange(len(label)), label]
        free = np.where(clash > 0, np.inf, sums)
        free[np.arange(len(label)), label] = np.inf
        alone = np.bincount(label, minlength=member.shape[1])[label] == 1
        gain = np.where(alone, -np.inf, own - free.min(axis=1))
        i = int(np.argmax(gain))
        if gain[i] <= 1e-9:
            break
        g, h = int(label[i]), int(np.argmin(free[i]))
        label[i] = h
        for group, sign in ((g, -1.0), (h, 1.0)):
            clash[:, group] += sign * apart[:, i]
            sums[:, group] += sign * cost[:, i]
    return [np.flatnonzero(label == g).tolist() for g in np.unique(label)]


def _best_row(cost: Array) -> list[int]:
    """The best row of all (Held and Karp 1962): by the set passed and the last in it."""
    n = len(cost)
    best = np.full((1 << n, n), np.inf)
    came = np.zeros((1 << n, n), int)
    for i in range(n):
        best[1 << i, i] = 0
    for passed in range(1, 1 << n):
        here = best[passed]
        if not np.isfinite(here).any():
            continue
        to = here[:, None] + cost
        for j in range(n):
            if not passed >> j & 1:
                i = int(np.argmin(to[:, j]))
                if to[i, j] < best[passed | 1 << j, j]:
                    best[passed | 1 << j, j], came[passed | 1 << j, j] = to[i, j], i
    passed = (1 << n) - 1
    row = [int(np.argmin(best[passed]))]
    while passed & (passed - 1):
        last = row[-1]
        row.append(int(came[passed, last]))
        passed &= ~(1 << last)
    return row


def _good_row(cost: Array) -> list[int]:
    """A row of many: from each of a few ends to the nearest left, the best of them improved by
    turning stretches round (2-opt) and by moving short ones (or-opt)."""
    n = len(cost)
    ends = np.argsort(-cost.sum(axis=1), kind="stable")[: min(n, 8)]
    rows: list[np.ndarray] = []
    for end in ends.tolist():
        begun, left = [int(end)], np.ones(n, bool)
        left[end] = False
        while left.any():
            nearest = int(np.argmin(np.where(left, cost[begun[-1]], np.inf)))
            begun.append(nearest)
            left[nearest] = False
        rows.append(np.array(begun))
    best = min(rows, key=lambda r: float(cost[r[:-1], r[1:]].sum()))
    for _ in range(20 * n):
        better = _turned(best, cost)
        if better is None:
            better = _moved(best, cost)
        if better is None:
            break
        best = better
    return [int(i) for i in best]


def _turned(row: np.ndarray, cost: Array) -> np.ndarray | None:
    """The row with that stretch turned round that gains most; None where none gains."""
    n = len(row)
    steps = np.r_[0.0, cost[row[:-1], row[1:]], 0.0]  # before the first, between, after the last
    square = cost[np.ix_(row, row)]
    gain = steps[:-1][:, None] + steps[1:][None]
    gain[1:] -= square[:-1]  # [i, j]: from the one before i to j
    gain[:, :-1] -= square[:, 1:]  # and from i to the one after j
    gain[np.tri(n, dtype=bool)] = -np.inf
    i, j = np.unravel_index(int(np.argmax(gain)), gain.shape)
    if gain[i, j] <= 1e-9:
        return None
    return np.concatenate([row[:i], row[i : j + 1][::-1], row[j + 1 :]])


def _moved(row: np.ndarray, cost: Array) -> np.ndarray | None:
    """The row with stretches of one, two or three each moved to where they gain, one after the
    other; None where none gains."""
    now, gained = row, False
    for many in (1, 2, 3):
        for i in _may_move(now, cost, many):
            part, rest = now[i : i + many], np.r_[now[:i], now[i + many :]]
            ends = [] if i == 0 else [cost[now[i - 1], part[0]]]
            ends += [] if i + many == len(now) else [cost[part[-1], now[i + many]]]
            closed = cost[now[i - 1], now[i + many]] if len(ends) == 2 else 0.0
            saved = float(sum(ends) - closed)
            steps = cost[rest[:-1], rest[1:]]
            for one in (part, part[::-1]):
                between = cost[rest[:-1], one[0]] + cost[one[-1], rest[1:]] - steps
                extra = np.r_[cost[one[-1], rest[0]], between, cost[rest[-1], one[0]]]
                k = int(np.argmin(extra))
                if saved - extra[k] > 1e-9:
                    now, gained = np.concatenate([rest[:k], one, rest[k:]]), True
                    break
    return now if gained else None


def _may_move(row: np.ndarray, cost: Array, many: int) -> list[int]:
    """Where stretches begin that gain by moving, those at the two ends in any case."""
    n, count = len(row), len(row) - many + 1
    square = cost[np.ix_(row, row)]
    steps = np.diagonal(square, 1)
    first, last = square[:count], square[many - 1 :]
    # [i, k]: between k and the next, either way round.
    extra = np.minimum(first[:, :-1] + last[:, 1:], last[:, :-1] + first[:, 1:]) - steps
    i = np.arange(count)
    for off in range(-1, many):
        k = i + off
        on = (k >= 0) & (k < n - 1)
        extra[i[on], k[on]] = np.inf
    ends = np.minimum(first[:, [0, -1]], last[:, [0, -1]]).min(axis=1)
    least = np.minimum(extra.min(axis=1), ends)
    saved = np.full(count, np.inf)
    inner = i[1:-1]
    closed = square[inner - 1, inner + many]
    saved[inner] = steps[inner - 1] + steps[inner + many - 1] - closed
    return [int(k) for k in np.flatnonzero(saved - least > 1e-9)]
