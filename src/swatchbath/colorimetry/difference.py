"""Colour-difference formulae on arrays. Lab of one light and observer; they broadcast."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ..errors import ValueOutOfRange
from .lab import Array, triples

# Two hues this close to 180 degrees apart count as exactly opposite, or round-off would choose
# the branch (pairs 10 and 14 of Sharma, Wu and Dalal 2005 lie within 3e-14 degree of it).
_OPPOSITE_SLACK = 1e-9
_C7 = 25.0**7


def delta_e76(lab1: ArrayLike, lab2: ArrayLike) -> Array:
    """CIELAB difference of 1976 (ISO/CIE 11664-4): the plain distance."""
    return np.asarray(np.linalg.norm(triples(lab1) - triples(lab2), axis=-1))


def lightness_chroma_hue(standard: ArrayLike, sample: ArrayLike) -> Array:
    """dL*, dC*ab and dH*ab (..., 3) of a sample seen from a standard (ISO/CIE 11664-4).

    dH has the sign of the hue-angle step, the shorter way round.
    """
    s, t = triples(standard), triples(sample)
    c1, c2 = np.hypot(s[..., 1], s[..., 2]), np.hypot(t[..., 1], t[..., 2])
    step = np.arctan2(t[..., 2], t[..., 1]) - np.arctan2(s[..., 2], s[..., 1])
    # (-pi, pi], so that sin of the half step carries the sign.
    step = -((np.pi - step) % (2 * np.pi) - np.pi)
    hue = 2 * np.sqrt(c1 * c2) * np.sin(step / 2)
    return np.stack([t[..., 0] - s[..., 0], c2 - c1, hue], axis=-1)


def delta_e2000(
    lab1: ArrayLike, lab2: ArrayLike, *, k_L: float = 1.0, k_C: float = 1.0, k_H: float = 1.0
) -> Array:
    """Colour difference CIEDE2000.

    Parameters
    ----------
    lab1, lab2 : (..., 3)
        CIELAB of the same light and observer, L* 0 to 100. They broadcast.
    k_L, k_C, k_H : float
        Weights, above 0. Textiles commonly use k_L = 2.

    Returns
    -------
    (...)
        Never negative; NaN where an input is NaN.

    Raises
    ------
    ShapeError
        Where the last axis is not 3.
    ValueOutOfRange
        Where a weight is not positive.

    Holds for differences below about 5, same size and surround (reference conditions of the
    standard). Source: ISO/CIE 11664-6; checked on the 34 pairs of Sharma, Wu and Dalal (2005).

    Examples
    --------
    >>> round(float(delta_e2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    for name, k in (("k_L", k_L), ("k_C", k_C), ("k_H", k_H)):
        if not k > 0:
            raise ValueOutOfRange(f"{name} is {k}; a weight must be a number above 0.")
    one, two = np.broadcast_arrays(triples(lab1), triples(lab2))
    L1, a1, b1 = one[..., 0], one[..., 1], one[..., 2]
    L2, a2, b2 = two[..., 0], two[..., 1], two[..., 2]

    mean7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    g = 0.5 * (1 - np.sqrt(mean7 / (mean7 + _C7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    C1, C2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1 = np.degrees(np.arctan2(b1, a1)) % 360
    h2 = np.degrees(np.arctan2(b2, a2)) % 360
    grey = C1 * C2 == 0

    dh = h2 - h1
    near = np.abs(dh) <= 180 + _OPPOSITE_SLACK
    dh = np.where(near, dh, np.where(dh > 0, dh - 360, dh + 360))
    dh = np.where(grey, 0.0, dh)
    h_sum = h1 + h2
    h_mean = np.where(near, h_sum / 2, np.where(h_sum < 360, h_sum / 2 + 180, h_sum / 2 - 180))
    h_mean = np.where(grey, h_sum, h_mean)

    dL, dC = L2 - L1, C2 - C1
    dH = 2 * np.sqrt(C1 * C2) * np.sin(np.radians(dh) / 2)
    L_mean, C_mean = (L1 + L2) / 2, (C1 + C2) / 2

    T = (
        1
        - 0.17 * np.cos(np.radians(h_mean - 30))
        + 0.24 * np.cos(np.radians(2 * h_mean))
        + 0.32 * np.cos(np.radians(3 * h_mean + 6))
        - 0.20 * np.cos(np.radians(4 * h_mean - 63))
    )
    square = (L_mean - 50) ** 2
    S_L = 1 + 0.015 * square / np.sqrt(20 + square)
    S_C = 1 + 0.045 * C_mean
    S_H = 1 + 0.015 * C_mean * T
    turn = 30 * np.exp(-(((h_mean - 275) / 25) ** 2))
    R_T = -2 * np.sqrt(C_mean**7 / (C_mean**7 + _C7)) * np.sin(np.radians(2 * turn))

    x, y, z = dL / (k_L * S_L), dC / (k_C * S_C), dH / (k_H * S_H)
    return np.asarray(np.sqrt(np.maximum(x * x + y * y + z * z + R_T * y * z, 0)))


def local_metric(lab: ArrayLike) -> Array:
    """(3, 3): CIEDE2000 of a small step d from a colour (3,), squared, is d @ this @ d."""
    step = 0.1
    axes, colour = np.eye(3), triples(lab)
    squared = (delta_e2000(colour, colour + step * (axes[:, None] + axes[None])) / step) ** 2
    alone = np.diag(squared) / 4
    return np.asarray((squared - alone[:, None] - alone[None]) / 2 * (1 - axes) + np.diag(alone))


def cmc(
    standard: ArrayLike, sample: ArrayLike, *, lightness: float = 2.0, chroma: float = 1.0
) -> Array:
    """Colour difference CMC(l:c); not symmetric, the standard comes first.

    Source: ISO 105-J03; 2:1 is the textile trade's acceptability setting.
    """
    s = triples(standard)
    L, C = s[..., 0], np.hypot(s[..., 1], s[..., 2])
    h = np.degrees(np.arctan2(s[..., 2], s[..., 1])) % 360
    S_L = np.where(L < 16, 0.511, 0.040975 * L / (1 + 0.01765 * L))
    S_C = 0.0638 * C / (1 + 0.0131 * C) + 0.638
    T = np.where(
        (h >= 164) & (h <= 345),
        0.56 + np.abs(0.2 * np.cos(np.radians(h + 168))),
        0.36 + np.abs(0.4 * np.cos(np.radians(h + 35))),
    )
    F = np.sqrt(C**4 / (C**4 + 1900))
    S_H = S_C * (F * T + 1 - F)
    parts = lightness_chroma_hue(standard, sample) / np.stack(
        [lightness * S_L, chroma * S_C, S_H], axis=-1
    )
    return np.asarray(np.linalg.norm(parts, axis=-1))
