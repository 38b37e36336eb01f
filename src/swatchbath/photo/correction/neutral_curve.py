"""A tone curve through the greys of a frame."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ...colorimetry.lab import (
    Array,
    lab_to_xyz,
    linear_srgb_to_xyz,
    xyz_to_lab,
    xyz_to_linear_srgb,
)
from .anchors import Anchors

# Greys stand in a curve of their own; so many besides the card make one, and to be grey an anchor's
# C* is at most this. Three greys made no better curve than the card alone (left-out cameras).
_FEWEST_FOR_CURVE = 3
_GREY_CHROMA = 5.0
# Slope of the curve (log light against log light after the base step) beyond its ends.
_END_SLOPES = (0.4, 1.6)
_DARKEST = 1e-4


def neutral_curve(anchors: Anchors, card: Array) -> Callable[[Array], Array] | None:
    """Tone curve, per channel of linear sRGB, through the card and the greys read in this photo.

    Straight pieces of log light wanted against log light after the base step. None where there are
    too few greys, or where other photos' anchors, which have curves of their own, are used.
    """
    if anchors.photo is not None and any(p is not None for p in anchors.photo):
        return None
    grey = np.hypot(anchors.lab[:, 1], anchors.lab[:, 2]) <= _GREY_CHROMA
    if grey.sum() < _FEWEST_FOR_CURVE:
        return None

    def log_light(lab: Array) -> Array:
        return np.asarray(np.log(np.maximum(xyz_to_linear_srgb(lab_to_xyz(lab)), _DARKEST)))

    read = log_light(np.vstack([card, anchors.base_lab[grey]]))
    wanted = log_light(np.vstack([card, anchors.lab[grey]]))

    def bent(lab: Array) -> Array:
        light = log_light(lab)
        for c in range(3):
            order = np.argsort(wanted[:, c])
            t = wanted[order, c]
            # A darker grey never reads lighter, or the curve would turn back.
            x = np.maximum.accumulate(read[order, c]) + 1e-6 * np.arange(len(order))
            first, *_, last = np.diff(t) / np.diff(x)
            low, high = np.clip([first, last], *_END_SLOPES)
            u = light[:, c].copy()
            light[:, c] = np.interp(u, x, t)
            light[:, c] += low * np.minimum(u - x[0], 0) + high * np.maximum(u - x[-1], 0)
        return xyz_to_lab(linear_srgb_to_xyz(np.exp(light)))

    return bent
