"""The mean of readings: what they share stays, what each has alone shrinks."""

import numpy as np

import swatchbath as sb
from swatchbath.match.mean import mean_reading


def test_what_is_shared_stays_and_the_rest_shrinks():
    shared = {"camera:x": 3 * np.eye(3)}
    readings = [sb.Measurement([50, 0, i], np.eye(3), shared=shared, photo="p") for i in range(4)]
    mean = mean_reading(readings)
    assert mean.lab.tolist() == [50, 0, 1.5]
    assert np.allclose(mean.repeatability, np.eye(3) / 4)
    assert np.allclose(mean.trueness, 9 * np.eye(3))
    assert np.allclose(sb.cross_covariance(mean, readings[0]), 9 * np.eye(3))
    assert mean.photo == "p"


def test_unknowns_that_are_one_cancel_by_name():
    a = sb.Measurement(
        [50, 0, 0], np.zeros((3, 3)), shared={"light:1": np.array([[2.0], [0], [0]])}
    )
    b = sb.Measurement(
        [50, 0, 0], np.zeros((3, 3)), shared={"light:2": np.array([[-2.0], [0], [0]])}
    )
    one = mean_reading([a, b], called=[{"light:1": "light:both"}, {"light:2": "light:both"}])
    assert np.allclose(one.covariance, 0)
    assert np.isclose(mean_reading([a, b]).covariance[0, 0], 2)
