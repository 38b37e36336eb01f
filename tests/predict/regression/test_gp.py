"""The Gaussian process: equal to scikit-learn's where the two coincide, with a true gradient."""

import numpy as np
import pytest
from scipy.optimize import approx_fprime
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import RBF, ConstantKernel, DotProduct

from swatchbath.predict.features.encoder import Factors
from swatchbath.predict.regression.gp import Objective, Posterior, fit_hyper
from swatchbath.predict.regression.kernel import PARTS, Hyper, Scales, active, kernel


def some_rows(n, seed=0, unknown=False):
    rng = np.random.default_rng(seed)
    x = rng.uniform(0, 1, (n, 3))
    spread = np.zeros_like(x)
    if unknown:
        spread[::4, 1] = 0.09
    return Factors(x, spread, rng.integers(0, 3, (n, 1)))


def colours(f, seed=1):
    rng = np.random.default_rng(seed)
    base = np.sin(3 * f.x[:, 0]) + f.x[:, 1] + 0.5 * f.levels[:, 0]
    z = np.stack([base, base + 0.3 * f.x[:, 2], -base + f.x[:, 0]], axis=1)
    z = z + rng.normal(0, 0.1, z.shape)
    return (z - z.mean(axis=0)) / z.std(axis=0)


STRENGTH = Scales(np.array([0.7, 2.0, 0.2, 0.9]), 0.05, 0.3, np.array([[1.0]]))
HUE = Scales(np.array([2.0, 0.4, 0.9, 0.3]), 0.08, 0.1, np.array([[1.2, 0.1], [0.1, 0.7]]))


def test_prediction_equals_scikit_learn():
    """Where the two coincide: plain noise, each part by itself (scikit-learn 1.x)."""
    f, g = some_rows(30), some_rows(12, seed=5)
    z = colours(f)
    h = Hyper((STRENGTH, HUE), active(f))
    mean, cov, share = Posterior(h, f, z, np.eye(30), np.zeros((30, 2))).at(g)
    cov = cov / (1 + 2 * share**2)[:, None, None]  # scikit-learn does not widen what is open

    def columns(rows):
        # A word as half an indicator: 4 times its dot product is 1 if equal, and its squared
        # distance is a half if not, which the length scale makes up for.
        return np.hstack([rows.x - 0.5, 0.5 * np.eye(3)[rows.levels[:, 0]]])

    for scales, channels in h.parts:
        w = scales.weights
        lengths = np.r_[1 / np.sqrt(2 * w[:3]), np.repeat(np.sqrt(0.25 / w[3]), 3)]
        linear = ConstantKernel(4 * scales.linear) * DotProduct(1e-9)
        theirs = GaussianProcessRegressor(
            ConstantKernel(1.0) + RBF(lengths) + linear, alpha=scales.pot + 1e-9, optimizer=None
        ).fit(columns(f), z[:, channels])
        expected, sd = theirs.predict(columns(g), return_std=True)
        assert np.abs(mean[:, channels] - expected.reshape(12, -1)).max() < 1e-6
        open_still = cov[:, channels[0], channels[0]] / scales.B[0, 0]
        assert np.abs(np.sqrt(open_still) - sd.reshape(12, -1)[:, 0]).max() < 1e-6


@pytest.mark.parametrize("separate", [False, True])
def test_what_baths_have_in_common_equals_scikit_learn(separate):
    f, g = some_rows(30), some_rows(12, seed=5)
    f, g = (Factors(r.x, r.spread, np.zeros((len(r.x), 1), int)) for r in (f, g))
    h = Hyper((STRENGTH, HUE), (np.ones(3, bool), np.zeros(1, bool)))
    noise = np.zeros((30, 2)) if separate else np.zeros((90, 90))
    posterior = Posterior(h, f, colours(f), np.eye(30), noise)
    joint = posterior.joint(g).reshape(12, 3, 12, 3)
    cov, share = posterior.at(g)[1:]
    own = joint[np.arange(12), :, np.arange(12)]
    assert np.allclose(own, cov / (1 + 2 * share**2)[:, None, None], atol=1e-9)
    for scales, channels in h.parts:
        k = ConstantKernel(1.0) + RBF(1 / np.sqrt(2 * scales.weights[:3]))
        k = k + ConstantKernel(4 * scales.linear) * DotProduct(1e-9)
        theirs = GaussianProcessRegressor(k, alpha=scales.pot + 1e-9, optimizer=None)
        theirs.fit(f.x - 0.5, np.zeros(30))
        both = theirs.predict(g.x - 0.5, return_cov=True)[1]
        mine = joint[:, channels[0], :, channels[0]] / scales.B[0, 0]
        assert np.allclose(mine, both, atol=1e-6)


