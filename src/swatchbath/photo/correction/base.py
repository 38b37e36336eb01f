"""The base step: the card at its own colour, a camera's tone about it undone."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.lab import Array, lab_to_xyz, triples, xyz_to_lab
from .error_model import ErrorModel, load_model

# Bounds of the exponent, so that no card, however dark, turns the picture inside out.
_EXPONENT_RANGE = (0.5, 1.2)
# Rec. 709 luminance: how dark the card was rendered, whatever its cast (ITU-R BT.709).
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
_MID_GREY = 0.18
_DARKEST = 1e-4


def base_lab(
    linear_rgb: ArrayLike,
    *,
    card_rgb: ArrayLike,
    card_lab: ArrayLike,
    encoding: str,
    rgb_to_xyz: ArrayLike,
    model: ErrorModel | None = None,
    light: ArrayLike = 1.0,
) -> Array:
    """Lab D65 (n, 3) of linear RGB (n, 3), the card (3,) put at its own Lab.

    rgb_to_xyz (3, 3) to XYZ of D65, white at RGB (1, 1, 1). encoding: "rendered", "linear" or
    "unprofiled". light, one number or (n,): brightness of the light at each place relative to the
    card's, taken out. A constant factor on all RGB leaves linear results as they are; rendered ones
    follow how dark the card was rendered.
    """
    model = model or load_model(encoding)
    matrix = np.asarray(rgb_to_xyz, dtype=float)
    read, card = triples(linear_rgb, "RGB values"), triples(card_rgb, "card's RGB values")
    wanted = np.linalg.solve(matrix, lab_to_xyz(card_lab))
    even = np.asarray(light, dtype=float)[..., None]
    if encoding != "rendered":
        return xyz_to_lab((wanted * read / card / even) @ matrix.T)
    level = max(float(np.clip(card, _DARKEST, 1) @ _LUMINANCE), _DARKEST)
    exponent = model.exponent + model.exponent_slope * np.log(level / _MID_GREY)
    exponent = float(np.clip(exponent, *_EXPONENT_RANGE))
    ratio = _before_shoulder(read, model.shoulder) / _before_shoulder(card, model.shoulder)
    # Odd, so that colours outside the working space (negative light) stay outside it.
    return xyz_to_lab((wanted * np.sign(ratio) * np.abs(ratio) ** exponent / even) @ matrix.T)


def _before_shoulder(rendered: Array, shoulder: float) -> Array:
    """Light before a film-like shoulder, y = (1 - exp(-x)) / shoulder, bent it; straight over 1."""
    size = np.abs(rendered)
    below = -np.log1p(-shoulder * np.minimum(size, 1))
    above = shoulder / (1 - shoulder) * np.maximum(size - 1, 0)
    return np.asarray(np.sign(rendered) * (below + above))
