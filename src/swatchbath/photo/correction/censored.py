"""Channels that read zero: of a strong colour all that is known of its weakest channel is that it
is small.

A camera cuts off what lies outside its picture's colours, as it does for vivid yellows, oranges and
cyans. Such a reading is given the value that such channels have on the average and is made
uncertain along that channel (a censored reading), instead of being taken at its word or refused.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ...colorimetry.lab import Array

# What a channel that reads under 0.002 truly is, of white's light: mean and standard deviation of
# 30 chart patches of rendered photos (tests/reference/chart_readings.csv and ..._more.csv), from
# -0.037 to 0.049.
_MEAN, _SD = 0.012, 0.025
_GREY = 0.18  # of the light of white; card's readings are put beside it


def raised(rgb: Array, low: Array, card_rgb: Array) -> Array:
    """rgb (3,) with the channels `low` (3,) bool at what such channels are on the average.

    card_rgb (3,) : the grey card's reading, which tells how bright the picture is.
    """
    return np.where(low, _MEAN * card_rgb / _GREY, rgb)


def censored_loadings(
    rgb: Array, low: Array, card_rgb: Array, to_lab: Callable[[Array], Array]
) -> Array:
    """(3, k): what Lab may be off by along each of the k channels that read zero, one standard
    deviation. rgb (3,) : as `raised` gives it. to_lab : Lab (n, 3) of readings (n, 3)."""
    columns = []
    for channel in np.flatnonzero(low):
        step = np.zeros(3)
        step[channel] = _SD * card_rgb[channel] / _GREY
        # To one side zero is near, and no light is less than none to the formulae of Lab.
        up, down = to_lab(np.stack([rgb + step, np.maximum(rgb - step, 0.0)]))
        columns.append((up - down) / 2 * (2 * _SD / (_SD + min(_MEAN, _SD))))
    return np.array(columns).reshape(-1, 3).T
