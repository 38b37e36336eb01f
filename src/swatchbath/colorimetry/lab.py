"""XYZ, CIELAB, LCh and linear sRGB, on arrays whose last axis is the three components.

One scale: Y of white is 1, L* runs from 0 to 100, linear sRGB from 0 to 1 (values outside are
kept: a colour a screen cannot show is still a colour). Hue angles are degrees, 0 to 360.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..errors import BadValue, ShapeError

Array = NDArray[np.float64]


def numbers_of(value: ArrayLike, what: str) -> Array:
    """A new array of the numbers in `value`. Raises BadValue, naming `what`, where it has none."""
    try:
        return np.array(value, dtype=float)
    except (TypeError, ValueError) as error:
        raise BadValue(f"{what} is {value!r}, which is no row of numbers.") from error


def _white(x: float, y: float) -> Array:
    return np.array([x / y, 1.0, (1 - x - y) / y])


# CIE standard illuminant D65 as sRGB states it: x = 0.3127, y = 0.3290 (IEC 61966-2-1).
WHITE_D65 = _white(0.3127, 0.3290)
# The profile connection space's D50 (ICC.1:2022, 7.2.16): X = 0.9642, Y = 1, Z = 0.8249.
WHITE_D50 = np.array([0.9642, 1.0, 0.8249])
# Bradford cone responses (ICC.1:2022 annex E).
_BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
# CIELAB's junction of cube root and straight line (ISO/CIE 11664-4).
_EPSILON = (6 / 29) ** 3
_SLOPE = 841 / 108


def rgb_to_xyz_matrix(primaries: ArrayLike, white: ArrayLike) -> Array:
    """Matrix from linear RGB to XYZ for primaries (3, 2) given as xy and a white XYZ (3,).

    Source: the usual derivation, SMPTE RP 177.
    """
    xy = np.asarray(primaries, dtype=float)
    columns = np.array([_white(x, y) for x, y in xy]).T
    return columns * np.linalg.solve(columns, np.asarray(white, dtype=float))


# sRGB's primaries (IEC 61966-2-1, from ITU-R BT.709). The matrix is computed in full precision
# rather than the standard's four decimals, so that equal R, G, B give a* = b* = 0 exactly.
SRGB_TO_XYZ = rgb_to_xyz_matrix([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]], WHITE_D65)
XYZ_TO_SRGB = np.linalg.inv(SRGB_TO_XYZ)


def triples(values: ArrayLike, name: str = "colours") -> Array:
    """Floats with a last axis of 3, or ShapeError."""
    array = np.asarray(values, dtype=float)
    if array.shape[-1:] != (3,):
        raise ShapeError(
            f"The {name} have the shape {array.shape}; the last axis must hold three numbers, "
            "as in L*, a*, b*."
        )
    return array


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = WHITE_D65) -> Array:
    """CIELAB (..., 3) of XYZ (..., 3) under a white XYZ (3,).

    Source: ISO/CIE 11664-4. Values below zero follow the straight part of the formula.

    >>> round(float(xyz_to_lab(0.18 * WHITE_D65)[0]), 3)
    49.496
    """
    t = triples(xyz, "XYZ values") / np.asarray(white, dtype=float)
    f = np.where(t > _EPSILON, np.cbrt(t), _SLOPE * t + 4 / 29)
    return np.stack(
        [
            116 * f[..., 1] - 16,
            500 * (f[..., 0] - f[..., 1]),
            200 * (f[..., 1] - f[..., 2]),
        ],
        axis=-1,
    )


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = WHITE_D65) -> Array:
    """XYZ (..., 3) of CIELAB (..., 3); the exact inverse of `xyz_to_lab`."""
    lab = triples(lab, "Lab values")
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    t = np.where(f > 6 / 29, f**3, (f - 4 / 29) / _SLOPE)
    return np.asarray(t * np.asarray(white, dtype=float))


def lab_to_lch(lab: ArrayLike) -> Array:
    """L*, C*ab and hue angle in degrees, 0 to 360 (ISO/CIE 11664-4)."""
    lab = triples(lab, "Lab values")
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    hue = np.degrees(np.arctan2(lab[..., 2], lab[..., 1])) % 360
    return np.stack([lab[..., 0], chroma, hue], axis=-1)


def bradford(white_from: ArrayLike, white_to: ArrayLike) -> Array:
    """Matrix (3, 3) that adapts XYZ columns from one white to another (ICC.1:2022 annex E).

    >>> bool(np.allclose(bradford(WHITE_D50, WHITE_D65) @ WHITE_D50, WHITE_D65, atol=1e-12))
    True
    """
    gain = (_BRADFORD @ np.asarray(white_to, float)) / (_BRADFORD @ np.asarray(white_from, float))
    return np.asarray(np.linalg.solve(_BRADFORD, gain[:, None] * _BRADFORD))


def linear_srgb_to_xyz(rgb: ArrayLike) -> Array:
    """XYZ (..., 3) of linear sRGB (..., 3), white at (1, 1, 1)."""
    return np.asarray(triples(rgb, "RGB values") @ SRGB_TO_XYZ.T)


def xyz_to_linear_srgb(xyz: ArrayLike) -> Array:
    """Linear sRGB (..., 3) of XYZ (..., 3); not clipped."""
    return np.asarray(triples(xyz, "XYZ values") @ XYZ_TO_SRGB.T)


def srgb_decode(code: ArrayLike) -> Array:
    """Linear light of sRGB code values from 0 to 1 (IEC 61966-2-1)."""
    v = np.asarray(code, dtype=float)
    return np.where(v <= 0.04045, v / 12.92, ((np.maximum(v, 0) + 0.055) / 1.055) ** 2.4)


def srgb_encode(linear: ArrayLike) -> Array:
    """sRGB code values of linear light (IEC 61966-2-1); not clipped, negatives stay linear."""
    v = np.asarray(linear, dtype=float)
    return np.where(v <= 0.0031308, 12.92 * v, 1.055 * np.maximum(v, 0) ** (1 / 2.4) - 0.055)


def lab_to_srgb(lab: ArrayLike) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """8-bit sRGB (..., 3) to show a D65 Lab colour, and whether it is `duller here than in life`.

    A colour outside sRGB is clipped per channel; the second array (...) says where that moved a
    channel by more than one code value.
    """
    code = srgb_encode(xyz_to_linear_srgb(lab_to_xyz(lab))) * 255
    shown = np.clip(np.rint(code), 0, 255)
    return shown.astype(np.uint8), np.asarray((np.abs(shown - code) > 1).any(axis=-1))
