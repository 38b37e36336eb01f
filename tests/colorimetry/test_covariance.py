"""Covariances of colours."""

import numpy as np
import pytest
from scipy.stats import chi2, f

from swatchbath.colorimetry import delta_e2000, nearest_covariance
from swatchbath.colorimetry.covariance import (
    error_draws,
    give_or_take,
    joined_degrees,
    region_radius,
    square_root,
)
from swatchbath.errors import BadValue, ShapeError

DOUBT = np.array([[4.0, 1.0, 0.5], [1.0, 3.0, -0.5], [0.5, -0.5, 6.0]])


def student(number, degrees, rng):
    """Errors of covariance 1 of a Student's t, one scale for the three axes."""
    scale = 1.0 if np.isinf(degrees) else rng.chisquare(degrees, (number, 1)) / (degrees - 2)
    return rng.standard_normal((number, 3)) / np.sqrt(scale)


def test_what_is_no_covariance_is_refused():
    with pytest.raises(ShapeError, match="shape"):
        nearest_covariance(np.eye(2))
    with pytest.raises(BadValue, match="symmetric"):
        nearest_covariance([[1, 1, 0], [0, 1, 0], [0, 0, 1]])
    with pytest.raises(BadValue, match="negative"):
        nearest_covariance(-np.eye(3))
    with pytest.raises(BadValue, match="not a number"):
        nearest_covariance(np.full((3, 3), np.nan))


@pytest.mark.parametrize("degrees", [np.inf, 20.0, 6.0])
def test_give_or_take_holds_two_true_colours_in_three(degrees):
    lab = np.array([60.0, 12.0, 40.0])
    errors = student(20_000, degrees, np.random.default_rng(7)) @ square_root(DOUBT).T
    held = np.mean(delta_e2000(lab + errors, lab) <= give_or_take(lab, DOUBT, degrees))
    assert held == pytest.approx(0.68, abs=0.03)


@pytest.mark.parametrize("degrees", [np.inf, 20.0, 6.0])
def test_a_region_holds_what_it_says_of_errors_of_the_covariance_that_is_stated(degrees):
    errors = student(40_000, degrees, np.random.default_rng(8))
    for level in (0.5, 0.9, 0.99):
        held = np.mean(np.sum(errors**2, axis=1) <= region_radius(level, degrees))
        assert held == pytest.approx(level, abs=0.01)
    assert region_radius(0.9) == pytest.approx(chi2.ppf(0.9, 3))
    # Hotelling's, of the scale, which is (degrees - 2) / degrees of the variance.
    assert region_radius(0.9, 6.0) == pytest.approx(3 * f.ppf(0.9, 3, 6) * 4 / 6)


@pytest.mark.parametrize("degrees", [np.inf, 20.0])
def test_errors_are_drawn_with_covariance_one(degrees):
    assert np.allclose(np.cov(error_draws(20_000, degrees).T), np.eye(3), atol=0.06)


def test_degrees_of_a_difference_are_those_of_whichever_is_widest():
    """Welch and Satterthwaite: of equals the sum, of one alone its own, many count as Gaussian."""
    small, large = 0.01 * np.eye(3), 4 * np.eye(3)
    assert joined_degrees(large, small, 6, 50) == 6
    assert joined_degrees(small, large, 6, 50) == 50
    assert joined_degrees(large, large, 6, 6) == 12
    assert joined_degrees(large, large, 99, 99) == np.inf
    assert joined_degrees(0 * large, 0 * large, 6, 6) == np.inf
