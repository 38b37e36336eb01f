"""The interval of a difference, tested against scatter."""

import numpy as np
import pytest

from swatchbath.colorimetry import delta_e2000, difference_interval

SHAPES = {
    "round": np.eye(3),
    "flat": np.diag([0.2, 1.0, 4.0]),
    "leaning": np.array([[2.0, 1.2, 0.0], [1.2, 1.5, -0.5], [0.0, -0.5, 3.0]]),
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("true_step", [0.0, 1.0, 3.0, 8.0])
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
