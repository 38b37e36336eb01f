"""Lab to log depth and back, and the doubt on the way."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.integrate import solve_ivp

from swatchbath.colorimetry import WHITE_D65, bradford, lab_to_xyz
from swatchbath.predict.regression.depth import (
    depth_jacobian,
    depth_to_lab,
    lab_jacobian,
    lab_moments,
    lab_to_depth,
)

# Colours of dyed fibre: not black, not white, all channels within the range told apart.
textile = st.tuples(st.floats(20, 88), st.floats(-25, 35), st.floats(-20, 55))


@given(textile)
def test_depth_and_back(lab):
    lab = np.array(lab)
    response = bradford(WHITE_D65, [1, 1, 1]) @ lab_to_xyz(lab)
    if (lab_to_depth(lab) > 4.5).any() or response.min() < 0.01 or response.max() > 0.97:
        return
    assert np.abs(depth_to_lab(lab_to_depth(lab)) - lab).max() < 1e-6


def test_depth_is_kubelka_and_munk_on_a_grey():
    """A grey of luminance Y reflects Y in every channel: K/S = (1 - Y)^2 / 2Y."""
    for Y in (0.05, 0.18, 0.6):
        L = 116 * np.cbrt(Y) - 16
        z = lab_to_depth([L, 0, 0])
        assert np.isclose(np.exp(z[0]) - 0.03, (1 - Y) ** 2 / (2 * Y), atol=1e-9)
        assert np.allclose(z[1:], 0, atol=1e-9)


# Reflectance of a thick layer and its K/S, as textbooks tabulate them (Judd and Wyszecki, Color in
# Business, Science and Industry, 3rd ed. 1975; the figures from memory).
TABULATED = ((0.05, 9.025), (0.10, 4.05), (0.20, 1.6), (0.30, 0.8167), (0.50, 0.25), (0.80, 0.025))


@pytest.mark.parametrize(("R", "ks"), TABULATED)
def test_depth_is_as_tabulated(R, ks):
    z = lab_to_depth([116 * np.cbrt(R) - 16, 0, 0])
    assert np.exp(z[0]) - 0.03 == pytest.approx(ks, abs=5e-5)


@pytest.mark.parametrize("ks", [0.05, 0.4, 1.6, 6.0])
def test_a_thick_layer_reflects_what_the_two_fluxes_give(ks):
    """The differential equations themselves (Kubelka and Munk 1931), integrated over a layer so
    thick that what lies behind it does not show: dR/dx = S - 2 (K + S) R + S R^2."""
    layer = solve_ivp(lambda x, R: 1 - 2 * (ks + 1) * R + R**2, (0, 60), [0.0], rtol=1e-10)
    L = depth_to_lab([np.log(ks + 0.03), 0, 0])[0]
    assert ((L + 16) / 116) ** 3 == pytest.approx(float(layer.y[0, -1]), abs=1e-6)


def test_more_colorant_is_deeper():
    z = lab_to_depth([[80, 2, 10], [60, 4, 20], [40, 8, 25], [20, 8, 10]])
    assert (np.diff(z[:, 0]) > 0).all()


def test_slopes_are_each_others_inverse():
    lab = np.array([[50.0, 10, 20], [70, -5, 40]])
    there, back = depth_jacobian(lab), lab_jacobian(lab_to_depth(lab))
    assert np.abs(there @ back - np.eye(3)).max() < 1e-4


@given(arrays(float, (3, 3), elements=st.floats(-0.3, 0.3)))
def test_moments_agree_with_draws(root):
    z = lab_to_depth([60.0, 8, 30])
    draws = depth_to_lab(z + np.random.default_rng(0).standard_normal((4000, 3)) @ root.T)
    mean, cov = lab_moments(z, root @ root.T)
    scale = np.sqrt(np.trace(cov)) + 1e-6
    assert np.abs(mean - draws.mean(axis=0)).max() < 0.1 * scale
    assert np.abs(cov - np.cov(draws.T)).max() < 0.2 * scale**2


def test_doubt_near_white_is_not_lost():
    """At white the slope of Lab over depth vanishes, yet a darker colour stays possible."""
    white = np.full(3, np.log(0.03))
    assert lab_moments(white, np.eye(3))[1][0, 0] > 1
