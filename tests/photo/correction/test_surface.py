"""A plain surface through what known colours are off by."""

from __future__ import annotations

import numpy as np

from swatchbath.photo.correction.card import CHART_LAB
from swatchbath.photo.correction.surface import surface_weights


def test_a_straight_error_is_found_wherever_the_colour_lies():
    rng = np.random.default_rng(0)
    slope = np.array([[0.05, 0.02, 0], [0, 0.1, -0.03], [0.04, 0, 0.08]])
    of = rng.uniform([30, -40, -40], [80, 40, 60], (50, 3))
    error = lambda lab: (lab - [50, 0, 0]) @ slope.T + [2, -1, 3]  # noqa: E731
    weights = surface_weights(of, CHART_LAB)
    found = (weights.T @ error(CHART_LAB).ravel()).reshape(-1, 3)
    assert np.abs(found - error(of)).max() < 0.25 * np.abs(error(of)).max()


def test_axes_do_not_speak_for_each_other():
    weights = surface_weights(CHART_LAB[:2], CHART_LAB[2:]).reshape(22, 3, 2, 3)
    for one in range(3):
        for two in range(3):
            assert (one == two) or np.all(weights[:, one, :, two] == 0)
