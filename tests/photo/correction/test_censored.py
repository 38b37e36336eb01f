"""Channels that read zero are known only to be small."""

from __future__ import annotations

import numpy as np

from swatchbath.colorimetry.lab import linear_srgb_to_xyz, xyz_to_lab
from swatchbath.photo.correction.card import CHART_LAB
from swatchbath.photo.correction.censored import censored_loadings, raised

CARD = np.array([0.18, 0.18, 0.18])


def to_lab(rgb):
    return xyz_to_lab(linear_srgb_to_xyz(rgb))


def test_only_the_channels_that_read_zero_are_moved():
    rgb = np.array([0.7, 0.5, 0.0005])
    low = np.array([False, False, True])
    out = raised(rgb, low, CARD)
    assert np.array_equal(out[:2], rgb[:2])
    assert 0 < out[2] < 0.05
    assert np.array_equal(raised(rgb, ~low & low, CARD), rgb)


def test_the_truth_of_the_chart_lies_within_what_is_stated():
    """Published chart patches (D50 values adapted) whose weakest channel a picture cuts off."""
    from swatchbath.colorimetry.lab import lab_to_xyz, xyz_to_linear_srgb

    true = xyz_to_linear_srgb(lab_to_xyz(CHART_LAB))
    away = []
    for rgb, lab in zip(true, CHART_LAB, strict=True):
        low = rgb < 0.03
        if not low.any() or low.all():
            continue
        read = raised(np.where(low, 0.0, rgb), low, CARD)
        a = censored_loadings(read, low, CARD, to_lab)
        off = lab - to_lab(read[None])[0]
        away.append(off @ np.linalg.solve(a @ a.T + 0.7**2 * np.eye(3), off))
    assert len(away) >= 5
    assert np.mean(np.array(away) < 7.8) >= 0.8  # 95 % point of chi-square, 3 degrees


def test_nothing_is_added_where_nothing_reads_zero():
    low = np.zeros(3, dtype=bool)
    assert censored_loadings(np.array([0.3, 0.2, 0.1]), low, CARD, to_lab).shape == (3, 0)
