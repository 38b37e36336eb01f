"""A plain surface over Lab through what known colours are off by: straight lines, then a field.

Unlike the error model it knows nothing of cameras, so that it errs otherwise; the mean of both is
nearer than either.
"""

from __future__ import annotations

import numpy as np

from ...colorimetry.lab import Array

# Fewest known colours that a surface is drawn through; with fewer it does harm (left-out cameras).
FEWEST_FOR_SURFACE = 12
# Length in Lab, standard deviation and noise of the field; standard deviation of the straight
# part's weights (on 1, L / 50, a / 50, b / 50). From the chart rung on left-out cameras.
_LENGTH, _FIELD_SD, _NOISE_SD, _SLOPE_SD = 40.0, 5.0, 2.0, 4.0


def surface_weights(of: Array, by: Array) -> Array:
    """(3m, 3n): what each of m known colours (m, 3) being off says of n others (n, 3).

    Gaussian process with a linear mean of unknown weights (Rasmussen and Williams 2006, 2.7, from
    memory), one for each axis of Lab.
    """
    among = _kernel(by, by) + _NOISE_SD**2 * np.eye(len(by))
    return np.kron(np.linalg.solve(among, _kernel(by, of)), np.eye(3))


def _kernel(one: Array, two: Array) -> Array:
    apart = ((one[:, None] - two[None]) ** 2).sum(axis=2)
    straight = 1 + one @ two.T / 50**2
    return np.asarray(_FIELD_SD**2 * np.exp(-apart / (2 * _LENGTH**2)) + _SLOPE_SD**2 * straight)
