"""Six colours that stand for all: each colour has one near, and none is chosen twice."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.errors import BadValue
from swatchbath.photo.sheet.spread import spread_over


def reach(labs, chosen):
    """The largest and the mean squared distance from a colour to the nearest chosen one."""
    near = np.linalg.norm(labs[:, None] - labs[list(chosen)][None], axis=-1).min(axis=1)
    return near.max(), (near**2).mean()


SIXES = {n: np.array(list(combinations(range(n), 6))) for n in (7, 9, 12)}


@given(st.integers(0, 10**6), st.sampled_from(list(SIXES)))
def test_no_other_six_cover_the_colours_in_half_the_reach(seed, n):
    labs = np.random.default_rng(seed).uniform([20, -40, -40], [90, 60, 70], (n, 3))
    chosen = spread_over(labs, 6)
    assert len(set(chosen.tolist())) == 6 and (np.diff(chosen) > 0).all()
    apart = np.linalg.norm(labs[:, None] - labs[None], axis=-1)
    best = apart[:, SIXES[n]].min(axis=2).max(axis=0).min()
    assert reach(labs, chosen)[0] <= 2 * best + 1e-9


def test_every_group_of_colours_has_its_own_however_many_swatches_it_holds():
    rng = np.random.default_rng(3)
    middles = np.array(
        [[80, 0, 60], [50, 45, 25], [35, 0, -25], [60, 15, 5], [70, -15, 30], [25, 5, 5]], float
    )
    counts = [40, 1, 3, 8, 1, 15]
    labs = np.concatenate(
        [m + rng.uniform(-3, 3, (n, 3)) for m, n in zip(middles, counts, strict=True)]
    )
    group = np.repeat(np.arange(6), counts)
    assert sorted(group[spread_over(labs, 6)]) == list(range(6))


def test_within_the_reach_they_lie_in_the_middle_of_things():
    """Farthest first alone takes the corners of a box of colours; exchanged, they lie nearer."""
    rng = np.random.default_rng(5)
    labs = rng.uniform([30, -20, 0], [80, 40, 60], (60, 3))
    chosen = spread_over(labs, 6)
    drawn = [reach(labs, rng.choice(60, 6, replace=False))[1] for _ in range(2000)]
    assert reach(labs, chosen)[1] < np.quantile(drawn, 0.01)


def test_order_does_not_matter_and_many_are_no_trouble():
    rng = np.random.default_rng(8)
    labs = rng.uniform([20, -40, -40], [90, 60, 70], (80, 3))
    turned = rng.permutation(80)
    assert set(turned[spread_over(labs[turned], 6)]) == set(spread_over(labs, 6))
    many = rng.uniform([20, -40, -40], [90, 60, 70], (6000, 3))
    assert reach(many, spread_over(many, 6))[0] < 60


def test_alike_colours_are_still_different_swatches_and_too_few_are_refused():
    assert len(set(spread_over(np.full((12, 3), 50.0), 6).tolist())) == 6
    assert spread_over(np.array([[50.0, 0, 0], [60, 0, 0], [40, 0, 0]]), 1).tolist() == [0]
    with pytest.raises(BadValue):
        spread_over(np.zeros((5, 3)), 6)
