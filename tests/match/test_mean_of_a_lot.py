"""The mean of readings as one: its error is what the mean's error is."""

import numpy as np
import pytest

import swatchbath as sb
from piles_made import pile
from swatchbath.errors import BadValue
from swatchbath.match.mean import mean_reading


def test_its_covariance_is_that_of_the_mean_of_their_errors():
    readings = pile(6, families=1)
    n = len(readings)
    whole = (
        sum(sb.cross_covariance(a, b) for a in readings for b in readings) / n**2
    )  # the covariance of a mean, written out
    mean = mean_reading(readings)
    np.testing.assert_allclose(mean.covariance, whole, atol=1e-9)
    np.testing.assert_allclose(mean.lab, np.mean([r.lab for r in readings], axis=0))
    other = pile(7, seed=5, families=1)[-1]
    both = sum(sb.cross_covariance(r, other) for r in readings) / n
    np.testing.assert_allclose(sb.cross_covariance(mean, other), both, atol=1e-9)


def test_a_photo_is_kept_where_all_are_in_it():
    readings = [r for r in pile(9) if r.photo == "p0"]
    assert mean_reading(readings).photo == "p0" and mean_reading(pile(9)).photo is None
    np.testing.assert_allclose(mean_reading(readings[:1]).covariance, readings[0].covariance)
    with pytest.raises(BadValue):
        mean_reading([])
    with pytest.raises(BadValue, match="unlike"):
        mean_reading([readings[0], readings[1].replace(light="A")])
