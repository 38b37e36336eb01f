"""The value that carries a colour and its doubt."""

import numpy as np
import pytest

from swatchbath import BadValue, Measurement, ShapeError, cross_covariance
from swatchbath.colorimetry.conversion import to_d65_2


def test_a_typed_reading_has_doubt_and_never_none():
    m = Measurement([50, 10, 10])
    assert m.rung == "instrument"
    assert (np.diag(m.covariance) > 0).all()


def test_a_given_covariance_is_kept():
    m = Measurement([50, 10, 10], np.diag([1, 2, 3]))
    assert m.covariance.tolist() == np.diag([1.0, 2.0, 3.0]).tolist()


def test_shared_sources_make_the_trueness_and_the_common_part():
    a = Measurement([50, 10, 10], np.eye(3), rung="card", shared={"camera:x": np.eye(3) * 2})
    b = Measurement([55, 10, 10], np.eye(3), rung="card", shared={"camera:x": np.eye(3)})
    c = Measurement([55, 10, 10], np.eye(3), rung="card", shared={"camera:y": np.eye(3)})
    assert a.trueness.tolist() == (4 * np.eye(3)).tolist()
    assert cross_covariance(a, b).tolist() == (2 * np.eye(3)).tolist()
    assert cross_covariance(a, c).tolist() == np.zeros((3, 3)).tolist()
    assert cross_covariance(a, a).tolist() == a.covariance.tolist()


def test_the_shared_form_reproduces_scatter():
    # Draw the unknowns of the sources and look at the spread of the difference.
    rng = np.random.default_rng(0)
    one, two = rng.normal(size=(2, 3, 4))
    a = Measurement([50, 0, 0], np.eye(3), shared={"s": one})
    b = Measurement([50, 0, 0], np.eye(3), shared={"s": two})
    u = rng.standard_normal((20000, 4))
    noise = rng.standard_normal((2, 20000, 3))
    drawn = np.cov((u @ one.T + noise[0] - u @ two.T - noise[1]).T)
    x = cross_covariance(a, b)
    assert drawn == pytest.approx(a.covariance + b.covariance - x - x.T, abs=0.5)


def test_values_are_frozen():
    m = Measurement([50, 10, 10])
    with pytest.raises(ValueError, match="read-only"):
        m.lab[0] = 3
    with pytest.raises(AttributeError):
        m.rung = "card"


def test_what_is_no_colour_is_refused():
    with pytest.raises(ShapeError, match="three numbers"):
        Measurement([50, 10])
    with pytest.raises(BadValue, match="not three numbers"):
        Measurement([50, np.nan, 0])
    with pytest.raises(BadValue, match="no rung"):
        Measurement([50, 0, 0], rung="guess")


def test_degrees_of_freedom_are_infinite_unless_given_and_positive():
    assert Measurement([50, 10, 10]).degrees == np.inf
    assert Measurement([50, 10, 10], np.eye(3), degrees=4).degrees == 4.0
    read = Measurement([50, 10, 10], np.eye(3), degrees=4, light="D50")
    assert to_d65_2(read).degrees == 4.0
    for wrong in (0, -1, np.nan, "many", True):
        with pytest.raises(BadValue, match="degrees of freedom"):
            Measurement([50, 10, 10], degrees=wrong)


def test_a_typed_colour_has_the_doubt_of_an_instrument_and_of_its_kin():
    """0.3 from reading to reading and 0.5 between instruments, on each axis, as is told."""
    typed = Measurement([50, 10, 10])
    assert np.allclose(typed.repeatability, 0.3**2 * np.eye(3))
    assert np.allclose(typed.trueness, 0.5**2 * np.eye(3))
