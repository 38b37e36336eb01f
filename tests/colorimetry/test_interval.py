"""The interval of a difference, tested against scatter."""

from functools import partial

import numpy as np
import pytest

from swatchbath.colorimetry import delta_e2000, difference_interval
from swatchbath.colorimetry.interval import reaches_beyond, stretched_to

SHAPES = {
    "round": np.eye(3),
    "flat": np.diag([0.2, 1.0, 4.0]),
    "leaning": np.array([[2.0, 1.2, 0.0], [1.2, 1.5, -0.5], [0.0, -0.5, 3.0]]),
}


# In every run each shape about no difference, and the one that is neither round nor along an axis
# about a clear one.
FAR = [(3.0, "leaning"), *((s, n) for s in (1.0, 3.0, 8.0) for n in SHAPES)]


@pytest.mark.parametrize(
    ("true_step", "shape"),
    [*((0.0, n) for n in SHAPES), FAR[0],
     *(pytest.param(*of, marks=pytest.mark.slow) for of in FAR[1:] if of != FAR[0])],
)  # fmt: skip
def test_nine_in_ten_intervals_hold_the_true_difference(shape, true_step):
    rng = np.random.default_rng(11)
    covariance = SHAPES[shape]
    root = np.linalg.cholesky(covariance)
    held = above = 0
    trials = 100
    for _ in range(trials):
        standard = np.array([55.0, 12.0, 35.0])
        direction = rng.standard_normal(3)
        sample = standard + true_step * direction / np.linalg.norm(direction)
        true = float(delta_e2000(sample, standard))
        seen = sample + root @ rng.standard_normal(3)
        low, high = difference_interval(seen, standard, covariance)
        held += low <= true + 1e-9 and true <= high + 1e-9
        above += low > true + 1e-9
    # Each end is to hold with 95 %; three binomial standard errors of 100 trials are 7 %.
    assert held / trials > 0.83
    assert above / trials < 0.12


def test_the_lower_end_is_exactly_zero_where_readings_agree():
    low, high = difference_interval([50, 10, 10], [50.5, 10, 10], np.eye(3))
    assert low == 0
    assert high > 0.5


def test_no_doubt_gives_a_point():
    low, high = difference_interval([50, 10, 10], [52, 10, 10], np.zeros((3, 3)))
    assert low == high == pytest.approx(float(delta_e2000([50, 10, 10], [52, 10, 10])))


def test_more_doubt_never_narrows():
    ends = [difference_interval([50, 10, 10], [53, 12, 9], s * np.eye(3)) for s in (0.1, 1, 4, 9)]
    lows, highs = zip(*ends, strict=True)
    assert list(lows) == sorted(lows, reverse=True)
    assert list(highs) == sorted(highs)


def test_a_small_reading_rules_the_tolerance_out_no_oftener_than_stated():
    """Truth at the limit, doubt as large as half of it, along one axis or all three."""
    rng = np.random.default_rng(5)
    n = 2000
    standard = np.tile([55.0, 12.0, 35.0], (n, 1))
    for shape in (*SHAPES.values(), np.diag([1.0, 0.01, 0.01])):
        for true in (2.0, 4.0):
            way = np.linalg.cholesky(shape)[:, 0]
            sample = standard[0] + way
            sample = standard[0] + way * true / float(delta_e2000(sample, standard[0]))
            seen = sample + rng.standard_normal((n, 3)) @ np.linalg.cholesky(shape).T
            limit = float(delta_e2000(sample, standard[0]))
            within, _ = reaches_beyond(
                seen, standard, np.tile(shape, (n, 1, 1)), limit, level=0.9, degrees=np.inf
            )
            # Three binomial standard errors of 2000 trials at 5 %.
            assert within.mean() < 0.05 + 0.015
    # And is no rarer than it must be, where the doubt is alike in all directions.
    round_one = np.array([50.0, 0.0, 0.0]) + rng.standard_normal((n, 3))
    within, _ = reaches_beyond(
        round_one, np.tile([50.0, 0, 0], (n, 1)), np.tile(np.eye(3), (n, 1, 1)), 4.0,
        level=0.9, degrees=np.inf,
    )  # fmt: skip
    assert within.mean() > 0.6


def test_doubt_that_grows_with_the_difference_says_little_of_smaller_ones():
    """A camera that may be 2 off at 8 apart does not make a match of them."""
    one, two, small = np.array([50.0, 0, 0]), np.array([58.0, 0, 0]), 0.01 * np.eye(3)
    grows = difference_interval(two, one, small, stretch=4 * np.eye(3))
    fixed = difference_interval(two, one, small + 4 * np.eye(3))
    assert grows[0] > fixed[0] + 0.5
    assert grows[1] > fixed[1]
    # Readings that came out equal hide at least their doubt.
    assert difference_interval(one, one, np.eye(3))[1] >= 1


def test_an_interval_in_another_formula():
    half = partial(delta_e2000, k_L=2.0)
    whole = difference_interval([54, 0, 0], [50, 0, 0], np.eye(3))
    low, high = difference_interval([54, 0, 0], [50, 0, 0], np.eye(3), formula=half)
    assert low <= float(half([54, 0, 0], [50, 0, 0])) <= high < whole[1]


def test_what_grows_with_the_difference_does_so_until_colours_have_no_more_to_do_with_each_other():
    """A camera's error of a difference, by a squared exponential of 12 Lab: with the square where
    colours are alike, no further where they are far apart."""
    assert stretched_to(3.0, 3.0) == pytest.approx(1)
    assert stretched_to(2.0, 1.0) == pytest.approx(4, rel=0.02)
    assert stretched_to(24.0, 12.0) == pytest.approx((1 - np.exp(-2)) / (1 - np.exp(-0.5)))
    assert stretched_to(200.0, 60.0) == pytest.approx(1, abs=1e-4)


def test_short_of_what_was_read_it_shrinks_by_the_root_of_that():
    """A camera that makes three of one is as rare as one that makes a third of it."""
    for there, read in ((0.5, 1.0), (3.0, 12.0), (10.0, 40.0)):
        assert stretched_to(there, read) == pytest.approx(stretched_to(read, there) ** -0.5)