@pytest.mark.parametrize("separate", [False, True])
def test_an_error_of_the_rows_is_carried_as_the_mean_moves(separate):
    """Another posterior, learnt from the moved rows, is what says how the mean moves."""
    f, g = some_rows(30), some_rows(12, seed=5)
    z, errors = colours(f), np.random.default_rng(2).normal(0, 1, (30, 3, 2))
    h = Hyper((STRENGTH, HUE), active(f))
    noise = np.full((30, 2), 0.05) if separate else 0.05 * np.eye(90)

    def mean(rows):
        return Posterior(h, f, rows, np.eye(30), noise).mean(g)

    carried = Posterior(h, f, z, np.eye(30), noise).carried(g, errors)
    for k in range(2):
        assert np.allclose(carried[:, :, k], mean(z + errors[:, :, k]) - mean(z))


@pytest.mark.parametrize("part", [0, 1])
@pytest.mark.parametrize("unknown", [False, True])
def test_the_gradient_is_that_of_the_value(unknown, part):
    f = some_rows(20, unknown=unknown)
    goal = Objective(f, colours(f)[:, PARTS[part]], np.eye(20), np.full(20, 0.02), part)
    theta = np.log([0.5, 1.5, 0.3, 0.8, 0.05, 0.2])
    value, gradient = goal(theta)
    numeric = approx_fprime(theta, lambda t: goal(t)[0], 1e-6)
    assert np.isfinite(value)
    assert np.abs(gradient - numeric).max() < 1e-3 * max(1, np.abs(numeric).max())


def test_an_unknown_number_is_the_mean_over_what_it_may_be():
    """The kernel of an imputed row is the average of the kernel over its possible values."""
    f, g = some_rows(4), some_rows(1, seed=2)
    h = Hyper((STRENGTH, HUE), active(f))
    unsure = Factors(g.x, np.array([[0.0, 0.09, 0.0]]), g.levels)
    draws = np.random.default_rng(0).normal(0, 0.3, 100_000)
    x = np.repeat(g.x, len(draws), axis=0)
    x[:, 1] += draws
    many = Factors(x, np.zeros_like(x), np.repeat(g.levels, len(draws), axis=0))
    for one, drawn in zip(kernel(h, unsure, f), kernel(h, many, f), strict=True):
        assert np.abs(one[0][0] - drawn[0].mean(axis=0)).max() < 5e-3


def test_whole_noise_equals_separate_noise_where_both_say_the_same():
    f, g = some_rows(15), some_rows(6, seed=3)
    z, h = colours(f), Hyper((STRENGTH, HUE), active(f))
    read = np.linspace(0.01, 0.1, 15)
    one = Posterior(h, f, z, np.eye(15), np.stack([read, read], axis=1))
    two = Posterior(h, f, z, np.eye(15), np.kron(np.diag(read), h.B))
    for a, b in zip(one.at(g), two.at(g), strict=True):
        assert np.abs(a - b).max() < 1e-6
    assert np.abs(one.mean(g) - two.mean(g)).max() < 1e-6


def test_the_fit_finds_what_matters():
    rng = np.random.default_rng(3)
    f = Factors(rng.uniform(0, 1, (60, 2)), np.zeros((60, 2)), np.zeros((60, 0), int))
    wave = np.sin(9 * f.x[:, 0])
    z = np.stack([wave, wave, -wave], axis=1) + rng.normal(0, 0.1, (60, 3))
    h = fit_hyper(f, z, np.eye(60), np.zeros((60, 2)))
    for part, (scales, channels) in enumerate(h.parts):
        assert scales.weights[0] > 20 * scales.weights[1]
        goal = Objective(f, z[:, channels], np.eye(60), np.zeros(60), part)
        assert np.abs(goal(goal.theta_of(scales))[1]).max() < 0.1


def test_strength_and_hue_have_scales_of_their_own():
    rng = np.random.default_rng(4)
    f = Factors(rng.uniform(0, 1, (60, 2)), np.zeros((60, 2)), np.zeros((60, 0), int))
    depth, hue = np.sin(8 * f.x[:, 0]), np.cos(8 * f.x[:, 1])
    z = np.stack([depth, hue, -hue], axis=1) + rng.normal(0, 0.1, (60, 3))
    strength, hues = fit_hyper(f, z, np.eye(60), np.zeros((60, 2))).scales
    assert strength.weights[0] > 20 * strength.weights[1]
    assert hues.weights[1] > 20 * hues.weights[0]
