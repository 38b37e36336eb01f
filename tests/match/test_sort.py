"""Groups, rows and picks equal an exhaustive search where there are few, and plants are found."""

from itertools import combinations, permutations

import numpy as np
import pytest

from piles_made import pile
from swatchbath.errors import ValueOutOfRange
from swatchbath.match.pairs import Pairs, compare_all
from swatchbath.match.sort import best_k, doubtful_pairs, gradient, groups, odd_one


def drawn(n, seed, spread=4.0):
    """Differences of points drawn on a plane; within 2 they match, over 3 they do not."""
    at = np.random.default_rng(seed).uniform(0, spread, (n, 2))
    d = np.linalg.norm(at[:, None] - at[None], axis=2)
    return Pairs(d, d <= 2, d > 3, 2.0)


def partitions(items):
    if not items:
        yield []
        return
    first, rest = items[0], items[1:]
    for part in partitions(rest):
        yield [[first], *part]
        for i, group in enumerate(part):
            yield [*part[:i], [first, *group], *part[i + 1 :]]


def cost(pairs, grouping):
    return sum(pairs.delta_e2000[i, j] ** 2 for g in grouping for i, j in combinations(g, 2))


def fits(pairs, grouping):
    return not any(pairs.no_match[i, j] for g in grouping for i, j in combinations(g, 2))


@pytest.mark.parametrize("seed", range(8))
def test_groups_are_the_best_of_all(seed):
    pairs = drawn(8, seed, spread=5.0)
    best = min(
        (p for p in partitions(list(range(8))) if fits(pairs, p)),
        key=lambda p: (len(p), cost(pairs, p)),
    )
    found = groups(pairs)
    assert fits(pairs, found) and sorted(i for g in found for i in g) == list(range(8))
    assert len(found) == len(best) and cost(pairs, found) == pytest.approx(cost(pairs, best))


@pytest.mark.parametrize("seed", range(4))
def test_many_are_grouped_about_as_well_as_can_be(seed, monkeypatch):
    """The way for many, tried on piles that can be solved: never a pair apart in one group, and a
    group too many in few."""
    from swatchbath.match import sort

    pairs = [drawn(13, 10 * seed + k, spread=7.0) for k in range(5)]
    exact = [groups(p) for p in pairs]
    monkeypatch.setattr(sort, "_EXACT", 0)
    near = [groups(p) for p in pairs]
    assert all(fits(p, g) for p, g in zip(pairs, near, strict=True))
    assert sum(len(n) - len(e) for n, e in zip(near, exact, strict=True)) <= 1


def test_planted_groups_of_a_large_pile_are_found():
    readings = pile(500, seed=3, families=12, spread=0.15)
    found = groups(compare_all(readings))
    assert sorted(map(tuple, found)) == sorted(tuple(range(k, 500, 12)) for k in range(12))


def test_a_gradient_is_the_smoothest_of_all_rows():
    for seed in range(5):
        pairs = drawn(7, seed)
        square = pairs.delta_e2000**2

        def steps(row, square=square):
            return sum(square[a, b] for a, b in zip(row[:-1], row[1:], strict=True))

        best = min(permutations(range(7)), key=steps)
        found = gradient(pairs)
        assert sorted(found) == list(range(7)) and steps(found) == pytest.approx(steps(best))
        assert found[0] < found[-1]


def test_a_long_gradient_of_what_lies_on_a_line_is_in_its_order():
    at = np.random.default_rng(0).permutation(60).astype(float)
    d = np.abs(at[:, None] - at[None])
    row = at[gradient(Pairs(d, d <= 2, d > 3, 2.0))]
    assert (np.diff(row) == 1).all() or (np.diff(row) == -1).all()


def test_the_best_few_are_the_best_of_all_choices(monkeypatch):
    from swatchbath.match import sort

    for seed in range(6):
        pairs = drawn(11, seed)
        for k in (2, 4):

            def worst(chosen, d=pairs.delta_e2000):
                return d[np.ix_(chosen, chosen)].max()

            best = min(combinations(range(11), k), key=worst)
            assert worst(best_k(pairs, k)) == pytest.approx(worst(best))
            with monkeypatch.context() as less:
                less.setattr(sort, "_CHOICES", 0)
                assert worst(best_k(pairs, k)) <= 1.5 * worst(best)
    with pytest.raises(ValueOutOfRange, match="from 2 to 11"):
        best_k(pairs, 12)


def test_the_odd_one_is_found_and_two_halves_have_none():
    at = np.array([0, 0.5, 1, 9, 0.2])
    d = np.abs(at[:, None] - at[None])
    assert odd_one(Pairs(d, d <= 2, d > 3, 2.0)) == 3
    at = np.array([0, 0.5, 9, 9.5])
    d = np.abs(at[:, None] - at[None])
    assert odd_one(Pairs(d, d <= 2, d > 3, 2.0)) is None
    assert odd_one(drawn(2, 0)) is None


def test_pairs_that_rest_on_doubt_are_named():
    pairs = drawn(9, 1)
    for group in groups(pairs):
        found = doubtful_pairs(pairs, group)
        assert all(not pairs.match[p] and not pairs.no_match[p] for p in found)
        assert [pairs.delta_e2000[p] for p in found] == sorted(
            (pairs.delta_e2000[p] for p in found), reverse=True
        )
